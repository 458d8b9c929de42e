"""`leadradial replay`: exact, instant, and the judge of whether a log still comes out the same."""

import json

import pytest
from command_line import TACAN

FLIGHT = f"""procedure: {TACAN}
setup: --wind 250/15 --qnh 996
00:00 PILOT  entering hold
00:20 PILOT  mumble
03:00 END
"""


@pytest.fixture
def transcript(tmp_path):
    path = tmp_path / "flight.txt"
    path.write_text(FLIGHT, encoding="utf-8")
    return path


def test_the_pilots_lines_and_the_callouts_are_printed_with_their_times(command, transcript):
    outcome = command.run("replay", transcript)

    assert outcome.status == 0
    lines = outcome.out.splitlines()
    assert lines[0].startswith("Simulation and training only.")
    assert lines[1] == "00:00  PILOT  entering hold"
    assert lines.index("00:20  PILOT  mumble") + 1 == lines.index("00:20  Say again.")


def test_a_procedure_and_conditions_can_be_given_beside_the_transcript(command, tmp_path):
    bare = tmp_path / "bare.txt"
    bare.write_text("00:00 PILOT  entering hold\n03:00 END\n", encoding="utf-8")
    same = command.run("replay", TACAN, bare, "--wind", "250/15", "--qnh", "996").out
    other = command.run("replay", TACAN, bare, "--wind", "340/40").out

    assert "00:00  PILOT  entering hold" in same
    assert same != other


def test_a_transcript_without_a_procedure_asks_for_one(command, tmp_path):
    bare = tmp_path / "bare.txt"
    bare.write_text("00:00 PILOT  next\n", encoding="utf-8")

    outcome = command.run("replay", bare)

    assert outcome.status == 2
    assert "names no procedure" in outcome.err


def test_every_bad_line_of_a_transcript_is_told(command, tmp_path):
    bad = tmp_path / "bad.txt"
    bad.write_text("soon PILOT  next\n00:10 PILOTT next\n", encoding="utf-8")

    outcome = command.run("replay", TACAN, bad)

    assert outcome.status == 2
    assert [line.split(": ")[0] for line in outcome.err.splitlines()] == [f"{bad}:1", f"{bad}:2"]


def test_a_bad_setup_is_told_with_the_file(command, tmp_path):
    bad = tmp_path / "bad.txt"
    bad.write_text("setup: --wind west\n00:10 PILOT next\n", encoding="utf-8")

    outcome = command.run("replay", TACAN, bad)

    assert outcome.status == 2
    assert f"{bad}: setup: --wind: 'west' is no wind" in outcome.err


def test_json_is_one_record_a_line(command, transcript):
    records = [json.loads(line) for line in command.run("replay", transcript, "--json").out.splitlines()]

    assert records[0] == {
        "record": "Heard",
        "t_s": 0.0,
        "transcript": {"text": "entering hold", "started_t_s": 0.0, "ended_t_s": 0.0, "confidence": 1.0},
    }
    assert {"Statement", "Callout", "Spoken", "StageEntered", "Tick", "NotUnderstood"} <= {
        r["record"] for r in records
    }


def test_a_log_of_a_replay_comes_out_the_same(command, transcript, tmp_path):
    log = tmp_path / "flight.jsonl"
    first = command.run("replay", transcript, "--log", log)

    again = command.run("replay", log)

    assert again.status == 0
    assert again.out == first.out
    assert "the same came out as was logged" in again.err


def test_a_log_that_comes_out_differently_is_told_with_status_1(command, transcript, tmp_path):
    log = tmp_path / "flight.jsonl"
    command.run("replay", transcript, "--log", log)
    log.write_text(log.read_text(encoding="utf-8").replace("Say again.", "Speak up."), encoding="utf-8")

    outcome = command.run("replay", log)

    assert outcome.status == 1
    assert "differs at 00:20" in outcome.err
    assert "Speak up." in outcome.err


def test_a_log_is_not_written_over(command, transcript, tmp_path):
    log = tmp_path / "flight.jsonl"
    log.write_text("precious", encoding="utf-8")

    outcome = command.run("replay", transcript, "--log", log)

    assert outcome.status == 2
    assert "exists already" in outcome.err
    assert log.read_text(encoding="utf-8") == "precious"


def test_flags_beside_a_log_are_refused(command, transcript, tmp_path):
    log = tmp_path / "flight.jsonl"
    command.run("replay", transcript, "--log", log)

    assert "holds its own conditions" in command.run("replay", log, "--wind", "250/15").err


def test_a_damaged_log_is_replayed_as_far_as_it_is_whole(command, transcript, tmp_path):
    log = tmp_path / "flight.jsonl"
    command.run("replay", transcript, "--log", log)
    log.write_bytes(log.read_bytes()[:-10])

    outcome = command.run("replay", log)

    assert outcome.status == 0
    assert "the last line is incomplete" in outcome.err


def test_what_is_remembered_of_the_pilot_plays_no_part(command, transcript):
    before = command.run("replay", transcript).out
    remembered = command.home / "config" / "leadradial" / "pilot.yaml"
    remembered.parent.mkdir(parents=True)
    remembered.write_text("prompting: silent\nspeed: {hold: 120}\n", encoding="utf-8")

    assert command.run("replay", transcript).out == before
