"""The events in the order flown: where, what to do there, the altitude due and the floor from there on."""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from assistant.briefing.content import Event
from assistant.briefing.levels import Levels
from assistant.briefing.words import degrees, fix_place, miles, trigger_place
from assistant.engine.compile_missed import COMPLETE
from assistant.engine.events import CalloutKind, Figures
from assistant.engine.plan import HOLD_ENTRY, Cue, Phase, Plan, Stage, When
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, Trigger

_SOON_S = 10.0
# No set reads less than this at approach altitudes but over the station.
_OVERHEAD_NM = 1.0


def events(plan: Plan, levels: Levels) -> tuple[Event, ...]:
    """Every event of the plan, hold first, missed approach last."""
    return tuple(_Walk(plan, levels).events())


class _Where(NamedTuple):
    """An event's name and place."""

    name: str
    place: str
    radial_deg: float | None = None
    dme_nm: float | None = None


class _Point(NamedTuple):
    """Something within a stage: when, what, and the altitude due there and the floor from there on."""

    at_s: float
    name: str
    action: str
    due_ft: float
    floor_ft: float


class _Walk:
    """Goes from stage to stage by their exits, adding up the nominal time."""

    def __init__(self, plan: Plan, levels: Levels) -> None:
        self._plan = plan
        self._levels = levels
        self._elapsed_s = 0.0

    def events(self) -> Iterator[Event]:
        """Every event, in the order flown."""
        plan = self._plan
        yield from self._hold()
        arrival = plan.stage(plan.first)
        fix = plan.procedure.fix(arrival.event.split()[-1])
        name = f"leave {fix.ident}" if plan.procedure.hold is not None else arrival.event
        where = _Where(name, fix_place(fix), fix.radial_deg, fix.dme_nm)
        due_ft, stage = arrival.target_ft, plan.stage(plan.after_hold)
        while True:
            yield self._began(stage, where, self._action(stage), due_ft, self._elapsed_s)
            yield from self._within(stage)
            leaving, timeline = stage.exits[0], _timeline(stage)
            at_s = timeline.duration_s if leaving.at_s is None else leaving.at_s
            self._elapsed_s += at_s
            if leaving.to in {HOLD_ENTRY, COMPLETE}:
                yield self._end(stage, leaving.trigger, holds=leaving.to == HOLD_ENTRY)
                return
            where = self._where(stage, leaving.trigger, timeline.at(at_s).dme_nm)
            due_ft = stage.floors[-1].altitude_ft if stage.floors else None
            stage = plan.stage(leaving.to)

    def _hold(self) -> Iterator[Event]:
        hold = self._plan.procedure.hold
        if hold is None:
            return
        outbound, inbound = self._plan.stage("hold_outbound"), self._plan.stage("hold_inbound")
        fix = self._plan.procedure.fix(hold.fix)
        floor_ft = outbound.floors[0].altitude_ft
        over = _Where(f"hold {hold.fix}", fix_place(fix), fix.radial_deg, fix.dme_nm)
        yield self._began(
            outbound, over, f"{_turn(outbound.cues[0].figures, self._levels)}, outbound", floor_ft, None
        )
        limit = outbound.exits[0].trigger
        heading_deg = inbound.cues[0].figures.heading_mag_deg
        action = f"turn {hold.turn.value}, course {degrees(hold.inbound_course_mag_deg)}"
        if heading_deg is not None:
            action += f", heading {degrees(self._levels.called_heading_deg(heading_deg))}"
        yield self._began(
            inbound, self._where(outbound, limit, hold.outbound_dme_nm or 0.0), action, floor_ft, None
        )

    def _began(
        self, stage: Stage, where: _Where, action: str, due_ft: float | None, elapsed_s: float | None
    ) -> Event:
        """The event with which a stage begins."""
        heading_deg = stage.cues[0].figures.heading_mag_deg
        return Event(
            phase=stage.phase.value,
            name=where.name,
            place=where.place,
            radial_deg=where.radial_deg,
            dme_nm=where.dme_nm,
            action=action,
            heading_called_deg=None if heading_deg is None else self._levels.called_heading_deg(heading_deg),
            due=None if due_ft is None else self._levels.shown(due_ft),
            floor=self._levels.shown(stage.floors[0].altitude_ft) if stage.floors else None,
            elapsed_s=elapsed_s,
        )

    def _where(self, stage: Stage, trigger: Trigger, dme_nm: float) -> _Where:
        """What ends a stage, and where."""
        name = stage.event
        if stage.phase is Phase.MISSED and stage.passed_fix is None:
            # The engine names such an event by its range or radial, which stands beside it here.
            name = "climb" if isinstance(trigger, AltitudeCrossed) else "turn"
        return _Where(
            name,
            self._place(trigger, dme_nm),
            trigger.radial_deg if isinstance(trigger, RadialReached) else None,
            trigger.dme_nm if isinstance(trigger, DmeReached) else None,
        )

    def _action(self, stage: Stage) -> str:
        """What the stage begins with, in figures as called."""
        cue = stage.cues[0]
        figures = cue.figures
        if cue.kind is CalloutKind.FINAL_DESCENT:
            rate = f"descend {self._levels.called_rate_fpm(figures.descent_fpm or 0.0):.0f} ft/min"
            return ", ".join((*((_turn(figures, self._levels),) if figures.turn else ()), rate))
        parts = [_turn(figures, self._levels)]
        if figures.course_mag_deg is not None:
            parts.append(f"course {degrees(figures.course_mag_deg)}")
        if figures.item is not None:
            parts.append(figures.item)
        if stage.phase is Phase.MISSED and figures.altitude_ft is not None:
            verb = "go around, climb" if cue.kind is CalloutKind.GO_AROUND else "climb"
            parts.insert(0, f"{verb} {self._levels.shown(figures.altitude_ft)}")
        down = next((cue for cue in stage.cues if _is_first_descent(cue)), None)
        if down is not None and down.figures.altitude_ft is not None:
            when = " when established" if down.when is When.ESTABLISHED else ""
            parts.append(f"descend {self._levels.shown(down.figures.altitude_ft)}{when}")
        return ", ".join(part for part in parts if part)

    def _within(self, stage: Stage) -> Iterator[Event]:
        """What comes before the stage's end: lower floors, the minimum, the visual descent point."""
        timeline = _timeline(stage)
        points = [*self._steps(stage, timeline)]
        if stage.phase is Phase.FINAL:
            points.extend(self._final_points(stage, timeline))
        for point in sorted(points, key=lambda point: point.at_s):
            here = timeline.at(point.at_s)
            on_arc = stage.arc is not None
            yield Event(
                phase=stage.phase.value,
                name="step-down" if point.name.endswith("DME") or on_arc else point.name,
                place=f"R{degrees(here.radial_deg)}" if on_arc else f"{miles(here.dme_nm)} DME",
                radial_deg=here.radial_deg if on_arc else None,
                dme_nm=None if on_arc else here.dme_nm,
                action=point.action,
                heading_called_deg=None,
                due=self._levels.shown(point.due_ft),
                floor=self._levels.shown(point.floor_ft),
                elapsed_s=self._elapsed_s + point.at_s,
            )

    def _steps(self, stage: Stage, timeline: Timeline) -> Iterator[_Point]:
        """Where lower floors begin to apply; on final the slope goes on, so nothing is to be done there."""
        on_final = stage.phase is Phase.FINAL
        for floor, lower in pairwise(stage.floors):
            slope_ft = self._plan.altitude_due_ft(timeline.at(floor.until_s).dme_nm) if on_final else None
            due_ft = floor.altitude_ft if slope_ft is None else max(slope_ft, floor.altitude_ft)
            action = f"{'not below' if on_final else 'descend'} {self._levels.shown(lower.altitude_ft)}"
            yield _Point(floor.until_s, floor.name, action, due_ft, lower.altitude_ft)

    def _final_points(self, stage: Stage, timeline: Timeline) -> Iterator[_Point]:
        """Where the slope brings the decision, and where it leaves the minimum."""
        plan, runway = self._plan, self._plan.procedure.runway
        for cue in stage.cues:
            if cue.kind is CalloutKind.VISUAL_DESCENT_POINT:
                action = "leave the minimum only if visual"
                yield _Point(cue.at_s, "visual descent point", action, plan.minimum_ft, plan.minimum_ft)
        over_ft = runway.threshold_elevation_ft + runway.threshold_crossing_height_ft
        before_nm = (plan.decision_ft - over_ft) / plan.final_gradient_ft_per_nm
        groundspeed_kt = timeline.at(plan.threshold_s).groundspeed_kt
        at_s = plan.threshold_s - before_nm / groundspeed_kt * 3600.0
        missed_s = stage.exits[0].at_s
        if at_s > 0.0 and (missed_s is None or at_s < missed_s):
            action = f"minimum {self._levels.shown(plan.minimum_ft)} called; visual?"
            floor_ft = next(floor.altitude_ft for floor in stage.floors if floor.until_s >= at_s)
            yield _Point(at_s, "decision", action, max(plan.decision_ft, floor_ft), floor_ft)

    def _end(self, stage: Stage, trigger: Trigger, *, holds: bool) -> Event:
        hold, timeline = self._plan.procedure.hold, _timeline(stage)
        where = self._where(stage, trigger, timeline.at(timeline.duration_s).dme_nm)
        return Event(
            phase=stage.phase.value,
            name=where.name,
            place=where.place,
            radial_deg=where.radial_deg,
            dme_nm=where.dme_nm,
            action=f"hold {hold.fix}" if holds and hold is not None else "missed approach complete",
            heading_called_deg=None,
            due=None if stage.target_ft is None else self._levels.shown(stage.target_ft),
            floor=None,
            elapsed_s=self._elapsed_s,
        )

    def _place(self, trigger: Trigger, dme_nm: float) -> str:
        if isinstance(trigger, AltitudeCrossed):
            return f"passing {self._levels.shown(trigger.altitude_ft)}"
        if isinstance(trigger, DmeReached) and trigger.dme_nm < _OVERHEAD_NM and dme_nm < _OVERHEAD_NM:
            return f"overhead ({trigger_place(trigger)})"
        return trigger_place(trigger)


def _is_first_descent(cue: Cue) -> bool:
    """The call to leave the last altitude at the start of a stage, not at a step-down further along."""
    return cue.kind is CalloutKind.DESCEND and cue.figures.event is None and cue.at_s <= _SOON_S


def _turn(figures: Figures, levels: Levels) -> str:
    """A turn and its heading, as called."""
    if figures.heading_mag_deg is None:
        return ""
    heading = f"heading {degrees(levels.called_heading_deg(figures.heading_mag_deg))}"
    return heading if figures.turn is None else f"turn {figures.turn.value} {heading}"


def _timeline(stage: Stage) -> Timeline:
    if stage.timeline is None:
        raise ValueError(f"the stage {stage.name} has no nominal flight")
    return stage.timeline
