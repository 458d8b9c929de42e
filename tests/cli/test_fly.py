"""`leadradial fly`: a real program with real pipes, killed and resumed."""

import signal
import sys

import pytest
from command_line import TACAN

from assistant.flight_log import Heard, Resumed, Spoken, read_log

CAUTION = "Simulation and training only."


def log_in(path):
    return read_log(path.read_bytes(), str(path))


def read_until(program, phrase):
    """Lines of a running program up to the one with a phrase in it."""
    lines = []
    while not lines or phrase not in lines[-1]:
        line = program.stdout.readline().decode()
        assert line, f"ended without {phrase!r}: {lines}"
        lines.append(line)
    return lines


def type_line(program, text):
    program.stdin.write(text.encode() + b"\n")
    program.stdin.flush()


def test_piped_reports_are_echoed_answered_and_logged(command, tmp_path):
    log = tmp_path / "flight.jsonl"

    outcome = command.pipe(
        "entering hold\nmumble\n", "fly", TACAN, "--text", "--wind", "250/15", "--log", log
    )

    assert outcome.status == 0
    assert outcome.err == ""
    lines = outcome.out.splitlines()
    assert lines[0].startswith(CAUTION)
    assert lines[-1] == "Ended."
    assert (
        lines.index("00:00  PILOT  entering hold")
        < lines.index("00:00  PILOT  mumble")
        < lines.index("00:00  Say again.")
    )
    record = log_in(log)
    assert record.notice is None
    assert record.header.conditions.wind[0].wind_kt == 15.0
    assert [entry.transcript.text for entry in record.records if isinstance(entry, Heard)] == [
        "entering hold",
        "mumble",
    ]
    said = [entry.text for entry in record.records if isinstance(entry, Spoken)]
    assert said == [line[7:] for line in lines if line.startswith("00:0") and "PILOT" not in line]
    assert command.run("replay", log).status == 0


def test_the_log_goes_to_the_pilots_own_folder_by_itself(command):
    outcome = command.pipe("", "fly", TACAN, "--text")

    [log] = (command.home / "data" / "leadradial" / "flights").glob("*-ZZSK-TACAN-24.jsonl")
    assert f"Flight log: {log}" in outcome.out
    assert log_in(log).records == ()


def test_nonsense_does_no_harm(command, tmp_path):
    typed = (
        "\n   \n"
        + "x" * 10_000
        + "\n\x00\x1b[2J\x07\n\udcff".encode("utf-8", "surrogateescape").decode("latin-1")
        + "\nnext\n"
    )

    outcome = command.pipe(typed, "fly", TACAN, "--text", "--log", tmp_path / "flight.jsonl")

    assert outcome.status == 0
    assert "Traceback" not in outcome.err
    assert "\x1b" not in outcome.out
    assert outcome.out.count("Say again.") >= 3
    assert max(map(len, outcome.out.splitlines())) < 300


def test_where_nothing_can_be_heard_it_says_why_once_and_goes_on_in_text(command):
    """Here no loudspeaker has that name; whatever else may be missing is told in the same way."""
    outcome = command.pipe("entering hold\n", "fly", TACAN, "--speaker", "no such loudspeaker")

    assert outcome.status == 0
    [sentence] = outcome.err.splitlines()
    assert sentence.startswith("No voice: ")
    assert sentence.endswith("Going on in text.")
    assert "PILOT  entering hold" in outcome.out


def test_an_existing_log_is_not_flown_over(command, tmp_path):
    log = tmp_path / "flight.jsonl"
    log.write_text("precious", encoding="utf-8")

    outcome = command.run("fly", TACAN, "--text", "--log", log)

    assert outcome.status == 2
    assert "exists already" in outcome.err
    assert log.read_text(encoding="utf-8") == "precious"


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX signals")
def test_a_killed_flight_is_resumed_from_its_log(command, tmp_path):
    log = tmp_path / "flight.jsonl"
    with command.start("fly", TACAN, "--text", "--log", log) as program:
        read_until(program, "Flight log")
        type_line(program, "entering hold")
        type_line(program, "mumble")
        read_until(program, "Say again.")
        program.kill()
        program.communicate(timeout=30)
    before = log_in(log).records
    with log.open("ab") as stream:
        stream.write(b'{"record": "Tick", "t_')  # as if killed while writing

    outcome = command.pipe("next\n", "fly", "--resume", log, "--text")

    assert outcome.status == 0
    assert "the last line is incomplete" in outcome.err
    assert "Resumed." in outcome.out
    assert "Say again." not in outcome.out
    record = log_in(log)
    assert record.notice is None
    assert record.records[: len(before)] == before
    assert isinstance(record.records[len(before)], Resumed)
    assert [entry.transcript.text for entry in record.records if isinstance(entry, Heard)][-1] == "next"
    assert command.run("replay", log).status == 0


