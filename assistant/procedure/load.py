"""
YAML text to a `Procedure`, or every reason why not: each with file, line, field and remedy.

Four passes, each only when the one before found nothing: YAML, keys and values by type, structure, and
whether the chart hangs together. Within a pass everything is found at once. Reading the file is the caller's
job.
"""

from dataclasses import dataclass, fields, is_dataclass
from difflib import get_close_matches
from functools import cache
from typing import Annotated, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from assistant.procedure.check import check_procedure
from assistant.procedure.findings import Finding, Path, ProcedureError, Remark, field_name, shown
from assistant.procedure.model import ArcLeg, CourseLeg, FinalLeg, Procedure, ReversalLeg
from assistant.procedure.quantities import CHANNEL_PATTERN
from assistant.procedure.structure import structural_remarks
from assistant.procedure.yaml12 import Document, read_yaml

_LEG_KINDS: dict[object, type] = {
    "course": CourseLeg,
    "dme_arc": ArcLeg,
    "reversal": ReversalLeg,
    "final": FinalLeg,
}


_ADD, _CORRECT = "add it", "correct it"
# What pydantic calls an error, and what an author is told; _ADD and _CORRECT go on with the field's meaning.
_WORDS = {
    "missing": ("is missing", _ADD),
    "union_tag_not_found": ("has no kind", "add kind: course, dme_arc, reversal or final"),
    "union_tag_invalid": ("{tag} is not a kind of leg", "use course, dme_arc, reversal or final"),
    "enum": ("{input} is not known here", "use {expected}"),
    "literal_error": ("{input} is not known here", "use {expected}"),
    "float_type": ("{input} is not a number", "write the number alone, without unit or quotes"),
    "finite_number": ("{input} is not a finite number", "write the number that the chart prints"),
    "less_than_equal": ("{input} is more than {le}", _CORRECT),
    "greater_than_equal": ("{input} is less than {ge}", _CORRECT),
    "greater_than": ("{input} is not more than {gt}", _CORRECT),
    "string_type": ("{input} is not text", "put it in quotes"),
    "string_too_short": ("{input} is too short", _CORRECT),
    "string_too_long": ("{input} is too long", _CORRECT),
    "string_pattern_mismatch": (
        "{input} is no name",
        "use capitals, digits, - and /, at most 16, in one word",
    ),
    "channel": ("{input} is no channel", "write a number from 1 to 126 and its letter, for example 57X"),
    "bool_type": ("{input} is neither true nor false", "write true or false"),
    "bool_parsing": ("{input} is neither true nor false", "write true or false"),
    "tuple_type": ("{input} is not a list", "write a list, one item a line beginning with -"),
    "dataclass_type": ("{input} is not a group of keys", "write its keys below it, one a line, indented"),
    "model_attributes_type": (
        "{input} is not a group of keys",
        "write its keys below it, one a line, indented",
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedProcedure:
    """A procedure with the document it was read from, so that later remarks find their lines."""

    procedure: Procedure
    document: Document

    def finding(self, remark: Remark) -> Finding:
        """A remark tied to its file and line."""
        return _located(self.document, remark)


@cache
def procedure_adapter() -> TypeAdapter[Procedure]:
    """The validator of plain values; built once, since building it takes longer than loading a file."""
    return TypeAdapter(Procedure)


def load_procedure(text: str, name: str) -> Procedure:
    """
    The procedure in a YAML text; ProcedureError carries every finding.

    `name` is the file's name as it stands in the findings. What loads is whole (each leg begins where the
    one before ended, the final approach comes last) and hangs together as a chart, so that it can be flown;
    warnings do not stop it.
    """
    loaded = read_procedure(text, name)
    checked = check_procedure(loaded.procedure)
    if not checked.is_sound:
        raise ProcedureError(tuple(loaded.finding(remark) for remark in checked.remarks))
    return loaded.procedure


def read_procedure(text: str, name: str) -> LoadedProcedure:
    """A whole procedure with its lines, before its chart is checked; ProcedureError carries every finding."""
    document = read_yaml(text, name)
    remarks: tuple[Remark, ...]
    try:
        procedure = procedure_adapter().validate_python(document.data)
    except ValidationError as error:
        remarks = tuple(_remark(document.data, detail) for detail in error.errors(include_url=False))
    else:
        remarks = structural_remarks(procedure)
        if not remarks:
            return LoadedProcedure(procedure=procedure, document=document)
    findings = {_located(document, remark) for remark in remarks}
    raise ProcedureError(tuple(sorted(findings, key=lambda finding: (finding.line, finding.field))))


def _located(document: Document, remark: Remark) -> Finding:
    return Finding(
        file=document.name,
        line=document.line_of(remark.path),
        field=field_name(remark.path),
        problem=remark.problem,
        remedy=remark.remedy,
        severity=remark.severity,
    )


def _remark(data: object, detail: ErrorDetails) -> Remark:
    """One of pydantic's errors in an author's words."""
    path, place = _written_path(data, detail["loc"])
    problem, remedy = _words(detail, path, place)
    return Remark(path=path, problem=problem, remedy=remedy)


def _words(detail: ErrorDetails, path: Path, place: type | None) -> tuple[str, str]:
    """Problem and remedy for an error's type; `place` is the group of keys that holds the path's last key."""
    kind = "channel" if detail.get("ctx", {}).get("pattern") == CHANNEL_PATTERN else detail["type"]
    if kind == "unexpected_keyword_argument":
        return "is not a known key", _known_key(path, place)
    known = {
        "input": shown(detail["input"]),
        **{key: _number(limit) for key, limit in detail.get("ctx", {}).items()},
    }
    problem, remedy = _WORDS.get(kind, (f"{{input}} is refused ({detail['msg']})", _CORRECT))
    if remedy in (_ADD, _CORRECT):
        remedy = _meaning(path, place, remedy)
    return _filled(problem, known), _filled(remedy, known)


def _filled(words: str, known: dict[str, str]) -> str:
    """Words with the braces that we know filled; the file's own braces stay as they are."""
    for key, value in known.items():
        words = words.replace(f"{{{key}}}", value)
    return words


def _number(limit: object) -> str:
    return f"{limit:g}" if isinstance(limit, float) else str(limit).replace("'", "")


def _meaning(path: Path, place: type | None, remedy: str) -> str:
    """The remedy with what the field means, so that the author need not look it up."""
    if place is None or not path or not isinstance(path[-1], str):
        return remedy
    field = getattr(place, "__pydantic_fields__", {}).get(path[-1])
    said = field.description if field is not None else _descriptions(place).get(path[-1])
    return f"{remedy}: {said.rstrip('.')}" if said else remedy


@cache
def _descriptions(place: type) -> dict[str, str]:
    """What the published schema says of a group's fields."""
    properties = TypeAdapter(place).json_schema().get("properties", {})
    return {key: str(entry["description"]) for key, entry in properties.items() if "description" in entry}


def _known_key(path: Path, place: type | None) -> str:
    known = [field.name for field in fields(place)] if place is not None and is_dataclass(place) else []
    near = get_close_matches(str(path[-1]), known, n=1, cutoff=0.6)
    if near:
        return f"write {near[0]}"
    return f"remove it; the keys here are {', '.join(known)}" if known else "remove it"


def _written_path(data: object, location: tuple[int | str, ...]) -> tuple[Path, type | None]:
    """
    Pydantic's location as the path in the file, and the group of keys in which its last key stands.

    Pydantic names the leg's kind within the location, where the file has no such step.
    """
    path: list[int | str] = []
    place: type | None = None
    here: object = Procedure
    value = data
    for index, step in enumerate(location):
        is_last = index == len(location) - 1
        if isinstance(step, str) and not is_last and not (isinstance(value, dict) and step in value):
            here = _LEG_KINDS.get(step, here)
            continue
        path.append(step)
        if isinstance(step, int):
            value = value[step] if isinstance(value, list) and step < len(value) else None
            here = _item_type(here)
        else:
            value = value.get(step) if isinstance(value, dict) else None
            place = here if isinstance(here, type) and is_dataclass(here) else None
            here = _field_types(place).get(step) if place is not None else None
            here = _without_none(here)
    return tuple(path), place


@cache
def _field_types(place: type) -> dict[str, object]:
    return get_type_hints(place)


def _without_none(annotation: object) -> object:
    if get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    members = [member for member in get_args(annotation) if member is not type(None)]
    is_optional = type(None) in get_args(annotation)
    return members[0] if is_optional and len(members) == 1 else annotation


def _item_type(annotation: object) -> object:
    return get_args(annotation)[0] if get_origin(annotation) is tuple else annotation
