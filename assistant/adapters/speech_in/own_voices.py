"""
Pilots' own voices, kept as files: what was learned of a voice by reading aloud, a file a pilot.

A file is bound to the model, the feature file and the front end that it was made with: it has a version, and
one of another version is refused with a sentence.
"""

import json
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from assistant.adapters.speech_in.acoustic_model import CEPSTRA, STREAMS
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.kinds_of_sound import Kind
from assistant.adapters.speech_in.voice_fitting import VoiceMap

VERSION = 2
"""To be raised when what a map is fitted to changes: features, front end, model."""

_LARGEST_BYTES = 100_000
"""A voice has 546 numbers, and is a tenth as long."""

PILOT_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnVoice:
    """A pilot's voice: the map to it of the means of its kind of sound, fitted to so many phrases."""

    fitted: VoiceMap
    phrases: int
    kind: Kind = Kind.GENERAL


def voice_file(folder: Path, pilot: str) -> Path:
    """Where a pilot's voice is kept; HearingError for what is no name."""
    if not PILOT_NAME.fullmatch(pilot):
        raise HearingError(f"{pilot!r}: give a pilot's name of letters, digits, - and _.")
    return folder / f"{pilot}.json"


def keep_voice(path: Path, voice: OwnVoice) -> None:
    """Keep a voice in place of that pilot's former one; OSError where the disk does not take it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    content = {
        "version": VERSION,
        "phrases": voice.phrases,
        "kind": voice.kind,
        "matrices": voice.fitted.matrices.round(6).tolist(),
        "offsets": voice.fitted.offsets.round(6).tolist(),
    }
    # Never half a file under its name.
    part = path.with_suffix(".part")
    part.write_text(json.dumps(content), encoding="utf-8")
    part.replace(path)


def kept_voice(path: Path) -> OwnVoice:
    """The voice in a pilot's file; HearingError with one sentence where there is none that can be used."""
    pilot = path.stem
    try:
        with path.open("rb") as file:
            data = file.read(_LARGEST_BYTES + 1)
        if len(data) > _LARGEST_BYTES:
            raise ValueError  # noqa: TRY301  # told of below, as any other file that is no voice
        content = json.loads(data)
        version = content["version"]
        matrices = np.array(content["matrices"], dtype=np.float64)
        offsets = np.array(content["offsets"], dtype=np.float64)
        phrases = int(content["phrases"])
        kind = Kind(content.get("kind", Kind.GENERAL))
    except FileNotFoundError:
        raise HearingError(f"No voice of {pilot} is kept; leadradial enrol {pilot} learns it.") from None
    except (OSError, ValueError, TypeError, KeyError, OverflowError, RecursionError):
        raise HearingError(f"{path}: not a voice; leadradial enrol {pilot} makes a new one.") from None
    if version != VERSION:
        raise HearingError(f"{path}: made by another leadradial; leadradial enrol {pilot} makes a new one.")
    shapes = (matrices.shape, offsets.shape)
    is_finite = np.isfinite(matrices).all() and np.isfinite(offsets).all()
    if shapes != ((STREAMS, CEPSTRA, CEPSTRA), (STREAMS, CEPSTRA)) or not is_finite:
        raise HearingError(f"{path}: not a voice; leadradial enrol {pilot} makes a new one.")
    return OwnVoice(fitted=VoiceMap(matrices=matrices, offsets=offsets), phrases=phrases, kind=kind)


def decoder_text(fitted: VoiceMap) -> str:
    """
    A map in pocketsphinx's form: one class, three streams; of each its length, rows, offsets, and by what its
    variances are multiplied.
    """
    lines = ["1", str(STREAMS)]
    for matrix, offset in zip(fitted.matrices, fitted.offsets, strict=True):
        lines.append(str(CEPSTRA))
        lines += [" ".join(f"{number:.6f}" for number in row) for row in (*matrix, offset)]
        lines.append(" ".join(["1.0"] * CEPSTRA))
    return "\n".join(lines) + "\n"
