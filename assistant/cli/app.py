"""The command line: its commands, and what becomes of errors."""

import importlib
import importlib.util
import os
import sys
from typing import Annotated

import typer

from assistant.cli.errors import INTERRUPTED, told_in_one_line
from assistant.cli.version import installed_version

COMMANDS = (
    "check",
    "brief",
    "fly",
    "replay",
    "rehearse",
    "simulate",
    "sums",
    "new",
    "plan",
    "pilot",
    "say",
    "devices",
    "hear",
    "record",
    "enrol",
    "voice_model",
    "debrief",
    "progress",
)
"""Modules beside this one with a `register(app)`, in the order of `--help`; any may be lacking."""

_IN_SHORT = {
    "check": "Check procedure files: their keys, values and charts.",
    "schema": "Print the JSON Schema of procedure files, for editors.",
    "brief": "Brief an approach for today's wind, setting and category.",
    "fly": "Fly an approach: report, and be told what is due.",
    "replay": "Fly a timed transcript, exact and instant.",
    "rehearse": "Rehearse an approach from a chair, by reports alone.",
    "simulate": "Fly an approach many times by nothing but the callouts.",
    "sums": "Answer single questions: exact, rule of thumb, source.",
    "new": "Make a procedure file by answering questions.",
    "pilot": "Show what is remembered of you by `fly --remember`.",
    "say": "Speak some words with the voice of the cockpit.",
    "devices": "List microphones, loudspeakers, voices and joysticks.",
    "hear": "Say what recordings mean: understood, or refused and why.",
    "record": "Record phrases in your own voice, for tests of hearing.",
    "enrol": "Learn a pilot's voice, to hear reports in it better.",
    "voice-model": "Fetch a model for the recogniser vosk from its makers.",
    "debrief": "Debrief flights: what was due, called and flown; marks.",
    "progress": "Show progress over debriefed flights; what to fly next.",
}
"""A line each for the list of commands, which would cut their own sentences off; by name."""

_EPILOG = """
\b
Examples:
  leadradial check procedures/skarrow-tacan-24.yaml
  leadradial brief procedures/skarrow-tacan-24.yaml --wind 250/15 --qnh 996
  leadradial fly procedures/skarrow-tacan-24.yaml --text --wind 250/15 --qnh 996
"""


def build() -> typer.Typer:
    """The command line with every command that this build has."""
    app = typer.Typer(
        name="leadradial",
        help="The second person in a sim pilot's cockpit: prepares, briefs and follows an instrument "
        "approach flown by hand. Simulation and training only.",
        epilog=_EPILOG,
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback()(_top)
    for name in COMMANDS:
        module = f"assistant.cli.{name}"
        if importlib.util.find_spec(module) is not None:
            importlib.import_module(module).register(app)
    for command in app.registered_commands:
        command.short_help = _IN_SHORT.get(str(command.name or getattr(command.callback, "__name__", "")))
    for group in app.registered_groups:
        group.short_help = _IN_SHORT.get(str(group.name))
    return app


def main() -> None:
    """Run the command line and exit with its status."""
    try:
        with told_in_one_line():
            build()(prog_name="leadradial")
    except KeyboardInterrupt:
        raise SystemExit(INTERRUPTED) from None
    finally:
        _flush()


def _flush() -> None:
    """Write out what was printed, now, where a reader that has gone away can still be taken quietly."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"leadradial {installed_version()}")
        raise typer.Exit


def _top(
    *,
    version: Annotated[  # its callback has acted on it
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and end."),
    ] = False,
) -> None:
    """Declare the options that stand before a command."""
