"""
Asks for a procedure item by item, in the order in which charts print them, and gives back plain values.

The questions come from the types themselves: what a key means, what it may hold, whether it must be given. A
bad answer is told why and asked again. Nothing here touches a terminal: questions go out, answers come in.
"""

from collections.abc import Callable
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from enum import Enum
from functools import cache
from types import UnionType
from typing import Annotated, Literal, Union, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError

from assistant.cli.asking import Asking
from assistant.procedure.altitude_words import altitude_from_words
from assistant.procedure.legs import ArcLeg, CourseLeg, FinalLeg, ReversalLeg
from assistant.procedure.model import Procedure
from assistant.procedure.places import Altitude
from assistant.procedure.structure import BOTH_OR_NEITHER, EXACTLY_ONE, FIX_KEYS
from assistant.procedure.yaml12 import resolve_plain

ORDER = (
    *("ident", "title", "edition", "drawn_from", "airport", "frequencies"),
    *("navaid", "sectors", "runway", "fixes", "hold", "legs"),
    *("minima", "missed_approach", "areas", "notes"),
)
"""Charts in general: heading, frequencies, station and safe altitudes, plan view, profile, minima, notes."""

LEG_KINDS: dict[str, type] = {
    "course": CourseLeg,
    "dme_arc": ArcLeg,
    "reversal": ReversalLeg,
    "final": FinalLeg,
}
_YES = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}

Values = dict[str, object]


class BadAnswerError(ValueError):
    """An answer that cannot be taken; the message is one line and says what is wanted."""


