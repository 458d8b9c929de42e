"""
A folder of recordings and its list: `manifest.jsonl`, a line a recording.

What the project ships, what a pilot records and what the benchmark reads all have this form.
"""

import json
from dataclasses import asdict, dataclass, fields
from pathlib import Path, PurePath
from typing import Any

from assistant.adapters.speech_in.audio import Samples, write_audio
from assistant.adapters.speech_in.errors import HearingError
from assistant.engine.events import EngineInput

LIST = "manifest.jsonl"
NEGATIVE = "negative"
"""The kind of what is not for us: chatter, other people's radio talk."""

_NOT_READINGS = ("t_s", "observed_t_s", "confidence")


@dataclass(frozen=True, slots=True, kw_only=True)
class Recording:
    """
    One recording; field names as in the list.

    `file` is its path in the folder, `words` what is said in it, `meaning` the events to come of them (see
    `event_fields`), `kind` what it is about (or NEGATIVE), `voice` whose it is, `set` is
    "development" where anything was tuned on it and "held out" where nothing was, `made` by what, `licence`
    what others may do with it.
    """

    file: str
    words: str
    meaning: list[dict[str, Any]]
    kind: str
    voice: str
    set: str
    made: str
    licence: str


def event_fields(event: EngineInput) -> dict[str, Any]:
    """An event as its name and what it says, without times: a recording is at no time of a flight."""
    said = {
        name: value
        for name, value in asdict(event).items()
        if value is not None and name not in _NOT_READINGS
    }
    return {"event": type(event).__name__, **said}


def recordings(folder: Path) -> tuple[Recording, ...]:
    """The recordings of a folder; HearingError where it has no list, or a line of it is none."""
    path = folder / LIST
    names = [field.name for field in fields(Recording)]
    found = []
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise HearingError(f"{folder}: no {LIST} in it; leadradial record makes one.") from None
    except UnicodeDecodeError:
        raise HearingError(f"{path}: not text; save it as plain UTF-8.") from None
    for number, line in enumerate(text.splitlines(), start=1):
        try:
            entry = json.loads(line)
            found.append(_checked(Recording(**{name: entry[name] for name in names})))
        except (ValueError, TypeError, KeyError, RecursionError):
            raise HearingError(f"{path}:{number}: not a recording; it wants {', '.join(names)}.") from None
    return tuple(found)


def _checked(recording: Recording) -> Recording:
    """The recording; TypeError where a field is of another kind, or its file lies outside the folder."""
    texts = [value for name, value in asdict(recording).items() if name != "meaning"]
    events = recording.meaning
    if not all(isinstance(text, str) for text in texts) or not isinstance(events, list):
        raise TypeError
    path = PurePath(recording.file)
    if path.is_absolute() or ".." in path.parts or not all(isinstance(event, dict) for event in events):
        raise TypeError
    return recording


def keep(folder: Path, recording: Recording, sound: Samples) -> None:
    """
    Write a recording and its line, in this order, so that no line is ever without its recording.

    OSError where the disk does not take it.
    """
    path = folder / recording.file
    path.parent.mkdir(parents=True, exist_ok=True)
    write_audio(path, sound)
    with (folder / LIST).open("a", encoding="utf-8") as listed:
        listed.write(json.dumps(asdict(recording), ensure_ascii=False) + "\n")
