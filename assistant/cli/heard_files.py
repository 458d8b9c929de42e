"""Recordings heard one by one, and how the outcome is shown."""

import json
import time
from collections import Counter
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import typer

from assistant.adapters.speech_in.audio import RATE_HZ, Samples, read_audio
from assistant.adapters.speech_in.choosing import recogniser as recogniser_named
from assistant.adapters.speech_in.choosing import second_opinion
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.listener import Hearing, Listener, meaning
from assistant.adapters.speech_in.prompts import NAMES as PROMPT_NAMES
from assistant.adapters.speech_in.recordings import NEGATIVE, Recording, event_fields, recordings
from assistant.cli.errors import WRONG_INPUT, UserError
from assistant.cli.inputs import plan_for, printable, read_procedure_file
from assistant.dialogue import Dialogue
from assistant.language.choice import Expectation, expectation_around
from assistant.language.grammar import Names
from assistant.preferences.settings import Settings

_FIELDS = ("dme_nm", "indicated_ft", "radial_deg")


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
    manifest: Path | None,
    procedure: Path | None,
    expect: str | None,
    recogniser: str,
    model: Path | None,
    opinion: Path | None,
    own_voice: Path | None,
    json_output: bool,
) -> None:
    """
    Hear each recording and print what was made of it; with a folder's list, how much of it was right.

    A recording that cannot be read is told of like one that was refused, the others are heard, and the exit
    status is that of wrong input. UserError for anything else that cannot be used.
    """
    if procedure is not None:
        names = _names_in(procedure)
    else:
        names = PROMPT_NAMES if manifest is not None else Names()
    expectation = expectation_from(expect) if expect is not None else None
    try:
        listed = _listed(manifest) if manifest is not None else {}
        listener = Listener(
            recogniser_named(recogniser, model, lambda sentence: typer.echo(sentence, err=True), own_voice),
            names,
            second_opinion(opinion, recogniser),
        )
        listener.expect(expectation)
    except HearingError as error:
        raise UserError(str(error)) from error
    verdicts: Counter[str] = Counter()
    unread = 0
    for path in (*files, *listed):
        try:
            outcome = heard(listener, names, path, read_audio(path))
        except HearingError as error:
            outcome = _unread(path, str(error))
            unread += 1
            typer.echo(str(error), err=True)
            if not json_output:
                continue
        fields = asdict(outcome)
        if path in listed:
            verdict = verdict_on(outcome, listed[path])
            verdicts[verdict] += 1
            fields |= {"words": listed[path].words, "verdict": verdict}
        typer.echo(
            json.dumps(fields, ensure_ascii=False) if json_output else shown(outcome, listed.get(path))
        )
    if listed and not json_output:
        typer.echo(
            f"{verdicts['right']} right, {verdicts['refused']} refused, {verdicts['wrong']} wrong "
            f"of {len(listed)}."
        )
    if unread:
        raise typer.Exit(WRONG_INPUT)


def verdict_on(outcome: Outcome, recording: Recording) -> str:
    """Whether it was heard right, refused or wrong; what is not for us is right when it is refused."""
    if outcome.outcome == "refused":
        return "right" if recording.kind == NEGATIVE else "refused"
    return "right" if outcome.events == recording.meaning else "wrong"


def _listed(folder: Path) -> dict[Path, Recording]:
    return {folder / recording.file: recording for recording in recordings(folder)}


def _unread(path: Path, why: str) -> Outcome:
    return Outcome(
        file=printable(path),
        outcome="refused",
        why=why,
        text="",
        alternatives=(),
        events=[],
        audio_s=0.0,
        work_s=0.0,
    )


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


def shown(outcome: Outcome, recording: Recording | None = None) -> str:
    """One line for a person; of a listed recording, what was said where that was not heard."""
    made = outcome.text if outcome.outcome == "understood" else f"refused, {outcome.why}"
    if recording is None or verdict_on(outcome, recording) == "right":
        return f"{outcome.file}: {made}"
    return f"{outcome.file}: {made}; said was: {recording.words}"


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
