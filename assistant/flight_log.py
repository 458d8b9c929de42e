"""
The flight log: JSON Lines, from which alone a flight can be replayed, resumed and debriefed.

The first line is the header: format and version, the procedure file's whole text, the conditions, the
prompting. Every further line is one record, named by its `record` key: a transcript heard, an engine input or
output, words spoken or left unspoken. A line is written, flushed and fsynced before the next is begun, so a
killed program costs the line under way and no more; `read_log` takes such a file as far as it is whole, and
says so.

`record` and not `kind` is the key, since a callout has a `kind` of its own.
"""

import json
import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, BinaryIO, get_args

from pydantic import TypeAdapter, ValidationError

from assistant.engine.conditions import Conditions
from assistant.engine.events import Callout, EngineInput, EngineOutput
from assistant.language.transcript import Transcript

FORMAT = "leadradial-flight-log"
VERSION = 3
"""Raised when a reader of the old version would misread the new; a new kind of record is such a change."""


class Origin(StrEnum):
    """How the flight of a log came about: what is practice, and what only stands for some."""

    LIVE = "live"
    TRANSCRIPT = "transcript"
    SIMULATION = "simulation"
    UNKNOWN = "unknown"


def _from_version_1(header: dict[str, Any]) -> dict[str, Any]:
    """Version 1 did not say how the flight came about."""
    return {**header, "origin": Origin.UNKNOWN.value}


def _from_version_2(header: dict[str, Any]) -> dict[str, Any]:
    """Version 2 knew no true places."""
    return header


_MIGRATIONS: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {1: _from_version_1, 2: _from_version_2}
"""By version: what makes of a header that of the next version. No version so far changed the records."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """
    What a flight was begun with.

    `started_utc` is the wall clock (ISO 8601) at which `t_s` was 0.
    """

    leadradial: str
    started_utc: str
    procedure_name: str
    procedure_text: str
    conditions: Conditions
    prompting: str
    origin: Origin = Origin.LIVE


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """A transcript as it arrived, before anything was made of it."""

    t_s: float
    transcript: Transcript


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """Words given to the voice."""

    t_s: float
    text: str
    callout: Callout


@dataclass(frozen=True, slots=True, kw_only=True)
class NotSpoken:
    """A callout that was not spoken, or not to its end, and why."""

    t_s: float
    callout: Callout
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed:
    """The program was started again and took the flight up at this moment."""

    t_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TruePlace:
    """Where a simulated aircraft truly was, on QNH: nothing that the engine was told of."""

    t_s: float
    radial_deg: float
    dme_nm: float
    altitude_ft: float


Record = Heard | EngineInput | EngineOutput | Spoken | NotSpoken | Resumed | TruePlace

BESIDE = (Resumed, TruePlace)
"""Records that stand beside the flight: to fly it again they are left out."""

RECORD_TYPES: dict[str, type] = {record_type.__name__: record_type for record_type in get_args(Record)}
_ADAPTERS: dict[str, TypeAdapter[Record]] = {name: TypeAdapter(kind) for name, kind in RECORD_TYPES.items()}
_HEADER: TypeAdapter[Header] = TypeAdapter(Header)


class LogError(Exception):
    """A file from which no flight can be read; the message is one line with a remedy."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightRecord:
    """
    A log as far as it is whole.

    whole_bytes: how much of the file that is; a log is resumed by cutting it there. notice: what was left
    out, or None.
    """

    header: Header
    records: tuple[Record, ...]
    whole_bytes: int
    notice: str | None = None


def header_line(header: Header) -> str:
    """The header as the first line of a log, without its newline."""
    fields = _HEADER.dump_python(header)
    return json.dumps({"format": FORMAT, "version": VERSION, **fields}, ensure_ascii=False)


def record_line(record: Record) -> str:
    """A record as a line of a log, without its newline; what is None is left out."""
    name = type(record).__name__
    fields = _ADAPTERS[name].dump_python(record, exclude_none=True)
    return json.dumps({"record": name, **fields}, ensure_ascii=False)


def record_from_line(line: str) -> Record:
    """The record on a line; ValueError where it is none."""
    fields = json.loads(line, parse_float=_number, parse_int=_whole, parse_constant=_number)
    name = fields.pop("record", None) if isinstance(fields, dict) else None
    adapter = _ADAPTERS.get(name) if isinstance(name, str) else None
    if adapter is None:
        raise ValueError(f"no record of a flight: {line[:40]}")
    return adapter.validate_python(fields)


