"""One live flight, flown: keyboard, ears, voice and screen around a session."""

import asyncio
import sys
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import typer
from rich.console import Console

from assistant.adapters.console import Screen, WallClock, glance_line, typed_lines
from assistant.adapters.keys import can_read_keys, keys_unbuffered, typed_keys
from assistant.adapters.screen import CockpitScreen
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.typed_switch import without_presses
from assistant.caution import CAUTION
from assistant.cli.errors import INTERRUPTED
from assistant.cli.inputs import printable
from assistant.cli.microphone import LiveEars, ending, live_ears, recording_source, shown_words, until
from assistant.cli.microphone_options import MicrophoneOptions
from assistant.cli.native_messages import native_messages_silenced
from assistant.cli.voice_options import VoiceOptions, open_voice
from assistant.conversation import Conversation
from assistant.flight_log import Record, Writer
from assistant.foreseen import foreseen
from assistant.session import Session, Source, Watch

if TYPE_CHECKING:
    from pathlib import Path

    from assistant.adapters.speech_in.audio import Samples
    from assistant.adapters.speech_in.partial_words import PartialWords
    from assistant.adapters.speech_out.voice import SpokenVoice

STANDARD_INPUT = 0
"""Its file descriptor; sys.stdin is None where it is closed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cockpit:
    """
    How the flight is heard and seen.

    voice: None for text alone. glance: a line after what is said. microphone: what was asked of hearing.
    recording: heard in the microphone's place.
    """

    voice: VoiceOptions | None = None
    glance: bool = False
    microphone: MicrophoneOptions = field(default_factory=MicrophoneOptions)
    recording: "Samples | None" = None


def fly_live(
    conversation: Conversation,
    clock: WallClock,
    writer: Writer,
    log: "Path",
    *,
    cockpit: Cockpit,
    opening: tuple[str, ...],
) -> None:
    """Fly until the keyboard ends or interrupts (exit status 130). `opening`: lines shown first."""
    for line in (CAUTION, *opening):
        typer.echo(line)
    with native_messages_silenced() if cockpit.voice is not None else nullcontext():
        flight = _Flight(conversation, clock, writer, cockpit)
        typer.echo(f"Flight log: {printable(log)}")
        try:
            flight.fly()
        except KeyboardInterrupt:
            typer.echo("\nEnded.")
            raise SystemExit(INTERRUPTED) from None
        finally:
            flight.close()
    typer.echo("Ended.")


class _Flight:
    """The parts of one flight; what is lacking is told once, where the pilot looks."""

    def __init__(
        self,
        conversation: Conversation,
        clock: WallClock,
        writer: Writer,
        cockpit: Cockpit,
    ) -> None:
        self._conversation = conversation
        self._clock = clock
        self._writer = writer
        self._cockpit = cockpit
        self._sound = cockpit.recording
        self._lacking: list[str] = []
        self._shown: Callable[[str], None] = self._lacking.append
        self._over = asyncio.Event()
        # The listener starts in its own process while the voice is made ready.
        self._ears = self._open_ears()
        self._words: PartialWords | None = None
        self._voice = self._open_voice()
        if self._ears is not None:
            # What is said before the listener is ready would seem to be pressed and released at one moment.
            self._ears.listener.wait()

    def fly(self) -> None:
        """Fly, drawn in place where the terminal allows it."""
        is_drawn = self._cockpit.voice is not None or self._ears is not None
        if is_drawn and can_read_keys(STANDARD_INPUT) and sys.stdout.isatty():
            self._fly_drawn()
        else:
            self._fly_printed()

    def close(self) -> None:
        """Let go of the devices."""
        for part in (self._ears, self._words, self._voice):
            if part is not None:
                part.close()

    def _fly_printed(self) -> None:
        """Fly with a line a callout, for any terminal, file or program."""
        typed = sys.stdin is not None and sys.stdin.isatty()
        dialogue = self._conversation.dialogue
        glance = (lambda t_s: glance_line(dialogue.glance(t_s))) if self._cockpit.glance else None
        screen = Screen(Console(), echo=not typed or self._ears is not None, glance=glance)
        self._tell_by(_tell)
        lines: Source = typed_lines(STANDARD_INPUT, self._clock)
        if self._ears is not None and self._ears.typed is not None:
            lines = without_presses(lines, self._ears.typed)
        self._run(lines, screen.watch)

    def _fly_drawn(self) -> None:
        """Fly with a screen for a glance, drawn in place."""
        ears = self._ears
        if ears is not None:
            self._words = shown_words(self._cockpit.microphone, self._conversation.dialogue.names)
        screen = CockpitScreen(
            Console(),
            title=self._conversation.dialogue.engine.state.plan.procedure.title,
            glance=self._conversation.dialogue.glance,
            now_s=self._clock.now_s,
            microphone=(lambda: "off") if ears is None else (lambda: str(ears.state)),
        )
        self._tell_by(screen.tell)
        pressed = ears.typed.pressed if ears is not None and ears.typed is not None else lambda: None
        with keys_unbuffered(STANDARD_INPUT), screen:
            self._run(typed_keys(STANDARD_INPUT, self._clock, screen.typing, pressed), screen.watch)

    def _run(self, lines: Source, watch: Watch) -> None:
        """Fly, each record in the log before it is shown: nothing is shown that the log could lose."""

        def write_and_watch(records: tuple[Record, ...]) -> None:
            self._writer.write(records)
            watch(records)

        session = Session(
            self._conversation,
            sources=[ending(lines, self._over), *self._heard()],
            clock=self._clock,
            watch=write_and_watch,
            voice=self._voice,
            tell=self._tell,
        )
        asyncio.run(session.run())

    def _heard(self) -> list[Source]:
        """What is heard beside the keyboard: a recording to its end, a microphone to that of the keyboard."""
        dialogue = self._conversation.dialogue
        voice = self._voice
        is_sounding = (lambda: False) if voice is None else (lambda: voice.is_sounding)
        try:
            if self._sound is not None:
                heard = self._cockpit.microphone
                return [recording_source(self._sound, heard, dialogue, self._clock, self._tell)]
            if self._ears is None:
                return []
            source = self._ears.source(
                dialogue, self._clock, is_sounding=is_sounding, tell=self._tell, words=self._words
            )
        except HearingError as error:
            self._tell(f"{error} Going on by the keyboard.")
            return []
        return [until(source, self._over)]

    def _open_ears(self) -> LiveEars | None:
        """The microphone and what is talked by; without one, a sentence on what is missing."""
        options = self._cockpit.microphone
        if self._sound is not None or not options.is_wanted:
            return None
        try:
            return live_ears(options, self._conversation.dialogue.names, self._tell)
        except HearingError as error:
            self._tell(f"{error} Going on by the keyboard.")
            return None

    def _open_voice(self) -> "SpokenVoice | None":
        """The voice; without one, a sentence on what is missing."""
        from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # --text needs none

        if self._cockpit.voice is None:
            return None
        try:
            return open_voice(self._cockpit.voice, foreseen(self._conversation.dialogue.engine.state.plan))
        except VoiceUnavailable as unavailable:
            self._tell(f"{unavailable} Going on in text.")
            return None

    def _tell(self, sentence: str) -> None:
        self._shown(sentence)

    def _tell_by(self, shown: Callable[[str], None]) -> None:
        """From now on sentences are shown so, and those that waited first."""
        self._shown = shown
        for sentence in self._lacking:
            shown(sentence)


def _tell(sentence: str) -> None:
    typer.echo(sentence, err=True)
