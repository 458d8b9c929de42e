"""A text checked, and what came of it: for tests that look at one finding of many."""

from assistant.procedure.check import Check, check_procedure
from assistant.procedure.findings import Severity, field_name
from assistant.procedure.load import read_procedure


def checked(text: str) -> Check:
    return check_procedure(read_procedure(text, "x").procedure)


def results(check: Check, subject: str) -> list[str]:
    return [result.text for result in check.results if result.subject == subject]


def remark(check: Check, field: str, severity: Severity = Severity.ERROR) -> str:
    """The one problem found at a field."""
    found = [item for item in check.remarks if field_name(item.path) == field and item.severity is severity]
    assert len(found) == 1, [(field_name(item.path), item.problem) for item in check.remarks]
    return found[0].problem
