"""Recordings heard one by one, and how the outcome is shown."""

import json
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import typer

from assistant.adapters.speech_in.audio import RATE_HZ, Samples, read_audio
from assistant.adapters.speech_in.choosing import recogniser as recogniser_named
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.listener import Hearing, Listener, meaning
from assistant.cli.errors import UserError
from assistant.cli.inputs import plan_for, printable, read_procedure_file
from assistant.dialogue import Dialogue
from assistant.engine.events import EngineInput
from assistant.language.choice import Expectation, expectation_around
from assistant.language.grammar import Names
from assistant.preferences.settings import Settings

_FIELDS = ("dme_nm", "indicated_ft", "radial_deg")
_NOT_READINGS = ("t_s", "observed_t_s", "confidence")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What is printed of one recording; field names as in the JSON lines."""

    file: str
    outcome: str
    why: str
    text: str
    alternatives: tuple[str, ...]
    events: list[dict[str, Any]]
    audio_s: float
    work_s: float


def hear_files(
    files: list[Path],
    *,
    procedure: Path | None,
    expect: str | None,
    recogniser: str,
    model: Path | None,
    json_output: bool,
) -> None:
    """Hear each recording and print what was made of it; UserError for what cannot be used."""
    names = _names_in(procedure) if procedure is not None else Names()
    expectation = expectation_from(expect) if expect is not None else None
    try:
        listener = Listener(
            recogniser_named(recogniser, model, lambda sentence: typer.echo(sentence, err=True)), names
        )
        listener.expect(expectation)
        for path in files:
            outcome = heard(listener, names, path, read_audio(path))
            typer.echo(json.dumps(asdict(outcome), ensure_ascii=False) if json_output else shown(outcome))
    except HearingError as error:
        raise UserError(str(error)) from error


def _names_in(file: Path) -> Names:
    procedure, _ = read_procedure_file(file)
    return Dialogue(plan_for(procedure, Settings().conditions(procedure))).names


def heard(listener: Listener, names: Names, path: Path, sound: Samples) -> Outcome:
    """What was made of one recording."""
    begun_s = time.perf_counter()
    hearing: Hearing = listener.understand(sound)
    work_s = time.perf_counter() - begun_s
    return Outcome(
        file=printable(path),
        outcome="understood" if hearing.text else "refused",
        why="" if hearing.text else hearing.why,
        text=hearing.text,
        alternatives=hearing.alternatives,
        events=[event_fields(event) for event in meaning(hearing.text, names)],
        audio_s=round(len(sound) / RATE_HZ, 3),
        work_s=round(work_s, 3),
    )


def event_fields(event: EngineInput) -> dict[str, Any]:
    """An event as its name and what it says, without times: a recording is at no time of a flight."""
    said = {
        name: value
        for name, value in asdict(event).items()
        if value is not None and name not in _NOT_READINGS
    }
    return {"event": type(event).__name__, **said}


def shown(outcome: Outcome) -> str:
    """One line for a person."""
    if outcome.outcome == "understood":
        return f"{outcome.file}: {outcome.text}"
    return f"{outcome.file}: refused, {outcome.why}"


def expectation_from(text: str) -> Expectation:
    """`dme_nm=16.4,indicated_ft=4800` as windows about those values; UserError where it is no such thing."""
    values: dict[str, float] = {}
    for part in text.split(","):
        name, _, number = part.partition("=")
        # Without an altimeter at hand, what is read and the altitude are the same.
        field = "indicated_ft" if name.strip() == "altitude_ft" else name.strip()
        mistake = UserError(
            f"--expect {part.strip()!r}: give dme_nm, altitude_ft or radial_deg, each =NUMBER."
        )
        if field not in _FIELDS:
            raise mistake
        try:
            values[field] = float(number)
        except ValueError:
            raise mistake from None
    return expectation_around(**values)
