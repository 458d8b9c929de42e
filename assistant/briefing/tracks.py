"""A plan as lines over the ground: what the plan view draws, in the flat magnetic frame of the station."""

from dataclasses import dataclass
from enum import StrEnum

from assistant.engine.plan import Phase, Plan, Stage
from assistant.engine.timeline import Timeline
from assistant.nav.geometry import PlanePoint, along_and_across_nm, move

_WORTH_CLOSING_NM = 4.0
Line = tuple[PlanePoint, ...]


class Kind(StrEnum):
    """What a line is: drawn each in its way."""

    HOLD = "hold"
    APPROACH = "approach"
    MISSED = "missed approach"


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One stage's nominal path. `stage` is for its label."""

    kind: Kind
    line: Line
    stage: Stage


def tracks(plan: Plan) -> tuple[Track, ...]:
    """The hold, the way to the threshold, and the missed approach, as they will be flown today."""
    found = [
        _track(Kind.HOLD, plan.stage(name))
        for name in ("hold_outbound", "hold_inbound")
        if name in plan.index
    ]
    stage = plan.stage(plan.after_hold)
    while stage.phase is not Phase.MISSED:
        end_s = plan.threshold_s if stage.phase is Phase.FINAL else None
        found.append(_track(Kind.APPROACH, stage, end_s))
        stage = plan.stage(stage.exits[0].to)
    while True:
        found.append(_track(Kind.MISSED, stage))
        leaving = stage.exits[0] if stage.exits else None
        if leaving is None or leaving.to not in plan.index or not plan.stage(leaving.to).exits:
            return tuple(found)
        stage = plan.stage(leaving.to)


def _track(kind: Kind, stage: Stage, end_s: float | None = None) -> Track:
    if stage.timeline is None:
        raise ValueError(f"the stage {stage.name} has no nominal flight")
    timeline = stage.timeline
    line = _closed(stage, timeline)
    if end_s is None:
        return Track(kind=kind, line=line, stage=stage)
    kept = tuple(point for at_s, point in zip(timeline.times_s, line, strict=True) if at_s < end_s)
    return Track(kind=kind, line=(*kept, timeline.at(end_s).point), stage=stage)


def _closed(stage: Stage, timeline: Timeline) -> Line:
    """
    The path with its entry turn led on to the course.

    The plan puts the aircraft on the course where the turn ends, however near it came; drawn as it is, that
    would be a kink. So the difference is spread over the turn. A hold's own error stands in the tables.
    """
    course = stage.course
    if course is None or timeline.turn_end_s <= 0.0:
        return timeline.points
    turn_end = max(number for number, at_s in enumerate(timeline.times_s) if at_s <= timeline.turn_end_s)
    off_nm = along_and_across_nm(timeline.points[turn_end], course.anchor, course.course_mag_deg).across_nm
    if abs(off_nm) > _WORTH_CLOSING_NM:
        return timeline.points
    return tuple(
        move(point, course.course_mag_deg - 90.0, off_nm * min(1.0, number / turn_end))
        if number <= turn_end
        else point
        for number, point in enumerate(timeline.points)
    )
