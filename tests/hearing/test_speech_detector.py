"""Where speech begins and ends in an open microphone."""

import numpy as np
import pytest
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.speech_detector import (
    ENDED_AFTER_S,
    FRAME,
    LONGEST_S,
    OFFERED_AFTER_S,
    Begun,
    Over,
    Paused,
    Resumed,
    SpeechDetector,
    silero,
)

FRAME_S = FRAME / RATE_HZ


def changes(script, *, muted=lambda _number: False):
    """What a detector says of frames whose likelihood of speech is given, one by one."""
    shares = iter(script)
    detector = SpeechDetector(lambda _frame: next(shares))
    frame = np.zeros(FRAME, dtype=np.float32)
    return [
        change for number in range(len(script)) for change in detector.take(frame, is_muted=muted(number))
    ]


def frames(duration_s):
    return int(np.ceil(duration_s / FRAME_S))


def test_speech_begins_where_its_first_frame_did_and_ends_where_its_last_one_did():
    script = [0.0] * 10 + [0.9] * 20 + [0.0] * frames(ENDED_AFTER_S)

    begun, paused, over = changes(script)

    assert begun == Begun(first=10 * FRAME)
    assert paused == Paused(first=10 * FRAME, last=30 * FRAME)
    assert over == Over(first=10 * FRAME, last=30 * FRAME)


def test_two_loud_frames_are_a_click_and_no_speech():
    assert changes([0.0, 0.9, 0.9, 0.0] * 20) == []


def test_a_pause_inside_a_report_does_not_end_it():
    pause = frames(OFFERED_AFTER_S) + 2
    assert pause * FRAME_S < ENDED_AFTER_S
    script = [0.9] * 10 + [0.0] * pause + [0.9] * 10 + [0.0] * frames(ENDED_AFTER_S)

    kinds = [type(change) for change in changes(script)]

    assert kinds == [Begun, Paused, Resumed, Paused, Over]


def test_what_goes_on_for_ever_is_cut():
    over = changes([0.9] * frames(LONGEST_S + 1.0))[1]

    assert over.last - over.first == pytest.approx(LONGEST_S * RATE_HZ, abs=FRAME)


def test_nothing_begins_while_our_own_voice_speaks():
    assert changes([0.9] * 50, muted=lambda _number: True) == []


def test_blocks_of_any_length_make_the_same_frames():
    sound = np.random.default_rng(5).standard_normal(20 * FRAME).astype(np.float32)
    seen = []
    detector = SpeechDetector(lambda frame: seen.append(frame) or 0.0)
    for start in range(0, len(sound), 317):
        detector.take(sound[start : start + 317], is_muted=False)

    assert np.array_equal(np.concatenate(seen), sound[: len(seen) * FRAME])
    assert len(seen) == 20


def test_the_network_finds_a_spoken_report_in_hiss_and_nothing_else():
    spoken = read_audio(FOLDER / "festival-kal" / "09.flac")
    hiss = np.random.default_rng(2).standard_normal(len(spoken) + 3 * RATE_HZ).astype(np.float32) * 0.001
    hiss[RATE_HZ : RATE_HZ + len(spoken)] += spoken
    detector = SpeechDetector(silero())

    found = [
        change
        for start in range(0, len(hiss), 320)
        for change in detector.take(hiss[start : start + 320], is_muted=False)
    ]
    (over,) = [change for change in found if isinstance(change, Over)]

    assert over.first == pytest.approx(RATE_HZ, abs=0.4 * RATE_HZ)
    assert over.last == pytest.approx(RATE_HZ + len(spoken), abs=0.4 * RATE_HZ)
