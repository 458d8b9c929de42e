"""
A procedure's plain values to the YAML text of a file, with comments, as a person would write it.

The reverse of `load`: what is written here loads again as the same procedure. Radials and courses get three
digits, short groups of one line braces, and text that YAML would take for something else quotes.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from enum import Enum

from assistant.procedure.quantities import Record
from assistant.procedure.yaml12 import resolve_plain

HEADER = "# yaml-language-server: $schema=procedure.schema.json\n"
LONGEST_LINE = 110
_THREE_DIGITS = ("radial_deg", "course_mag_deg")
_SPECIAL = "!&*-?|>@`\"'#%{}[],:"
# What a reader wants to know where it stands; the meaning of every key is in the schema.
_COMMENTS = {
    "navaid": "declination: east positive, true = radial + declination",
    "fixes": "radials are magnetic and FROM the station, ranges are slant ranges",
    "hold": "exactly one of outbound_time_s and outbound_dme_nm",
    "legs": "in the order flown; a step-down says what applies from its place on",
    "minima": "mda_ft above mean sea level, mdh_ft above the QFE datum",
    "sectors": "clockwise between radials; together they close the circle",
}


def plain_values(record: Record) -> dict[str, object]:
    """A record as plain values, without what is left at its default."""
    values: dict[str, object] = {}
    for field in fields(record):  # type: ignore[arg-type]  # every Record is a dataclass
        value = getattr(record, field.name)
        if value != field.default or field.name == "kind":
            values[field.name] = _plain(value)
    return values


def _plain(value: object) -> object:
    if isinstance(value, Record):
        return plain_values(value)
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value.value if isinstance(value, Enum) else value


def procedure_text(values: Mapping[str, object]) -> str:
    """The file's text for a procedure's plain values, in the order of the values."""
    sections: list[str] = []
    plain: list[str] = []
    for key, value in values.items():
        if isinstance(value, Mapping | Sequence) and not isinstance(value, str):
            comment = f"  # {_COMMENTS[key]}" if key in _COMMENTS else ""
            sections.append("\n".join([f"{key}:{comment}", *_block(value, "  ")]))
        else:
            plain.append(f"{key}: {_scalar(key, value)}")
    return HEADER + "\n".join(plain) + "\n\n" + "\n\n".join(sections) + "\n"


def _block(value: object, indent: str) -> Iterator[str]:
    if isinstance(value, Mapping):
        for key, item in value.items():
            yield from _entry(str(key), item, indent)
    elif isinstance(value, Sequence):
        for item in value:
            one_line = _inline("", item)
            if len(indent + one_line) + 2 <= LONGEST_LINE and not _is_long(item):
                yield f"{indent}- {one_line}"
                continue
            first, *others = _block(item, indent + "  ")
            yield f"{indent}- {first.lstrip()}"
            yield from others


def _is_long(item: object) -> bool:
    """Whether a group is worth a line for each key: one that holds lists of groups, or many keys."""
    return isinstance(item, Mapping) and len(item) > 6


def _entry(key: str, value: object, indent: str) -> Iterator[str]:
    if isinstance(value, Mapping) or (
        isinstance(value, list) and not any(isinstance(item, Mapping) for item in value)
    ):
        line = f"{indent}{key}: {_inline(key, value)}"
        if len(line) <= LONGEST_LINE:
            yield line
            return
    if isinstance(value, Mapping | list):
        yield f"{indent}{key}:"
        yield from _block(value, indent + "  ")
    else:
        yield f"{indent}{key}: {_scalar(key, value)}"


def _inline(key: str, value: object) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{name}: {_inline(str(name), item)}" for name, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_inline(key, item) for item in value) + "]"
    return _scalar(key, value)


def _scalar(key: str, value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        is_whole = float(value).is_integer()
        if is_whole and key.endswith(_THREE_DIGITS) and value >= 0:
            return f"{value:03.0f}"
        return f"{value:.0f}" if is_whole else repr(value)
    text = str(value)
    is_plain = (
        resolve_plain(text) == text
        and text == text.strip()
        and text.isprintable()
        and text[:1] not in _SPECIAL
        and not any(sign in text for sign in (": ", " #", ",", "[", "]", "{", "}"))
        and not text.endswith(":")
    )
    return text if is_plain else json.dumps(text, ensure_ascii=False)
