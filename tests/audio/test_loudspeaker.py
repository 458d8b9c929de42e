"""On a loudspeaker that can be recorded: who spoke when, by energy."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from virtual_sound import FIRST, VirtualSound, is_possible, tone_spans

pytestmark = [
    pytest.mark.loudspeaker,
    pytest.mark.skipif(not is_possible(), reason="needs pulseaudio, which .ci/run installs"),
]

RIG = Path(__file__).with_name("rig.py")


@pytest.fixture(scope="module")
def sound():
    made = VirtualSound()
    yield made
    made.close()


@pytest.fixture
def play(sound, tmp_path):
    def scene(**parts):
        asked, recorded = tmp_path / "scene.json", tmp_path / "scene.npz"
        asked.write_text(json.dumps(parts), encoding="utf-8")
        subprocess.run(
            [*FIRST, sys.executable, str(RIG), str(asked), str(recorded)],
            env=sound.environment,
            check=True,
            timeout=60,
            capture_output=True,
        )
        with np.load(recorded) as loaded:
            return loaded["samples"], float(loaded["began_s"])

    return scene


def spans(recorded, frequency_hz):
    """
    When a tone of a scene sounded; edges of other tones spill into its band for less than 50 ms.

    A sound server that is kept from the processor tears a tone: pieces 30 ms apart or less are one.
    """
    samples, began_s = recorded
    joined = []
    for begin, end in tone_spans(samples, frequency_hz):
        if joined and begin - joined[-1][1] <= 0.03:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((begin, end))
    return [(began_s + begin, began_s + end) for begin, end in joined if end - begin > 0.05]


def test_callouts_begin_within_50_ms_of_their_moment(play):
    frequencies = (500, 700, 900, 1100, 1300, 1500, 1700, 1900)
    due = {0.5 + 0.45 * n: [("ACTION", f"{hz} for 0.2.")] for n, hz in enumerate(frequencies)}

    recorded = play(due=due, end_s=4.5)

    late_s = [spans(recorded, hz)[0][0] - due_s for due_s, hz in zip(due, frequencies, strict=True)]
    assert max(late_s) < 0.050, late_s
    assert min(late_s) > -0.010, late_s


def test_safety_cuts_off_any_other_within_50_ms_and_nothing_overlaps(play):
    safe_at_s = [0.8 * number for number in range(1, 21)]
    answers = {t_s - 0.3: [("ANSWER", "500 for 3.")] for t_s in safe_at_s}
    recorded = play(
        due=answers | {t_s: [("SAFETY", "1500 for 0.2.")] for t_s in safe_at_s}, end_s=safe_at_s[-1] + 0.5
    )

    answering, safe = spans(recorded, 500), spans(recorded, 1500)
    for safe_s in safe_at_s:
        # A busy sound server may tear a tone apart, so spans are found by time and not by number.
        answer = max(span for span in answering if span[0] < safe_s)
        safety = min(span for span in safe if span[0] > safe_s - 0.01)
        assert answer[1] - safe_s < 0.050
        assert safety[0] - safe_s < 0.050
        # A window's width; the fade of one is over before the other begins.
        assert safety[0] > answer[1] - 0.006


def test_the_pilots_talking_silences_it_within_50_ms_and_it_goes_on_after(play):
    recorded = play(
        due={"0.5": [("ACTION", "500 for 1.")]},
        lines=[(1.0, True), (1.6, False)],
        end_s=3.0,
    )

    first, again = spans(recorded, 500)
    assert first[1] - 1.0 < 0.050
    assert 0.0 <= again[0] - 1.6 < 0.060
    assert again[1] - again[0] == pytest.approx(1.0, abs=0.03)


def test_an_answer_begins_within_50_ms_of_the_words_it_answers(play):
    recorded = play(due={}, answers={"next": [("ANSWER", "800 for 0.3.")]}, lines=[(0.7, "next")], end_s=1.5)

    [answer] = spans(recorded, 800)
    assert answer[0] - 0.7 < 0.050