@dataclass(frozen=True, slots=True)
class Interview:
    """The questions in their order; `asking` puts them."""

    asking: Asking

    def procedure(self) -> Values:
        """All of a procedure."""
        return self.asking.through(self._procedure)

    def _procedure(self) -> Values:
        known: set[str] = set()
        hints = {field.name: field for field in fields(Procedure)}
        values: Values = {}
        for key in ORDER:
            answer = self._field(Procedure, hints[key], key, known)
            if answer is not None:
                values[key] = answer
        return values

    def _record(self, place: type, label: str, known: set[str], values: Values) -> Values:
        """A group of keys, beyond those already given."""
        alternatives = EXACTLY_ONE.get(place, ())
        pair = BOTH_OR_NEITHER.get(place, ())
        for field in _required_first(place):
            if field.name in values or field.name in alternatives:
                continue
            if pair and field.name == pair[1]:
                if pair[0] in values:
                    values[field.name] = self._scalar(place, field, f"{label}.{field.name}", known, must=True)
                continue
            answer = self._field(place, field, f"{label}.{field.name}", known)
            if answer is not None:
                values[field.name] = answer
        if alternatives and not any(key in values for key in alternatives):
            values |= self._one_of(place, alternatives, label, known)
        return values

    def _one_of(self, place: type, keys: tuple[str, ...], label: str, known: set[str]) -> Values:
        """Exactly one of several keys: the first that is given."""
        self.asking.tell(f"{label}: exactly one of {', '.join(keys)}; Enter passes on to the next.")
        by_name = {field.name: field for field in fields(place)}
        while True:
            for key in keys:
                answer = self._scalar(place, by_name[key], f"{label}.{key}", known, must=False)
                if answer is not None:
                    return {key: answer}
            self.asking.tell(f"{label}: one of them must be given.")

    def _field(self, place: type, field: Field[object], label: str, known: set[str]) -> object:
        """A field's value; None where it is left out."""
        held, is_optional = _held(_hints(place)[field.name])
        must = not is_optional and field.default is MISSING
        if held is Altitude:
            return self._altitude(place, field, label, must=must)
        if isinstance(held, type) and is_dataclass(held):
            if not must and not self._yes(f"{label}: does the chart have one?"):
                return None
            self.asking.tell(f"{label}: {_meaning(held, None)}")
            return self._record(held, label, known, {})
        if get_origin(held) is tuple:
            return self._list(place, field, label, known, must=must) or None
        return self._scalar(place, field, label, known, must=must)

    def _list(
        self, place: type, field: Field[object], label: str, known: set[str], *, must: bool
    ) -> list[object]:
        """Items until an empty answer; short words on one line, separated by commas."""
        (item, *_) = get_args(_held(_hints(place)[field.name])[0])
        is_leg = get_origin(item) is Annotated and get_origin(get_args(item)[0]) in {UnionType, Union}
        if not is_leg and not (isinstance(item, type) and is_dataclass(item)):
            return self._words(item, place, field, label, must=must)
        items: list[object] = []
        self.asking.tell(f"{label}: {_meaning(place, field.name)} An empty answer ends the list.")
        while True:
            here = f"{label}[{len(items)}]"
            values = self._leg_kind(here) if is_leg else {}
            record: type = LEG_KINDS.get(str(values.get("kind")), FinalLeg) if is_leg else item
            if not is_leg:
                values = self._first_key(record, here, known)
            if not values:
                if items or not must:
                    return items
                self.asking.tell(f"{label}: at least one is wanted.")
                continue
            items.append(self._record(record, here, known, values))
            if label == "fixes":
                known.add(str(values["ident"]))
            if record is FinalLeg:
                return items

    def _first_key(self, record: type, label: str, known: set[str]) -> Values:
        """The first key of a list's next item; empty where the list has ended."""
        first = next(iter(_required_first(record)))
        held, _ = _held(_hints(record)[first.name])
        if held is Altitude:
            answer = self._altitude(record, first, f"{label}.{first.name}", must=False)
        elif get_origin(held) is tuple:
            answer = self._list(record, first, f"{label}.{first.name}", known, must=False) or None
        else:
            answer = self._scalar(record, first, f"{label}.{first.name}", known, must=False, ends=True)
        return {} if answer is None else {first.name: answer}

    def _leg_kind(self, label: str) -> Values:
        kinds = ", ".join(LEG_KINDS)
        answer = self._asked(
            f"{label}.kind ({kinds})", lambda text: _one_of_words(text, LEG_KINDS), must=False
        )
        return {} if answer is None else {"kind": answer}

    def _words(self, item: object, place: type, field: Field[object], label: str, must: bool) -> list[object]:
        is_prose = _base(item) is str
        if is_prose:
            self.asking.tell(
                f"{label}: {_meaning(place, field.name)} One a line; an empty answer ends the list."
            )
            lines: list[object] = []
            while (line := self._asked(label, lambda text: _valid(item, text), must=False)) is not None:
                lines.append(line)
            return lines

        def parse(text: str) -> list[object]:
            return [_valid(item, word.strip()) for word in text.split(",") if word.strip()]

        question = f"{label} ({_meaning(place, field.name)} Separated by commas)"
        answer = self._asked(question, parse, must=must)
        return answer if isinstance(answer, list) else []

    def _altitude(self, place: type, field: Field[object], label: str, *, must: bool) -> object:
        question = (
            f"{label} ({_meaning(place, field.name)} As 3000, 2500 QFE, FL80; at, max or about before it)"
        )
        return self._asked(question, altitude_from_words, must=must)

    def _scalar(
        self,
        place: type,
        field: Field[object],
        label: str,
        known: set[str],
        *,
        must: bool,
        ends: bool = False,
    ) -> object:
        annotation = _hints(place)[field.name]

        def parse(text: str) -> object:
            value = _valid(annotation, text)
            if field.name in FIX_KEYS and value not in known:
                raise BadAnswerError(f"{value} is not among the fixes: {', '.join(sorted(known))}")
            return value

        default = (
            "" if must or ends or field.default in (MISSING, None) else f"; Enter for {_shown(field.default)}"
        )
        return self._asked(
            f"{label} ({_meaning(place, field.name)}{_choices(annotation)}{default})", parse, must=must
        )

    def _yes(self, question: str) -> bool:
        answer = self._asked(
            f"{question} (yes or no)", lambda text: _one_of_words(text.lower(), _YES), must=False
        )
        return _YES[str(answer)] if answer is not None else False

    def _asked(self, question: str, parse: Callable[[str], object], *, must: bool) -> object:
        """An answer that can be taken; None for an empty one where none is needed."""
        # The published meanings are sentences; a prompt is none.
        return self.asking.answer(f"{question}: ".replace(".): ", "): "), parse, must=must)


