"""Does a chart hang together? All checks on a loaded procedure, as remarks and plain results."""

from dataclasses import dataclass

from assistant.procedure.check_around import around_findings
from assistant.procedure.check_lateral import lateral_findings
from assistant.procedure.check_missed import missed_findings
from assistant.procedure.check_reversal import reversal_findings
from assistant.procedure.check_reversal_entry import entry_findings
from assistant.procedure.check_runway import runway_findings
from assistant.procedure.check_vertical import vertical_findings
from assistant.procedure.findings import Remark, Result, Severity
from assistant.procedure.layout import final_path
from assistant.procedure.model import Procedure


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What was found wrong or odd, and what was checked and what it came to."""

    remarks: tuple[Remark, ...]
    results: tuple[Result, ...]

    @property
    def is_sound(self) -> bool:
        """Whether nothing found stops the procedure from being flown (warnings do not)."""
        return not any(remark.severity is Severity.ERROR for remark in self.remarks)


def check_procedure(procedure: Procedure) -> Check:
    """
    Every check on a structurally whole procedure (one that `load_procedure` returns).

    Still air and a standard day: what depends on today's wind and speeds belongs to the briefing.
    """
    path = final_path(procedure)
    findings = (
        *lateral_findings(procedure),
        *runway_findings(procedure, path),
        *entry_findings(procedure),
        *reversal_findings(procedure),
        *vertical_findings(procedure, path),
        *missed_findings(procedure, path),
        *around_findings(procedure),
    )
    return Check(
        remarks=tuple(item for item in findings if isinstance(item, Remark)),
        results=tuple(item for item in findings if isinstance(item, Result)),
    )
