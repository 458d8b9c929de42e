"""`leadradial record`: phrases shown, taken, kept or not, as the pilot types."""

import json

import pytest
import soundfile
import typer
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.audio import RATE_HZ
from assistant.cli.recording import chosen

MICROPHONE = f"file:{FOLDER / 'festival-kal' / '09.flac'}"


def listed(folder):
    return [json.loads(line) for line in (folder / "manifest.jsonl").read_text(encoding="utf-8").splitlines()]


@pytest.fixture
def record(command, tmp_path, monkeypatch):
    """Types lines, an empty one for Enter; the folder is `recordings` in a new place."""

    def run(typed, *arguments):
        lines = iter(typed)

        def answer(question):
            typer.echo(question)
            try:
                return next(lines)
            except StopIteration:
                raise EOFError from None

        monkeypatch.setattr("builtins.input", answer)
        return command.run("record", tmp_path / "recordings", "--microphone", MICROPHONE, *arguments)

    return run


def test_what_the_pilot_keeps_is_a_recording_and_a_line_with_its_words_and_meaning(record, tmp_path):
    outcome = record(["", "", "", "", "", ""], "--voice", "ada", "--count", "2", "--licence", "CC0")
    phrases = chosen(1, 2)

    assert outcome.status == 0, outcome.err
    assert "2 kept" in outcome.out
    entries = listed(tmp_path / "recordings")
    assert [entry["file"] for entry in entries] == ["ada/001.flac", "ada/002.flac"]
    assert [entry["words"] for entry in entries] == [phrase.words for phrase in phrases]
    assert all(phrase.words in outcome.out for phrase in phrases)
    assert {(entry["voice"], entry["set"], entry["licence"]) for entry in entries} == {
        ("ada", "held out", "CC0")
    }
    assert soundfile.info(tmp_path / "recordings" / "ada" / "001.flac").samplerate == RATE_HZ


def test_repeating_skipping_and_stopping(record, tmp_path):
    """First phrase: taken twice and kept. Second: skipped before. Third: skipped after. Fourth: stopped."""
    typed = ["", "", "r", "", "", "", "s", "", "", "s", "q"]
    outcome = record(typed, "--voice", "ada", "--licence", "CC0")

    assert outcome.status == 0
    assert [entry["words"] for entry in listed(tmp_path / "recordings")] == [chosen(1, 1)[0].words]
    assert outcome.out.count("Read it now") == 3
    assert "Stopped." in outcome.out


def test_name_and_licence_are_asked_for_once_and_the_numbers_go_on(record, tmp_path):
    record(["ada", "mine", "", "", ""], "--count", "1")
    outcome = record(["", "", ""], "--voice", "ada", "--count", "1", "--seed", "2")

    assert outcome.status == 0
    entries = listed(tmp_path / "recordings")
    assert [entry["file"] for entry in entries] == ["ada/001.flac", "ada/002.flac"]
    assert {entry["licence"] for entry in entries} == {"mine"}


def test_the_end_of_standard_input_stops_and_keeps_what_was_kept(record, tmp_path):
    outcome = record(["", "", "", ""], "--voice", "ada", "--licence", "CC0")

    assert outcome.status == 0
    assert len(listed(tmp_path / "recordings")) == 1


def test_phrases_are_of_all_kinds_before_one_comes_again():
    phrases = chosen(7, 100)

    assert len({phrase.words for phrase in phrases[:52]}) > 45
    assert {phrase.kind for phrase in phrases[:52]} == {phrase.kind for phrase in phrases}
    assert chosen(7, 10) == phrases[:10]
    assert chosen(8, 10) != phrases[:10]


@pytest.mark.parametrize("voice", ["../up", "a b", "", "-x"])
def test_a_name_that_is_no_name_is_one_sentence(record, tmp_path, voice):
    outcome = record([voice], *(("--voice", voice) if voice else ()))

    assert outcome.status == 2
    assert outcome.err.count("\n") == 1
    assert not (tmp_path / "recordings").exists()


def test_a_microphone_that_cannot_be_used_is_one_sentence(command, tmp_path):
    outcome = command.run("record", tmp_path, "--voice", "ada", "--microphone", "file:missing.wav")

    assert outcome.status == 2
    assert outcome.err.count("\n") == 1


def test_what_was_recorded_is_heard_by_its_list(command, record, tmp_path):
    """The microphone says one thing only; one line says that, one another, one that it is nothing."""
    record([""] * 9, "--voice", "ada", "--count", "3", "--licence", "CC0")
    manifest = tmp_path / "recordings" / "manifest.jsonl"
    lines = listed(tmp_path / "recordings")
    lines[0] |= {"meaning": [{"event": "PositionReport", "dme_nm": 25.8, "indicated_ft": 3000.0}]}
    lines[1] |= {"words": "next", "meaning": [{"event": "Request", "asked": "next"}]}
    lines[2] |= {"kind": "negative", "meaning": []}
    manifest.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    outcome = command.run("hear", "--manifest", tmp_path / "recordings")
    by_json = command.run("hear", "--manifest", tmp_path / "recordings", "--json")

    assert outcome.status == 0, outcome.err
    assert outcome.out.splitlines()[-1] == "1 right, 0 refused, 2 wrong of 3."
    assert outcome.out.splitlines()[1].endswith("said was: next")
    assert [json.loads(line)["verdict"] for line in by_json.out.splitlines()] == ["right", "wrong", "wrong"]
