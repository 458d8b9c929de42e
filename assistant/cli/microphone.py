"""The microphone option of a flight: so far, a recording in a microphone's place."""

from pathlib import Path
from typing import TYPE_CHECKING

from assistant.cli.errors import UserError
from assistant.dialogue import Dialogue
from assistant.session import Clock, Source

if TYPE_CHECKING:
    from assistant.adapters.speech_in.audio import Samples

_FILE = "file:"


def open_microphone(name: str) -> "Samples":
    """The sound of `file:PATH`; UserError for anything else and for what cannot be read."""
    from assistant.adapters.speech_in.audio import read_audio  # noqa: PLC0415  # numpy, an extra
    from assistant.adapters.speech_in.errors import HearingError  # noqa: PLC0415  # see above

    if not name.startswith(_FILE):
        raise UserError(f"--microphone {name}: give a recording as file:PATH.")
    try:
        return read_audio(Path(name.removeprefix(_FILE)))
    except HearingError as error:
        raise UserError(str(error)) from error


def microphone_source(sound: "Samples", dialogue: Dialogue, clock: Clock) -> Source:
    """The transcripts of what is spoken in it, for a session."""
    from assistant.adapters.speech_in.choosing import recogniser  # noqa: PLC0415  # an extra
    from assistant.adapters.speech_in.errors import HearingError  # noqa: PLC0415  # see above
    from assistant.adapters.speech_in.listener import Listener  # noqa: PLC0415  # see above
    from assistant.adapters.speech_in.recorded_speech import recorded_speech  # noqa: PLC0415  # see above

    try:
        listener = Listener(recogniser("pocketsphinx", None, lambda _: None), dialogue.names)
    except HearingError as error:
        raise UserError(str(error)) from error
    return recorded_speech(sound, listener, clock, dialogue.expectation)
