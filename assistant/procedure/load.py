"""
YAML text to a `Procedure`, or every reason why not: each with file, line, field and remedy.

Four passes, each only when the one before found nothing: YAML, keys and values by type, structure, and whether the chart
hangs together. Within a pass everything is found at once. Reading the file is the caller's job.
"""

from dataclasses import dataclass, fields, is_dataclass
from difflib import get_close_matches
from functools import cache
from typing import Annotated, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from assistant.procedure.findings import Finding, Path, ProcedureError, Remark, Severity, field_name, shown
from assistant.procedure.model import ArcLeg, CourseLeg, FinalLeg, Procedure, ReversalLeg
from assistant.procedure.structure import structural_remarks
from assistant.procedure.yaml12 import Document, read_yaml

_LEG_KINDS: dict[object, type] = {
    "course": CourseLeg,
    "dme_arc": ArcLeg,
    "reversal": ReversalLeg,
    "final": FinalLeg,
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

    `name` is the file's name as it stands in the findings. A procedure that loads is structurally whole (each leg begins
    where the last ended, the final approach comes last); `check.check_procedure` says whether its numbers agree.
    """
    return read_procedure(text, name).procedure


def read_procedure(text: str, name: str) -> LoadedProcedure:
    """As `load_procedure`, with the lines kept."""
    document = read_yaml(text, name)
    remarks: tuple[Remark, ...]
    try:
        procedure = procedure_adapter().validate_python(document.data)
    except ValidationError as error:
        remarks = tuple(_remark(document.data, detail) for detail in error.errors(include_url=False))
    else:
        remarks = structural_remarks(procedure)
        if not any(remark.severity is Severity.ERROR for remark in remarks):
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
    """Problem and remedy for an error's type; `place` is the group of keys that the path's last key belongs to."""
    value = shown(detail["input"])
    limits = detail.get("ctx", {})
    match detail["type"]:
        case "missing":
            return "is missing", _meaning(path, place, "add it")
        case "unexpected_keyword_argument":
            return "is not a known key", _known_key(path, place)
        case "union_tag_not_found":
            return "has no kind", "add kind: course, dme_arc, reversal or final"
        case "union_tag_invalid":
            problem = f"{shown(limits.get('tag'))} is not a kind of leg"
            return problem, "use course, dme_arc, reversal or final"
        case "enum" | "literal_error":
            expected = str(limits.get("expected", "")).replace("'", "")
            return f"{value} is not known here", f"use {expected}"
        case "float_type":
            return f"{value} is not a number", "write the number alone, without unit or quotes"
        case "finite_number":
            return f"{value} is not a finite number", "write the number that the chart prints"
        case "less_than_equal" | "less_than":
            return f"{value} is more than {_number(limits.get('le', limits.get('lt')))}", _meaning(
                path, place, "correct it"
            )
        case "greater_than_equal":
            return f"{value} is less than {_number(limits.get('ge'))}", _meaning(path, place, "correct it")
        case "greater_than":
            return f"{value} is not more than {_number(limits.get('gt'))}", _meaning(
                path, place, "correct it"
            )
        case "string_type":
            return f"{value} is not text", "put it in quotes"
        case "string_too_short" | "string_too_long" | "string_pattern_mismatch":
            return f"{value} is no such text", _meaning(
                path, place, "use capitals, digits, - and /, at most 16 of them"
            )
        case "bool_type" | "bool_parsing":
            return f"{value} is neither true nor false", "write true or false"
        case "tuple_type":
            return f"{value} is not a list", "write a list, one item a line beginning with -"
        case "dataclass_type" | "dataclass_exact_type" | "model_attributes_type":
            return f"{value} is not a group of keys", "write its keys below it, one a line, indented"
        case _:
            return f"{value} is refused ({detail['msg']})", _meaning(path, place, "correct it")


def _number(limit: object) -> str:
    return f"{limit:g}" if isinstance(limit, float) else str(limit)


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
