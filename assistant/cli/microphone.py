"""The ears of a flight: a microphone or a recording, what the pilot talks by, and a listener."""

import asyncio
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.typed_switch import TypedSwitch
from assistant.cli.errors import UserError
from assistant.cli.microphone_options import MicrophoneOptions
from assistant.dialogue import Dialogue
from assistant.language.grammar import Names
from assistant.language.transcript import Transcript
from assistant.session import Clock, Source, Talking

if TYPE_CHECKING:
    from assistant.adapters.speech_in.audio import Samples
    from assistant.adapters.speech_in.listener import Listener
    from assistant.adapters.speech_in.listening_process import ListenerChoice, ListenerProcess
    from assistant.adapters.speech_in.live_speech import EarState
    from assistant.adapters.speech_in.microphone import Microphone
    from assistant.adapters.speech_in.partial_words import PartialWords
    from assistant.adapters.speech_in.talk_switch import TalkSwitch

_FILE = "file:"

Tell = Callable[[str], None]


def made_listener(choice: "ListenerChoice") -> "tuple[Listener, tuple[str, ...]]":
    """The listener that was chosen, and sentences for the pilot; HearingError where it cannot be made."""
    from assistant.adapters.speech_in.address import address_words, addressed_recogniser  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.choosing import recogniser, second_opinion  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.listener import Listener  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.recogniser import Recogniser  # noqa: PLC0415  # an extra

    sentences: list[str] = []
    found: Recogniser = recogniser(
        choice.recogniser, choice.model, sentences.append, choice.own_voice, is_live=choice.is_live
    )
    opinion = second_opinion(choice.second_opinion, choice.recogniser)
    if choice.address:
        if opinion is not None:
            raise HearingError("--second-opinion does not know --address words: leave one of them out.")
        found = addressed_recogniser(found, address_words(choice.address))
    return Listener(found, choice.names, opinion), tuple(sentences)


def recording(options: MicrophoneOptions) -> "Samples | None":
    """The sound of file:PATH; None for a real microphone. UserError for what cannot be read."""
    if options.microphone is None or not options.microphone.startswith(_FILE):
        return None
    from assistant.adapters.speech_in.audio import read_audio  # noqa: PLC0415  # numpy, an extra

    try:
        return read_audio(Path(options.microphone.removeprefix(_FILE)))
    except HearingError as error:
        raise UserError(str(error)) from error


def recording_source(
    sound: "Samples", options: MicrophoneOptions, dialogue: Dialogue, clock: Clock, tell: Tell
) -> Source:
    """The transcripts of what is spoken in a recording, for a session; HearingError without a listener."""
    from assistant.adapters.speech_in.listening_process import ListenerChoice  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.recorded_speech import recorded_speech  # noqa: PLC0415  # see above

    listener, sentences = made_listener(
        ListenerChoice(
            recogniser=options.recogniser,
            model=options.model,
            names=dialogue.names,
            second_opinion=options.second_opinion,
            own_voice=options.own_voice,
        )
    )
    for sentence in sentences:
        tell(sentence)
    return recorded_speech(sound, listener, clock, dialogue.expectation)


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveEars:
    """
    A microphone that is open and a listener that is on its way.

    switches: what the pilot talks by, none for an open microphone. typed: the console as a switch, where it
    is the only one.
    """

    options: MicrophoneOptions
    microphone: "Microphone"
    listener: "ListenerProcess"
    state: "EarState"
    switches: "tuple[TalkSwitch, ...]"
    typed: TypedSwitch | None

    def source(
        self,
        dialogue: Dialogue,
        clock: Clock,
        *,
        is_sounding: Callable[[], bool],
        tell: Tell,
        words: "PartialWords | None",
    ) -> Source:
        """
        What the pilot says, for a session. HearingError where the listener or a switch cannot be used.

        is_sounding: whether our own voice is speaking. words: decodes meanwhile, for a screen.
        """
        from assistant.adapters.speech_in.live_speech import Ears, open_speech, pressed_speech  # noqa: PLC0415
        from assistant.adapters.speech_in.speech_detector import silero  # noqa: PLC0415  # an extra

        for sentence in self.listener.started():
            tell(sentence)
        ears = Ears(
            microphone=self.microphone,
            listener=self.listener,
            clock=clock,
            expected=dialogue.expectation,
            state=self.state,
            tell=tell,
            words=words,
        )
        if not self.options.is_open:
            return pressed_speech(ears, self.switches)
        heeded = (lambda: False) if self.options.has_headphones else is_sounding
        return open_speech(ears, silero(), is_sounding=heeded)

    def close(self) -> None:
        """Let go of the microphone and end the listener."""
        self.microphone.close()
        self.listener.close()


def live_ears(options: MicrophoneOptions, names: Names, tell: Tell) -> LiveEars:
    """Open the microphone and start the listener; HearingError, with one sentence, where that cannot be."""
    from assistant.adapters.speech_in.address import address_words  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.listening_process import ListenerChoice, ListenerProcess  # noqa: PLC0415
    from assistant.adapters.speech_in.live_speech import EarState  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.microphone import Microphone  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.talk_switch import talk_switches  # noqa: PLC0415  # an extra

    if options.address:
        address_words(options.address)
    switches = talk_switches(options.talk_button, options.talk_key, options.talk_mode, tell)
    typed = TypedSwitch() if not switches and not options.is_open else None
    listener = ListenerProcess(
        made_listener,
        ListenerChoice(
            recogniser=options.recogniser,
            model=options.model,
            names=names,
            second_opinion=options.second_opinion,
            address=options.address if options.is_open else "",
            own_voice=options.own_voice,
        ),
    )
    try:
        microphone = Microphone(options.microphone, tell)
    except HearingError:
        listener.close()
        raise
    return LiveEars(
        options=options,
        microphone=microphone,
        listener=listener,
        state=EarState(microphone, "open" if options.is_open else "ready"),
        switches=(*switches, typed) if typed is not None else switches,
        typed=typed,
    )


def shown_words(options: MicrophoneOptions, names: Names) -> "PartialWords":
    """What writes words on the screen while they are spoken."""
    from assistant.adapters.speech_in.partial_words import PartialWords  # noqa: PLC0415  # an extra

    return PartialWords(names, options.address if options.is_open else "")


async def ending(source: Source, over: asyncio.Event) -> AsyncIterator[Transcript | Talking]:
    """A source whose end is the end of the flight."""
    async for item in source:
        yield item
    over.set()


async def until(source: Source, over: asyncio.Event) -> AsyncIterator[Transcript | Talking]:
    """A source that would never end, up to the end of the flight."""
    stop = asyncio.create_task(over.wait())
    items = aiter(source)
    try:
        while True:
            item = asyncio.ensure_future(anext(items))
            await asyncio.wait({item, stop}, return_when=asyncio.FIRST_COMPLETED)
            if not item.done():
                item.cancel()
                await asyncio.gather(item, return_exceptions=True)
                return
            try:
                heard = item.result()
            except StopAsyncIteration:
                return
            yield heard
    finally:
        stop.cancel()