def _one_of_words(text: str, words: dict[str, object] | dict[str, type] | dict[str, bool]) -> str:
    if text not in words:
        raise BadAnswerError(f"{text!r} is not one of {', '.join(words)}")
    return text


@cache
def _hints(place: type) -> dict[str, object]:
    return get_type_hints(place, include_extras=True)


@cache
def _required_first(place: type) -> tuple[Field[object], ...]:
    """The fields of a group, those that must be given first."""
    return tuple(sorted(fields(place), key=lambda field: field.default is not MISSING))


def _held(annotation: object) -> tuple[object, bool]:
    """What an annotation holds, without None and without its limits; and whether it may be None."""
    if get_origin(annotation) is Annotated and get_origin(get_args(annotation)[0]) in {UnionType, Union}:
        annotation = get_args(annotation)[0]
    members = get_args(annotation) if get_origin(annotation) in {UnionType, Union} else ()
    if type(None) not in members:
        return annotation, False
    others = [member for member in members if member is not type(None)]
    return others[0], True


def _base(annotation: object) -> object:
    held, _ = _held(annotation)
    return get_args(held)[0] if get_origin(held) is Annotated else held


def _choices(annotation: object) -> str:
    held, _ = _held(annotation)
    words = _words_of(held)
    return f" One of {', '.join(words)}" if words else ""


def _words_of(held: object) -> list[str]:
    if get_origin(held) is Literal:
        return [str(word) for word in get_args(held)]
    return [str(word.value) for word in held] if isinstance(held, type) and issubclass(held, Enum) else []


def _valid(annotation: object, text: str) -> object:
    """An answer as the plain value that a file would hold; BadAnswerError where the type refuses it."""
    held, _ = _held(annotation)
    base = _base(annotation)
    value: object = text
    if base is bool:
        value = _YES[_one_of_words(text.lower(), _YES)]
    elif base is float:
        value = resolve_plain(text)
    try:
        _adapter(held).validate_python(value)
    except ValidationError as error:
        detail = error.errors(include_url=False)[0]
        raise BadAnswerError(f"{text!r} cannot be taken: {detail['msg']}") from None
    return value


@cache
def _adapter(held: object) -> TypeAdapter[object]:
    adapter: TypeAdapter[object] = TypeAdapter(held)  # type: ignore[arg-type]  # an annotation is a form at run time
    return adapter


@cache
def _group_schema(place: type) -> dict[str, object]:
    return TypeAdapter(place).json_schema()


def _meaning(place: type, key: str | None) -> str:
    """What the published schema says of a group or one of its keys, on one line."""
    schema = _group_schema(place)
    if key is None:
        return " ".join(str(schema.get("description", "")).split())
    properties = schema.get("properties")
    entry = properties.get(key, {}) if isinstance(properties, dict) else {}
    said = entry.get("description")
    if said is None and "$ref" in entry:
        definitions = schema.get("$defs")
        name = str(entry["$ref"]).rsplit("/", 1)[-1]
        said = definitions.get(name, {}).get("description") if isinstance(definitions, dict) else None
    return " ".join(str(said or "").split())


def _shown(default: object) -> str:
    if isinstance(default, bool):
        return "yes" if default else "no"
    if isinstance(default, tuple):
        return ", ".join(str(item) for item in default) or "none"
    return str(default)
