"""How pilot and assistant talked: reports, challenges, misunderstandings, silences; and the late ones."""

from collections.abc import Iterator
from itertools import pairwise

from assistant.debrief.content import Conduct, Finding, Silence, Topic
from assistant.debrief.flown import Flown
from assistant.debrief.measures import finding
from assistant.engine.events import CalloutKind, NotUnderstood, ReportRefused
from assistant.engine.plan import Phase
from assistant.flight_log import Heard, Spoken

LONGEST = 3
# This program's own: the engine trusts its reckoning for about so long (engine.flow), then has to ask.
LONG_SILENCE_S = 90.0
_ENDS = (Phase.LANDING, Phase.MISSED)


def conduct(flown: Flown) -> Conduct:
    """What was said and what was not."""
    records = flown.records
    return Conduct(
        reports=sum(not reading.is_sample for reading in flown.readings),
        samples=sum(reading.is_sample for reading in flown.readings),
        challenges=tuple((r.t_s, r.reason) for r in records if isinstance(r, ReportRefused)),
        misunderstood=tuple((r.t_s, r.text[:60]) for r in records if isinstance(r, NotUnderstood)),
        asked_for=tuple(_asked_for(flown)),
        silences=tuple(sorted(_silences(flown), key=lambda silence: -silence.lasted_s)[:LONGEST]),
    )


def _asked_for(flown: Flown) -> Iterator[tuple[float, str]]:
    """The reports that came too late for the engine; what the plan asks of everyone shows no lateness."""
    planned = {
        cue.name for stage in flown.plan.stages for cue in stage.cues if cue.kind is CalloutKind.SAY_POSITION
    }
    for record in flown.records:
        if not isinstance(record, Spoken) or record.callout.kind is not CalloutKind.SAY_POSITION:
            continue
        if record.callout.cue not in planned:
            yield record.t_s, record.callout.figures.item or "position"


def _silences(flown: Flown) -> Iterator[Silence]:
    """Times between two things said, while there was something to report."""
    for a, b in pairwise(record for record in flown.records if isinstance(record, Heard)):
        stage = flown.state_at(a.t_s + 0.01).stage
        if stage.phase not in _ENDS:
            yield Silence(from_s=a.t_s, lasted_s=b.t_s - a.t_s, stage=stage.title)


def late_reports(talked: Conduct) -> tuple[Finding, ...]:
    """Reports that had to be asked for, and long silences, unless a feed spoke for the pilot."""
    if talked.samples:
        return ()
    findings = [
        finding(
            Topic.REPORTS,
            silence.from_s,
            f"nothing said for {silence.lasted_s:.0f} s on {silence.stage}",
            2.0,
        )
        for silence in talked.silences
        if silence.lasted_s > LONG_SILENCE_S
    ]
    if talked.asked_for:
        count = len(talked.asked_for)
        times = "once" if count == 1 else f"{count} times"
        findings.append(
            finding(
                Topic.REPORTS, talked.asked_for[0][0], f"had to be asked {times} for a report", float(count)
            )
        )
    return tuple(findings)
