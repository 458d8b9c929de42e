"""`leadradial hear`: one line per recording, understood or refused with the reason."""

import json

from command_line import TACAN
from hearing_fixtures import FOLDER

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


def test_a_mistake_is_one_sentence(command, tmp_path):
    empty = tmp_path / "model"
    empty.mkdir()
    mistakes = [
        ("hear", "missing.wav"),
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
