"""`leadradial hear`: one line per recording, understood or refused with the reason."""

import json

import numpy as np
import pytest
import soundfile
import soxr
from command_line import TACAN
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio

RANGE = str(FOLDER / "festival-kal" / "09.flac")  # range two five decimal eight, three thousand
CHATTER = str(FOLDER / "festival-kal" / "no01.flac")


def lines(outcome):
    return [json.loads(line) for line in outcome.out.splitlines()]


def test_json_lines_have_the_fields_promised(command):
    outcome = command.run("hear", RANGE, CHATTER, "--procedure", TACAN, "--json")
    understood, refused = lines(outcome)

    assert outcome.status == 0
    assert set(understood) == {
        "file",
        "outcome",
        "why",
        "text",
        "alternatives",
        "events",
        "audio_s",
        "work_s",
    }
    assert understood["outcome"] == "understood"
    assert understood["events"] == [{"event": "PositionReport", "dme_nm": 25.8, "indicated_ft": 3000.0}]
    assert refused["outcome"] == "refused"
    assert refused["why"]
    assert refused["events"] == []


def test_what_is_clearly_not_expected_is_asked_about_and_not_taken(command):
    (line,) = lines(command.run("hear", RANGE, "--expect", "dme_nm=6.4,altitude_ft=3000", "--json"))

    assert line["outcome"] == "refused"
    assert "not expected: range two five decimal eight three thousand?" in line["why"]
    assert line["events"] == []


@pytest.fixture
def said():
    return read_audio(FOLDER / "festival-kal" / "09.flac")


def test_whatever_form_a_recording_has_the_same_is_heard(command, said, tmp_path):
    fast = soxr.resample(said, RATE_HZ, 48_000)
    forms = {
        "8bit.wav": (said, RATE_HZ, "PCM_U8"),
        "24bit.wav": (said, RATE_HZ, "PCM_24"),
        "float.wav": (4.0 * said, RATE_HZ, "FLOAT"),
        "stereo.flac": (np.stack([fast, fast], axis=1), 48_000, "PCM_16"),
        "left.wav": (np.stack([fast, 0.0 * fast], axis=1), 48_000, "PCM_16"),
        "radio.wav": (soxr.resample(said, RATE_HZ, 8_000), 8_000, "ULAW"),
        "offset.wav": (0.5 * said + 0.4, RATE_HZ, "PCM_16"),
    }
    for name, (sound, rate_hz, subtype) in forms.items():
        soundfile.write(tmp_path / name, sound, rate_hz, subtype=subtype)
    outcome = command.run("hear", *(tmp_path / name for name in forms), "--json")

    assert outcome.status == 0, outcome.err
    assert [line["events"] for line in lines(outcome)] == [
        [{"event": "PositionReport", "dme_nm": 25.8, "indicated_ft": 3000.0}]
    ] * len(forms)
    assert [line["audio_s"] for line in lines(outcome)] == pytest.approx(
        [len(said) / RATE_HZ] * len(forms), abs=0.01
    )


def test_what_cannot_be_read_is_a_sentence_and_a_line_each_and_the_rest_is_heard(command, said, tmp_path):
    (tmp_path / "empty.wav").write_bytes(b"")
    (tmp_path / "words.wav").write_text("no sound", encoding="utf-8")
    (tmp_path / "cut.flac").write_bytes((FOLDER / "festival-kal" / "09.flac").read_bytes()[:9_000])
    (tmp_path / "folder.wav").mkdir()
    soundfile.write(tmp_path / "hour.flac", np.zeros(8_000 * 3_600, dtype=np.int16), 8_000)
    soundfile.write(tmp_path / "nan.wav", np.where(said > 0.1, np.nan, said), RATE_HZ, subtype="FLOAT")
    bad = sorted(tmp_path.iterdir())
    outcome = command.run("hear", *bad, tmp_path / "none.wav", RANGE, "--json")
    made = lines(outcome)

    assert outcome.status == 2
    assert outcome.err.count("\n") == len(bad) + 1
    assert [line["outcome"] for line in made] == ["refused"] * (len(bad) + 1) + ["understood"]
    assert all(line["why"] in outcome.err for line in made[:-1])
    assert "longer than 10 minutes" in outcome.err
    assert "samples that are no numbers" in outcome.err


@pytest.mark.parametrize("length", [0, 100, 3 * RATE_HZ])
def test_exact_silence_is_refused(command, tmp_path, length):
    """A muted microphone gives zeros, and nothing may be heard in them."""
    soundfile.write(tmp_path / "muted.wav", np.zeros(length, dtype=np.float32), RATE_HZ)
    (line,) = lines(command.run("hear", tmp_path / "muted.wav", "--json"))

    assert line["outcome"] == "refused"
    assert line["events"] == []
    assert line["why"]


def test_a_mistake_is_one_sentence(command, tmp_path):
    empty = tmp_path / "model"
    empty.mkdir()
    mistakes = [
        ("hear",),
        ("hear", "missing.wav"),
        ("hear", "--manifest", tmp_path),
        ("hear", RANGE, "--expect", "wind=3"),
        ("hear", RANGE, "--expect", "dme_nm=near"),
        ("hear", RANGE, "--recogniser", "ears"),
        ("hear", RANGE, "--recogniser", "vosk", "--model", empty),
        ("hear", RANGE, "--recogniser", "vosk", "--model", tmp_path / "none"),
        ("hear", RANGE, "--recogniser", "vosk"),
    ]
    outcomes = [command.run(*arguments) for arguments in mistakes]

    assert [outcome.status for outcome in outcomes] == [2] * len(mistakes)
    assert all(outcome.err.count("\n") == 1 for outcome in outcomes)
