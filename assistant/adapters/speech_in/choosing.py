"""Recognisers by name: the one place that knows which there are."""

from collections.abc import Callable
from pathlib import Path

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.recogniser import Recogniser
from assistant.adapters.speech_in.vosk_folders import model_folder

NAMES = ("pocketsphinx", "vosk")


def recogniser(name: str, model: Path | None, tell: Callable[[str], None]) -> Recogniser:
    """The recogniser of that name, loaded; HearingError with one sentence where it cannot be."""
    # Loaded late: each needs packages that the other does not.
    match name:
        case "pocketsphinx":
            from assistant.adapters.speech_in.pocketsphinx_recogniser import (  # noqa: PLC0415  # see above
                PocketsphinxRecogniser,
            )

            return PocketsphinxRecogniser()
        case "vosk":
            from assistant.adapters.speech_in.vosk_recogniser import (  # noqa: PLC0415  # see above
                VoskRecogniser,
            )

            return VoskRecogniser(model_folder(model), tell)
        case _:
            raise HearingError(f"{name!r} is no recogniser; there are {' and '.join(NAMES)}.")