LARGEST = 1e9
"""No time, altitude or angle of a flight is as large; what is larger, infinite or no number, is damage."""


def _number(text: str) -> float:
    value = float(text)
    if not -LARGEST <= value <= LARGEST:
        raise ValueError(f"no number of a flight: {text[:20]}")
    return value


def _whole(text: str) -> int:
    _number(text)
    return int(text)


class Writer:
    """
    Writes a log to a binary file that the caller opens and closes.

    Each record is on the disk when `write` returns: a flight that is not yet debriefed must outlive the
    program.
    """

    def __init__(self, file: BinaryIO) -> None:
        self._file = file

    def begin(self, header: Header) -> None:
        """Write the header, once, to an empty file."""
        self._line(header_line(header))

    def write(self, records: Iterable[Record]) -> None:
        """Append records in order."""
        for record in records:
            self._line(record_line(record))

    def _line(self, line: str) -> None:
        # A lone surrogate can come in with typed text and cannot be written as UTF-8; it is data, so it must
        # not raise.
        self._file.write(line.encode("utf-8", errors="replace") + b"\n")
        self._file.flush()
        os.fsync(self._file.fileno())


def read_log(data: bytes, name: str) -> FlightRecord:
    """
    The flight in a log's bytes, as far as they are whole.

    A line without its newline is not whole, since appending to it would spoil both. LogError where there is
    no readable header or the format is a newer one; `name` is what its message calls the file.
    """
    first, newline, _ = data.partition(b"\n")
    header = _read_header(first, name) if newline else _refuse_headless(data, name)
    records: list[Record] = []
    position = len(first) + 1
    line_number = 2
    notice = None
    while position < len(data):
        end = data.find(b"\n", position)
        record = _record_or_none(data[position:end]) if end >= 0 else None
        if record is None:
            left_out = "the last line is incomplete" if end < 0 else f"line {line_number} is damaged"
            notice = f"{name}: {left_out}; read as far as line {line_number - 1}."
            break
        records.append(record)
        position = end + 1
        line_number += 1
    return FlightRecord(
        header=header, records=tuple(records), whole_bytes=min(position, len(data)), notice=notice
    )


def _record_or_none(line: bytes) -> Record | None:
    try:
        return record_from_line(line.decode("utf-8"))
    except (
        ValueError,
        RecursionError,
    ):  # ValidationError, JSONDecodeError and UnicodeDecodeError are ValueErrors
        return None


def _refuse_headless(data: bytes, name: str) -> Header:
    if not data.strip():
        raise LogError(f"{name}: the flight log is empty; nothing was flown.")
    if data.lstrip().startswith(b"{"):
        raise LogError(
            f"{name}: not even the first line of the flight log is whole; nothing can be read from it."
        )
    raise LogError(f"{name}: this is no flight log; give a .jsonl file written by `leadradial fly`.")


def _read_header(line: bytes, name: str) -> Header:
    try:
        fields = json.loads(
            line.decode("utf-8"), parse_float=_number, parse_int=_whole, parse_constant=_number
        )
    except (ValueError, RecursionError):
        fields = None
    if not isinstance(fields, dict) or fields.pop("format", None) != FORMAT:
        raise LogError(f"{name}: this is no flight log; give a .jsonl file written by `leadradial fly`.")
    version = fields.pop("version", None)
    if not isinstance(version, int) or isinstance(version, bool):
        raise LogError(f"{name}:1: the flight log names no version of its format; it cannot be read safely.")
    if version > VERSION:
        raise LogError(
            f"{name}: written in version {version} of the log's format by leadradial "
            f"{fields.get('leadradial', '?')}; this program reads up to version {VERSION}; update leadradial."
        )
    if version < 1:
        raise LogError(
            f"{name}:1: there never was a version {version} of the log; its first line was altered."
        )
    for older in range(version, VERSION):
        fields = _MIGRATIONS[older](fields)
    try:
        return _HEADER.validate_python(fields)
    except ValidationError as error:
        first = error.errors()[0]
        field = ".".join(str(step) for step in first["loc"])
        raise LogError(f"{name}:1: {field}: {first['msg']}; the log's first line was altered.") from None
