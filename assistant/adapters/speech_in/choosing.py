"""Recognisers by name: the one place that knows which there are."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.recogniser import Recogniser
from assistant.adapters.speech_in.second_opinion import SecondOpinion
from assistant.adapters.speech_in.vosk_folders import model_folder

NAMES = ("pocketsphinx", "vosk")


def recogniser(
    name: str,
    model: Path | None,
    tell: Callable[[str], None],
    own_voice: Path | None = None,
    *,
    is_live: bool = False,
) -> Recogniser:
    """
    The recogniser of that name, loaded; HearingError with one sentence where it cannot be.

    own_voice: the file of the pilot's voice, which pocketsphinx can be fitted to. is_live: somebody waits for
    it, so that what can be worked out in a second process is.
    """
    if own_voice is not None and name != "pocketsphinx":
        raise HearingError(f"A pilot's own voice goes with pocketsphinx only: {name} cannot be fitted to it.")
    # Loaded late: each needs packages that the other does not.
    match name:
        case "pocketsphinx":
            from assistant.adapters.speech_in.live_recogniser import LiveRecogniser  # noqa: PLC0415  # see above
            from assistant.adapters.speech_in.own_voices import kept_voice  # noqa: PLC0415  # see above
            from assistant.adapters.speech_in.suited_recogniser import (  # noqa: PLC0415  # see above
                SuitedRecogniser,
                kinds_of_model,
                own_voice_recogniser,
                recogniser_for,
            )

            # A pilot's own voice was learned with the pilot's own microphone, and knows its kind.
            voice = None if own_voice is None else kept_voice(own_voice)
            if is_live:
                kinds = kinds_of_model() if voice is None else None
                return LiveRecogniser(partial(recogniser_for, voice), kinds)
            return SuitedRecogniser() if voice is None else own_voice_recogniser(voice)
        case "vosk":
            from assistant.adapters.speech_in.vosk_recogniser import (  # noqa: PLC0415  # see above
                VoskRecogniser,
            )

            return VoskRecogniser(model_folder(model), tell)
        case _:
            raise HearingError(f"{name!r} is no recogniser; there are {' and '.join(NAMES)}.")


def second_opinion(model: Path | None, name: str) -> SecondOpinion | None:
    """
    The second opinion beside the recogniser of that name, by the model in a folder; None where none is named.

    HearingError with one sentence where it cannot be had.
    """
    if model is None:
        return None
    if name != "pocketsphinx":
        raise HearingError(f"A second opinion goes with pocketsphinx only: {name} gives no scores to weigh.")
    from assistant.adapters.speech_in.general_model import GeneralModel  # noqa: PLC0415  # see above

    return GeneralModel(model)
