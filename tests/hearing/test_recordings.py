"""The recordings that the project ships, and the list in which theirs and a pilot's stand."""

import json
from itertools import groupby

import numpy as np
import pytest
import soundfile
from hearing_fixtures import FOLDER, NAMES
from test_prompts import kinds

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.listener import meaning
from assistant.adapters.speech_in.recordings import LIST, Recording, event_fields, keep, recordings
from assistant.adapters.speech_in.takes import weighed
from assistant.engine.events import Asked, Said

OURS = recordings(FOLDER)
CHANCE = np.random.default_rng(4)


def test_there_are_hundreds_in_many_voices_and_every_one_is_listed_once():
    files = sorted(str(path.relative_to(FOLDER)) for path in FOLDER.rglob("*.flac"))
    # Answers of practice mean nothing out of a flight; their names say what is said (test_spoken_answers).
    files = [file for file in files if not file.startswith("answers/")]

    assert sorted(each.file for each in OURS) == files
    assert len(files) >= 200
    assert len({each.voice for each in OURS}) >= 6


def test_they_are_small_enough_to_be_kept_in_the_project():
    assert sum(path.stat().st_size for path in FOLDER.rglob("*.flac")) < 40e6


def test_all_are_one_channel_of_16_khz():
    for each in OURS:
        about = soundfile.info(FOLDER / each.file)
        assert (about.samplerate, about.channels, about.format) == (RATE_HZ, 1, "FLAC")


def test_every_statement_and_question_is_said_in_some_and_negatives_mean_nothing():
    said = {
        kind
        for each in OURS
        if each.kind not in ("negative", "approach")
        for kind in kinds(meaning(each.words, NAMES))
    }

    assert said >= set(Said) | set(Asked)
    assert all(not each.meaning for each in OURS if each.kind == "negative")


def test_the_meaning_listed_is_what_the_words_mean():
    """It was made of the numbers that were drawn, or of the typed report, and never of the words."""
    for each in OURS:
        if each.kind != "negative":
            assert [event_fields(event) for event in meaning(each.words, NAMES)] == each.meaning, each.file


def test_the_whole_approaches_follow_their_transcripts_in_order():
    by_flight = groupby(
        (each.file for each in OURS if each.kind == "approach"), key=lambda file: file.split("/")[0]
    )
    flights = {flight: list(files) for flight, files in by_flight}

    assert len(flights) == 3
    assert all(files == sorted(files) and len(files) >= 45 for files in flights.values())


ONE = Recording(
    file="ada/001.flac",
    words="next",
    meaning=[{"event": "Request", "asked": "next"}],
    kind="question",
    voice="ada",
    set="held out",
    made="by a test",
    licence="private",
)


def test_what_is_kept_is_listed_and_sounds_the_same(tmp_path):
    sound = (0.1 * CHANCE.standard_normal(RATE_HZ)).astype(np.float32)
    keep(tmp_path, ONE, sound)

    assert recordings(tmp_path) == (ONE,)
    assert read_audio(tmp_path / ONE.file) == pytest.approx(sound, abs=1.0 / 32767)


def test_a_recording_is_never_written_over(tmp_path):
    keep(tmp_path, ONE, np.zeros(100, dtype=np.float32))
    with pytest.raises(FileExistsError):
        keep(tmp_path, ONE, np.zeros(100, dtype=np.float32))

    assert recordings(tmp_path) == (ONE,)


@pytest.mark.parametrize("line", ["no json", "[]", "{}", '{"file": "a.flac"}', "3"])
def test_a_line_that_is_no_recording_is_one_sentence_with_its_number(tmp_path, line):
    good = json.dumps({"file": "a", "words": "", "meaning": [], "kind": "", "voice": "", "set": ""})
    (tmp_path / LIST).write_text(f'{good[:-1]}, "made": "", "licence": ""}}\n{line}\n', encoding="utf-8")

    with pytest.raises(HearingError, match=f"{LIST}:2: not a recording"):
        recordings(tmp_path)


def speech(peak, noise=0.001, seconds=2.0):
    """A tone that comes and goes, over noise: half of it speech, half of it none."""
    at = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    tone = peak * np.sin(2.0 * np.pi * 300.0 * at) * (np.sin(2.0 * np.pi * 2.0 * at) > 0.0)
    return np.clip(tone + noise * CHANCE.standard_normal(len(at)), -1.0, 1.0).astype(np.float32)


@pytest.mark.parametrize(
    ("sound", "says"),
    [
        (speech(0.3), ""),
        (speech(0.3, seconds=0.4), "too short"),
        (np.zeros(2 * RATE_HZ, dtype=np.float32), "nothing arrived"),
        (speech(1.2), "too loud"),
        (speech(0.004, noise=0.0001), "very quiet"),
        (speech(0.1, noise=0.05), "hardly above the noise"),
    ],
)
def test_what_is_wrong_with_a_take_is_said(sound, says):
    fault = weighed(sound).fault

    assert fault.startswith(says)
    assert bool(fault) == bool(says)


def test_levels_are_below_full_scale():
    """A sine of peak 0.5 is -6.0 dB at its peak and -9.0 dB in power; noise of 0.001 is -60 dB."""
    take = weighed(speech(0.5))

    assert take.peak_db == pytest.approx(-6.0, abs=0.2)
    assert take.speech_db == pytest.approx(-9.0, abs=0.3)
    assert take.noise_db == pytest.approx(-60.0, abs=1.0)
