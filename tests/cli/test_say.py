"""`say` and `devices`: what they make, and what they tell where something is missing."""

import ctypes.util
import json
import sys

import pytest
import soundfile

needs_speech = pytest.mark.skipif(
    sys.platform == "linux" and ctypes.util.find_library("espeak-ng") is None,
    reason="needs eSpeak NG, which .ci/run installs",
)


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


@needs_speech
def test_words_are_written_to_a_sound_file_and_their_sentences_kept(command, tmp_path):
    """Eleven words at 170 a minute are 3.9 s; engines take that number with a grain of salt."""
    wav = tmp_path / "turn.wav"

    outcome = command.run("say", "Lead radial.", "Turn left heading two one five.", "--to", wav)

    assert outcome == type(outcome)(0, "", "")
    assert 2.0 < soundfile.info(wav).duration < 6.0
    assert "2 sounds deleted" in command.run("say", "--forget").out


def test_nothing_to_say_is_told(command):
    outcome = command.run("say")

    assert outcome.status == 2
    assert "Nothing to say" in outcome.err


def test_a_loudspeaker_that_is_not_there_is_told_in_one_line(command):
    outcome = command.run("say", "Next.", "--speaker", "no such loudspeaker")

    assert outcome.status == 2
    assert outcome.err.startswith("No voice: ")
    assert outcome.err.count("\n") == 1


@needs_speech
def test_devices_lists_voices_for_people_and_for_scripts(command):
    listed = command.run("devices")
    assert listed.status == 0
    assert "Loudspeakers:" in listed.out
    assert "English" in listed.out

    found = json.loads(command.run("devices", "--json").out)
    assert all({"id", "name", "english"} <= set(voice) for voice in found["voices"])
