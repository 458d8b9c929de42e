"""Joins the parts of a rehearsal: aircraft, dialogue, keyboard, voice, and a clock that may run fast."""

import asyncio
import sys
import time
from collections.abc import AsyncIterator
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import typer
from rich.console import Console

from assistant.adapters.console import Screen, typed_lines
from assistant.adapters.transcript_file import clock_text
from assistant.caution import CAUTION
from assistant.cli.errors import INTERRUPTED
from assistant.cli.inputs import conversation_for, read_procedure_file, remembered
from assistant.cli.native_messages import native_messages_silenced
from assistant.cli.voice_options import VoiceOptions, open_voice
from assistant.conversation import Conversation
from assistant.dialogue import Prompting
from assistant.engine.plan import Phase
from assistant.flight_log import Record, Spoken
from assistant.foreseen import foreseen
from assistant.language.transcript import Transcript
from assistant.preferences.settings import Settings
from assistant.session import Session
from assistant.simulation.case import Case, crew_of, first_course_deg
from assistant.simulation.habits import STEADY
from assistant.simulation.rehearsal import Rehearsal

if TYPE_CHECKING:
    from assistant.adapters.speech_out.voice import SpokenVoice

_STANDARD_INPUT = 0
_FALLBACK_FROM_DEG = 160.0
# A rehearsal ends this long after going around, when it has shown the way to the hold.
_MISSED_S = 300.0


class FastClock:
    """The seconds of a session that runs at some rate of real time."""

    def __init__(self, rate: float) -> None:
        self._rate = rate
        self._zero_s = time.monotonic()

    def now_s(self) -> float:
        """Seconds since the session began, as the aircraft has flown them."""
        return (time.monotonic() - self._zero_s) * self._rate

    async def sleep_until(self, t_s: float) -> None:
        """Return at that moment, or at once when it has passed."""
        await asyncio.sleep(max(0.0, t_s - self.now_s()) / self._rate)


def run(
    file: Path,
    day: Settings,
    *,
    rate: float,
    demonstrates: bool,
    every_s: float,
    from_deg: float | None,
    voice: VoiceOptions | None,
) -> None:
    """Rehearse until the keyboard, or the demonstration, ends."""
    settings = day.over(remembered())
    procedure, _ = read_procedure_file(file)
    conditions = settings.conditions(procedure)
    conversation = conversation_for(procedure, conditions, settings.prompting or Prompting.FULL)
    plan = conversation.dialogue.engine.state.plan
    course_deg = first_course_deg(procedure)
    if from_deg is None:
        hold = procedure.hold
        course_deg = hold.inbound_course_mag_deg + _FALLBACK_FROM_DEG if hold is not None else course_deg
        from_deg = 0.0 if course_deg is None else (course_deg + (0.0 if hold is not None else 180.0)) % 360.0
    case = Case(
        seed=1,
        conditions=conditions,
        wind=conditions.wind,
        gust_share=0.0,
        habits=STEADY,
        from_deg=from_deg,
        ending="land",
        circuits=1,
    )
    rehearsal = Rehearsal(crew_of(plan, case), demonstrates=demonstrates)
    typer.echo(CAUTION)
    typer.echo(f"{procedure.title}. {procedure.edition}. Ten miles to the first fix; Ctrl-D ends.")
    with native_messages_silenced() if voice is not None else nullcontext():
        aloud = _voice(voice, conversation)
        try:
            asyncio.run(_rehearse(conversation, rehearsal, rate, every_s, aloud, demonstrates=demonstrates))
        except KeyboardInterrupt:
            typer.echo("\nEnded.")
            raise SystemExit(INTERRUPTED) from None
        finally:
            if aloud is not None:
                aloud.close()
    typer.echo("Ended.")


def _voice(options: VoiceOptions | None, conversation: Conversation) -> "SpokenVoice | None":
    """The voice where one was asked for and there is one; a sentence where not."""
    if options is None:
        return None
    from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # an extra's

    try:
        return open_voice(options, foreseen(conversation.dialogue.engine.state.plan))
    except VoiceUnavailable as unavailable:
        typer.echo(f"{unavailable} Going on in text.", err=True)
        return None


async def _rehearse(
    conversation: Conversation,
    rehearsal: Rehearsal,
    rate: float,
    every_s: float,
    voice: "SpokenVoice | None",
    *,
    demonstrates: bool,
) -> None:
    clock = FastClock(rate)
    console = Console()
    typed = sys.stdin is not None and sys.stdin.isatty()
    screen = Screen(console, echo=demonstrates or not typed)
    said: asyncio.Queue[str | None] = asyncio.Queue()

    def watch(records: tuple[Record, ...]) -> None:
        screen.watch(records)
        for record in records:
            if isinstance(record, Spoken):
                rehearsal.hear(record.text, record.t_s)

    async def demonstrated() -> AsyncIterator[Transcript]:
        while (words := await said.get()) is not None:
            now_s = clock.now_s()
            yield Transcript(text=words, started_t_s=now_s, ended_t_s=now_s)

    source = demonstrated() if demonstrates else typed_lines(_STANDARD_INPUT, clock)
    session = Session(
        conversation,
        sources=[source],
        clock=clock,
        watch=watch,
        voice=voice,
        tell=lambda sentence: typer.echo(sentence, err=True),
    )
    flying = asyncio.create_task(_fly(conversation, rehearsal, clock, every_s, said))
    try:
        await session.run()
    finally:
        flying.cancel()


async def _fly(
    conversation: Conversation,
    rehearsal: Rehearsal,
    clock: FastClock,
    every_s: float,
    said: "asyncio.Queue[str | None]",
) -> None:
    """Fly second by second, show the instruments now and then, end when the flight has."""
    shown_s, missed_s, t_s = 0.0, None, 0.0
    while True:
        t_s = max(t_s + 1.0, clock.now_s())
        await clock.sleep_until(t_s)
        state = conversation.dialogue.engine.state
        for words in rehearsal.advance(t_s, state):
            said.put_nowait(words)
        if t_s - shown_s >= every_s:
            shown_s = t_s
            typer.echo(f"{clock_text(t_s)}    {rehearsal.shown(state)}")
        if state.stage.phase is Phase.MISSED and missed_s is None:
            missed_s = t_s
        if state.ended or (missed_s is not None and t_s - missed_s > _MISSED_S):
            said.put_nowait(None)
            return
