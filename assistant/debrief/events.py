"""The events of a flight in order: when each was due, called, reported and acted on."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from assistant.briefing.words import trigger_place
from assistant.debrief.content import EventRow
from assistant.debrief.flown import Flown, TrackPoint
from assistant.debrief.turns import turn_late_s
from assistant.engine.estimate import floor_ft
from assistant.engine.events import CalloutKind, PositionReport, Priority, StageEntered, Statement
from assistant.engine.plan import Exit, Phase, Stage
from assistant.engine.triggers import DmeReached, RadialReached
from assistant.flight_log import NotSpoken, Spoken
from assistant.nav.geometry import difference_deg

_CALLED_WITHIN_S = 25.0
_TAKEN_BACK_S = 90.0
_NEAR_S = 45.0
# A level is left when a reading is lower than it by more than an altimeter is read to.
_LEFT_FT = 60.0
_LEFT_WITHIN_S = 90.0
_DESCENTS = (CalloutKind.DESCEND, CalloutKind.FINAL_DESCENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """From one stage into the next, as the log has it; a stage that was taken back is left out."""

    before: Stage
    after: Stage
    leaving: Exit | None
    entered_s: float


def passages(flown: Flown) -> tuple[Passage, ...]:
    """Every change of stage that stood."""
    entered = [record for record in flown.records if isinstance(record, StageEntered)]
    found: list[Passage] = []
    stage = flown.plan.stages[0]
    for number, record in enumerate(entered):
        following = entered[number + 1] if number + 1 < len(entered) else None
        if (
            following is not None
            and following.stage == stage.name
            and following.t_s - record.t_s < _TAKEN_BACK_S
        ):
            # Entered by reckoning, and taken back by the next report.
            continue
        if record.stage == stage.name or record.stage not in flown.plan.index:
            continue
        known = flown.state_at(record.t_s - 0.01)
        before = known.stage if known.stage_name == stage.name else stage
        after = flown.state_at(record.t_s + 0.01).plan.stage(record.stage)
        leaving = next((leaving for leaving in before.exits if leaving.to == record.stage), None)
        found.append(Passage(before=before, after=after, leaving=leaving, entered_s=record.t_s))
        stage = after
    return tuple(found)


def event_rows(flown: Flown) -> tuple[EventRow, ...]:
    """Every event in the order in which it came, numbered as on the page."""
    track = flown.track()
    rows = [_placed(row, track) for row in (*_stage_rows(flown, track), *_descent_rows(flown))]
    rows.sort(key=lambda row: row.due_s)
    return tuple(replace(row, number=number) for number, row in enumerate(rows, start=1))


def _stage_rows(flown: Flown, track: tuple[TrackPoint, ...]) -> Iterator[EventRow]:
    for passage in passages(flown):
        before, after, leaving = passage.before, passage.after, passage.leaving
        due_s = due_at_s(passage, track)
        late_s = None
        if leaving is not None and leaving.at_s is not None:
            late_s = turn_late_s(flown, before, after, due_s, leaving.at_s)
        called_s, not_called = _called(flown, passage.entered_s, after)
        state = flown.state_at(passage.entered_s + 0.01)
        yield EventRow(
            number=0,
            name=_name(passage),
            place="" if leaving is None else trigger_place(leaving.trigger),
            due_s=due_s,
            called_s=called_s,
            not_called=not_called,
            reported_s=_reported_s(flown, due_s),
            acted_s=None if late_s is None else due_s + late_s,
            late_s=late_s,
            floor_ft=floor_ft(state, passage.entered_s),
        )


def _name(passage: Passage) -> str:
    """What the event is called; where the pilot's word ended a stage, what began."""
    if passage.after.phase is Phase.LANDING:
        return "visual"
    if passage.leaving is None:
        joins_missed = passage.after.phase is Phase.MISSED and passage.before.phase is not Phase.MISSED
        return "going around" if joins_missed else passage.before.event or passage.after.title
    return passage.leaving.event or passage.before.event or passage.after.title