def test_what_was_decided_but_not_logged_before_the_kill_is_told_on_resuming(command, tmp_path):
    log = tmp_path / "flight.jsonl"
    command.pipe("entering hold\nmumble\n", "fly", TACAN, "--text", "--log", log)
    whole = log.read_bytes()
    heard = whole.rindex(b'{"record": "Heard"')
    log.write_bytes(whole[: whole.index(b"\n", heard) + 1])

    outcome = command.pipe("", "fly", "--resume", log, "--text")

    assert "Say again." in outcome.out
    assert whole in log.read_bytes()


@pytest.mark.parametrize(
    ("written", "altered", "phrase"),
    [
        ('"started_utc": "20', '"started_utc": "yesterday', "is no time"),
        ('"prompting": "full"', '"prompting": "loud"', "'loud' is no amount of prompting"),
        ('"version": 3', '"version": 4', "reads up to version 3"),
        ("final_kt", "final_mph", "was altered"),
    ],
)
def test_a_log_whose_header_was_altered_is_refused_in_a_line(command, tmp_path, written, altered, phrase):
    log = tmp_path / "flight.jsonl"
    command.pipe("", "fly", TACAN, "--text", "--log", log)
    log.write_text(log.read_text(encoding="utf-8").replace(written, altered, 1), encoding="utf-8")

    outcome = command.run("fly", "--resume", log, "--text")

    assert outcome.status == 2
    assert phrase in outcome.err
    assert "Traceback" not in outcome.err


@pytest.mark.parametrize("flags", [["--wind", "250/15"], ["--log", "another.jsonl"]])
def test_a_resumed_flight_keeps_its_own_conditions_and_log(command, tmp_path, flags):
    log = tmp_path / "flight.jsonl"
    command.pipe("", "fly", TACAN, "--text", "--log", log)

    outcome = command.run("fly", "--resume", log, *flags)

    assert outcome.status == 2
    assert "own file and conditions" in outcome.err


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX signals")
def test_ctrl_c_ends_politely_with_the_shells_status(command, tmp_path):
    log = tmp_path / "flight.jsonl"
    with command.start("fly", TACAN, "--text", "--log", log) as program:
        read_until(program, "Flight log")
        type_line(program, "mumble")
        read_until(program, "Say again.")
        program.send_signal(signal.SIGINT)
        out, err = program.communicate(timeout=30)

    assert program.returncode == 130
    assert out.decode().endswith("Ended.\n")
    assert err == b""
    assert log_in(log).notice is None


def test_a_reader_that_goes_away_is_taken_quietly(command, tmp_path):
    with command.start("fly", TACAN, "--text", "--log", tmp_path / "flight.jsonl") as program:
        read_until(program, "Flight log")
        program.stdout.close()
        type_line(program, "mumble")
        program.stdin.close()
        err = program.stderr.read()
        program.wait(timeout=30)

    assert err == b""


def test_a_glance_can_be_had_after_what_is_said(command, tmp_path):
    outcome = command.pipe(
        "entering hold\n", "fly", TACAN, "--text", "--glance", "--log", tmp_path / "flight.jsonl"
    )

    [glance, *_] = [line for line in outcome.out.splitlines() if line.startswith("       ")]
    assert " | floor " in glance
    assert "QNH" in glance


def test_the_pilots_own_settings_are_remembered_and_the_days_are_not(command, tmp_path):
    flags = [
        "--category",
        "D",
        "--speed",
        "final=150",
        "--prompting",
        "actions",
        "--wind",
        "250/15",
        "--qnh",
        "996",
    ]
    command.pipe("", "fly", TACAN, "--text", *flags, "--remember", "--log", tmp_path / "one.jsonl")
    command.pipe("", "fly", TACAN, "--text", "--log", tmp_path / "two.jsonl")

    header = log_in(tmp_path / "two.jsonl").header
    assert (header.conditions.category, header.conditions.speeds.final_kt, header.prompting) == (
        "D",
        150.0,
        "actions",
    )
    assert (header.conditions.wind, header.conditions.qnh_hpa) == ((), 1013.25)
    shown = command.run("pilot").out
    assert "category: D" in shown
    assert "wind" not in shown
