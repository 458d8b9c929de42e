"""The command line as a whole: it teaches, is quick, and tells a mistake in a line and never a traceback."""

import pytest
from command_line import TACAN

from assistant.cli.app import build

COMMANDS = {command.name or command.callback.__name__ for command in build().registered_commands}


def test_help_shows_what_to_type(command):
    outcome = command.run("--help")

    assert outcome.status == 0
    assert "leadradial fly procedures/" in outcome.out
    assert "Simulation and training only" in outcome.out


def test_the_list_of_commands_says_of_each_in_a_whole_line_what_it_is_for(command):
    lines = command.run("--help").out.splitlines()
    listed = lines[lines.index("Commands:") + 1 : lines.index("  Examples:") - 1]

    assert {line.split()[0] for line in listed} >= COMMANDS
    assert [line for line in listed if not line.endswith(".") or line.endswith("...")] == []


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_examples_in_its_help(command, name):
    outcome = command.run(name, "--help")

    assert outcome.status == 0
    assert "Example" in outcome.out
    assert f"leadradial {name}" in outcome.out


def test_help_loads_nothing_heavy(command):
    """What makes a start slow is imported by the command that needs it."""
    program = (
        "import sys, assistant.cli.app as app; app.build(); print([m for m in HEAVY if m in sys.modules])"
    )
    heavy = [
        "rich.console",
        "matplotlib",
        "numpy",
        "assistant.engine",
        "assistant.flight_log",
        "assistant.preferences",
        "assistant.procedure",
        "pydantic",
    ]

    outcome = command.python(f"HEAVY = {heavy}; {program}")

    assert outcome.out.strip() == "[]"


def test_the_version_is_told(command):
    outcome = command.run("--version")

    assert outcome.status == 0
    assert outcome.out.startswith("leadradial ")


@pytest.mark.parametrize(
    ("arguments", "phrase"),
    [
        (["fly", "no/such.yaml", "--text"], "no/such.yaml: No such file or directory."),
        (["fly", "procedures", "--text"], "procedures: not a file."),
        (["fly", "--text"], "No procedure given"),
        (["replay", "no/such.txt"], "no/such.txt: No such file or directory."),
        (["fly", TACAN, "--text", "--wind", "west"], "--wind: 'west' is no wind; write direction/knots"),
        (["fly", TACAN, "--text", "--qnh", "996", "--qfe", "987"], "qnh and qfe are both given"),
        (["fly", TACAN, "--text", "--conditions", "no/day.yaml"], "no/day.yaml: No such file or directory."),
        (["fly", TACAN, "--squawk"], "--squawk"),
        (["land"], "land"),
    ],
)
def test_a_mistake_is_told_in_a_line_with_status_2(command, arguments, phrase):
    outcome = command.run(*arguments)

    assert outcome.status == 2
    assert phrase in outcome.err
    assert "Traceback" not in outcome.err
    assert outcome.out == ""


def test_a_procedure_that_does_not_load_is_told_with_its_lines(command, tmp_path):
    broken = tmp_path / "broken.yaml"
    broken.write_text("ident: ZZZZ\ntitel: none\n", encoding="utf-8")

    outcome = command.run("fly", broken, "--text")

    assert outcome.status == 2
    assert f"{broken}:2: titel:" in outcome.err
    assert "Traceback" not in outcome.err


def test_a_file_that_is_no_text_is_told_so(command, tmp_path):
    binary = tmp_path / "picture.yaml"
    binary.write_bytes(b"\x89PNG\xff\xfe")

    outcome = command.run("fly", binary, "--text")

    assert outcome.status == 2
    assert "not text" in outcome.err


def test_what_is_wrong_with_the_days_file_is_told_with_its_line(command, tmp_path):
    day = tmp_path / "day.yaml"
    day.write_text("wind: 250/15\nqhn: 996\n", encoding="utf-8")

    outcome = command.run("fly", TACAN, "--text", "--conditions", day)

    assert outcome.status == 2
    assert outcome.err == f"{day}:2: qhn: no such setting. Remedy: write qnh.\n"


def test_nothing_is_remembered_at_first(command):
    assert command.run("pilot").out.startswith("Nothing is remembered yet")
