"""What is found wrong with a procedure file, and where."""

from dataclasses import dataclass
from enum import StrEnum

Path = tuple[str | int, ...]
"""Where in the file: keys and positions from the top, for example ("legs", 0, "altitude")."""


class Severity(StrEnum):
    """Whether a finding stops the file from being flown."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something wrong at a place in the procedure, not yet tied to a line of a file."""

    path: Path
    problem: str
    remedy: str
    severity: Severity = Severity.ERROR


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What a check came to, where nothing was wrong: one line for the author to read."""

    subject: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something wrong in a file, in one line: file, line, field, what is wrong, what to do."""

    file: str
    line: int
    field: str
    problem: str
    remedy: str
    severity: Severity = Severity.ERROR

    def __str__(self) -> str:
        """The finding as one printable line, whatever the file held."""
        field = f"{self.field}: " if self.field else ""
        note = "" if self.severity is Severity.ERROR else f"{self.severity}: "
        text = f"{self.file}:{self.line}: {note}{field}{self.problem}. Remedy: {self.remedy}."
        return "".join(character if character.isprintable() else "?" for character in text)


class ProcedureError(Exception):
    """A procedure file that cannot be flown; carries every finding, warnings included."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("\n".join(str(finding) for finding in findings))
        self.findings = findings


def field_name(path: Path) -> str:
    """A path as an author would write it: `legs[0].lead_radial_deg`."""
    name = ""
    for step in path:
        if isinstance(step, int):
            name += f"[{step}]"
        else:
            name += f".{step}" if name else step
    return name


def shown(value: object) -> str:
    """A value of the file as a short quotation, for a message."""
    text = str(value).lower() if isinstance(value, bool) else "nothing" if value is None else repr(value)
    return text if len(text) <= 40 else text[:36] + " …"
