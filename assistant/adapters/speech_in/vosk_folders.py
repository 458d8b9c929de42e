"""Where models for vosk lie on this machine, and which one is used."""

import os
from collections.abc import Iterator
from pathlib import Path

import platformdirs

from assistant.adapters.speech_in.errors import HearingError

_NEEDED = ("am/final.mdl", "final.mdl")


def models_folder() -> Path:
    """Where `leadradial voice-model` puts what it fetches; need not exist."""
    return Path(platformdirs.user_data_dir("leadradial", appauthor=False)) / "models"


def model_folder(given: Path | None) -> Path:
    """
    The folder of the model to use: as given, of VOSK_MODEL_PATH, or the first English one found.

    HearingError where there is none, or where the folder holds no model.
    """
    named = os.environ.get("VOSK_MODEL_PATH")
    folder = given or (Path(named) if named else next(iter(found_folders()), None))
    if folder is None:
        raise HearingError("No vosk model found: leadradial voice-model fetches one; --model names another.")
    if not folder.is_dir():
        raise HearingError(f"{folder}: no such folder; a vosk model is an unpacked folder.")
    if not holds_model(folder):
        raise HearingError(f"{folder}: holds no vosk model (am/final.mdl is missing); unpack it again.")
    return folder


def holds_model(folder: Path) -> bool:
    """Whether a folder looks like a model: its acoustic part is there."""
    return any((folder / needed).is_file() for needed in _NEEDED)


def found_folders() -> Iterator[Path]:
    """English models where we put them, and where vosk itself looks."""
    home = Path.home()
    caches = (
        models_folder(),
        home / ".cache" / "vosk",
        home / "AppData" / "Local" / "vosk",
        Path("/usr/share/vosk"),
        Path("/usr/local/share/vosk"),
    )
    for cache in caches:
        if cache.is_dir():
            yield from sorted(filter(holds_model, cache.glob("vosk-model*-en*")))