def due_at_s(passage: Passage, track: tuple[TrackPoint, ...]) -> float:
    """
    When the aircraft came to the event.

    Where its range or radial was crossed on the track; else when the engine had it. The track knows the
    readings that came after, which the engine at that moment did not.
    """
    trigger = None if passage.leaving is None else passage.leaving.trigger
    entered_s = passage.entered_s
    near = [point for point in track if abs(point.t_s - entered_s) <= _NEAR_S]
    crossings: list[float] = []
    for a, b in pairwise(near):
        match trigger:
            case DmeReached(dme_nm=dme_nm, closing=closing):
                sign = -1.0 if closing else 1.0
                off = sign * (a.dme_nm - dme_nm), sign * (b.dme_nm - dme_nm)
            case RadialReached(radial_deg=radial_deg):
                off = difference_deg(radial_deg, a.radial_deg), difference_deg(radial_deg, b.radial_deg)
                if abs(off[0]) > 90.0:
                    continue
                if off[0] > 0.0:
                    off = -off[0], -off[1]
            case _:
                return entered_s
        if off[0] < 0.0 <= off[1]:
            crossings.append(a.t_s + (b.t_s - a.t_s) * -off[0] / (off[1] - off[0]))
    return min(crossings, key=lambda t_s: abs(t_s - entered_s), default=entered_s)


def _called(flown: Flown, entered_s: float, stage: Stage) -> tuple[float | None, str]:
    """When the stage's first call was spoken; else why it was not."""
    names = {cue.name for cue in stage.cues}
    unspoken = "nothing to call" if not stage.cues else "not called"
    for record in flown.records:
        if not entered_s - 0.5 <= record.t_s <= entered_s + _CALLED_WITHIN_S:
            continue
        if not isinstance(record, Spoken | NotSpoken):
            continue
        callout = record.callout
        is_first = callout.priority is Priority.ACTION and (
            callout.cue in names or callout.kind in (CalloutKind.LAND, CalloutKind.GO_AROUND)
        )
        if not is_first:
            continue
        if isinstance(record, Spoken):
            return record.t_s, ""
        unspoken = record.reason
    return None, unspoken


def _reported_s(flown: Flown, due_s: float) -> float | None:
    """The first thing the pilot said after the event."""
    said = (
        record.t_s
        for record in flown.records
        if isinstance(record, PositionReport | Statement) and record.t_s >= due_s - 1.0
    )
    return next(said, None)


def _descent_rows(flown: Flown) -> Iterator[EventRow]:
    for record in flown.records:
        if not isinstance(record, Spoken | NotSpoken) or record.callout.kind not in _DESCENTS:
            continue
        callout = record.callout
        target_ft = callout.figures.altitude_ft
        if target_ft is None:
            continue
        spoken = isinstance(record, Spoken)
        acted_s = _left_s(flown, callout.t_s)
        # A reading every half minute tells to a few seconds when a level was left, not better.
        late_s = None if acted_s is None else max(acted_s - callout.t_s, 0.0)
        state = flown.state_at(callout.t_s + 0.01)
        name = "descend to the minimum" if callout.kind is CalloutKind.FINAL_DESCENT else "descend"
        yield EventRow(
            number=0,
            name=f"{name}, {target_ft:.0f} ft" if name == "descend" else name,
            place="",
            due_s=callout.t_s,
            called_s=record.t_s if spoken else None,
            not_called="" if isinstance(record, Spoken) else record.reason,
            reported_s=_reported_s(flown, callout.t_s),
            acted_s=acted_s,
            late_s=late_s,
            floor_ft=floor_ft(state, callout.t_s),
        )


def _left_s(flown: Flown, t_s: float) -> float | None:
    """
    When the level was left after a descent was called.

    By the line through the first two lower readings, back to the level; None where no reading tells.
    """
    levels = [
        (reading.t_s, reading.altitude_ft) for reading in flown.accepted if reading.altitude_ft is not None
    ]
    before = [altitude_ft for at_s, altitude_ft in levels if at_s <= t_s]
    if not before:
        return None
    level_ft = before[-1]
    lower = [
        (at_s, altitude_ft)
        for at_s, altitude_ft in levels
        if t_s < at_s <= t_s + _LEFT_WITHIN_S and altitude_ft < level_ft - _LEFT_FT
    ]
    if not lower:
        return None
    (first_s, first_ft), *others = lower
    for second_s, second_ft in others[:1]:
        if first_ft - second_ft > _LEFT_FT:
            fps = (first_ft - second_ft) / (second_s - first_s)
            return max(t_s, first_s - (level_ft - first_ft) / fps)
    return None


def _placed(row: EventRow, track: tuple[TrackPoint, ...]) -> EventRow:
    """The row with where the aircraft was on the track when it was due."""
    nearest = min(track, key=lambda point: abs(point.t_s - row.due_s), default=None)
    if nearest is None or abs(nearest.t_s - row.due_s) > _NEAR_S:
        return row
    return replace(
        row,
        altitude_ft=nearest.altitude_ft,
        east_nm=nearest.point.east_nm,
        north_nm=nearest.point.north_nm,
    )
