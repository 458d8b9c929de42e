"""
Which floor truly applied, second by second: by where the aircraft was, not by where the assistant thought.

The assistant's stages say in which order the legs were flown. When each began is judged from the true track:
at the moment when the aircraft flew past the place where the leg before it ends. A floor that holds until a
pilot is established holds until the true track is within half scale of the course.
"""

from dataclasses import dataclass
from math import radians, sin

import numpy as np

from assistant.engine.events import StageEntered
from assistant.engine.plan import Phase, Stage
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import TimeElapsed
from assistant.nav.geometry import PlanePoint, along_and_across_nm
from assistant.simulation.flight import Flown
from assistant.simulation.track import Numbers, Track, half_scale_nm

# How far from the moment the assistant took may lie the true one, and how near its place must be passed.
_WINDOW_S, _NEAR_NM = 90, 4.0
# Straight on along the course to within this of its direction counts as established.
_ALONG_DEG, _TURNING_DEG_S = 20.0, 1.0
# A floor that waits for "established" waits for half scale alone, on the way in (ICAO Doc 8168 Vol I).
_CLOSING_DEG = 60.0
# On an arc there is no needle: within the mile that it is to be flown to (FAA-S-ACS-8).
_ON_ARC_NM = 1.0


@dataclass(frozen=True, slots=True)
class Span:
    """One stage of the flight by the true track, in seconds; `called`: when the engine began it."""

    stage: Stage
    begin: int
    end: int
    called: int


def spans(flown: Flown, track: Track) -> list[Span]:
    """The stages flown with their true beginnings and ends, as positions in the track."""
    entered = [record for record in flown.records if isinstance(record, StageEntered)]
    found: list[Span] = []
    begin = 0
    stage = flown.plan.stages[0]
    called = 0
    rightly: int | None = None
    for record in entered:
        at = track.position(record.t_s)
        if found and found[-1].stage.name == record.stage and not _is_round(found[-1].stage, stage):
            # A leg begun too early and taken back was not flown; one that had begun, and was taken back after
            # a misread range, was.
            back = found.pop()
            rightly = called if back.end <= at else None
            begin, called, stage = back.begin, back.called, back.stage
            continue
        told = at if rightly is None else rightly
        true_at = max(_true_end(track, stage, flown.plan.stage(record.stage), told, begin), begin)
        rightly = None
        found.append(Span(stage, begin, true_at, called))
        begin, called, stage = true_at, at, flown.plan.stage(record.stage)
    found.append(Span(stage, begin, len(track.t_s), called))
    return found


def _is_round(before: Stage, stage: Stage) -> bool:
    """Whether both are legs of a hold, in which the same leg comes again and again."""
    return before.phase is Phase.HOLD and stage.phase is Phase.HOLD


def _true_end(track: Track, stage: Stage, following: Stage, at: int, begin: int) -> int:
    """
    When the place where a stage ends was truly flown past, near when the assistant thought so.

    A leg that is charted by time is over by the clock, too: wind and entry may never bring it to that place.
    """
    exits = [leaving for leaving in stage.exits if leaving.to == following.name]
    ends = [leaving.at_s for leaving in exits if leaving.at_s is not None]
    if stage.timeline is None or not ends or stage.phase is Phase.MISSED or _is_round(stage, following):
        return at
    place = stage.timeline.at(ends[0])
    # Along the course where there is one: after a wide turn too little of a leg may be left for a track.
    along_deg = place.track_deg if stage.course is None else stage.course.course_mag_deg
    passed = _passing(track, _end_of(stage, stage.timeline, ends[0]), along_deg, at)
    if stage.phase is Phase.HOLD:
        if following.arc is not None:
            passed = min(passed, _flown_along_from(track, following, at))
        # Who was not told to leave it is still in the hold, wherever its fix has gone.
        return max(passed, at)
    if any(isinstance(leaving.trigger, TimeElapsed) for leaving in exits):
        return min(passed, begin + round(ends[0]))
    if stage.arc is None or following.course is None:
        return passed
    # Who is established on the course after an arc has left it, if by a turn that began short of the radial.
    turning = Span(following, at, min(at + _WINDOW_S, len(track.t_s)), at)
    established = established_from(track, turning, turned=False)
    return passed if established is None else min(passed, established)


def _end_of(stage: Stage, timeline: Timeline, ends_s: float) -> PlanePoint:
    """The place where a leg ends: on paper, or at its fix where that was passed before the turn was over."""
    point, course = timeline.at(ends_s).point, stage.course
    if course is None or ends_s > timeline.turn_end_s:
        return point
    beyond_nm = along_and_across_nm(point, course.anchor, course.course_mag_deg).along_nm
    return course.anchor if beyond_nm > 0.0 else point


def _flown_along_from(track: Track, following: Stage, at: int) -> int:
    """
    From when on an arc that a hold was left for was flown: within a mile of it, and along it.

    The end of the track where it never was. Who cuts to it from beside the hold never comes to that fix.
    """
    if following.arc is None:
        return len(track.t_s)
    on_arc = np.abs(track.ground_nm - following.arc.arc_dme_nm) <= _ON_ARC_NM
    flown_nm = np.hypot(np.gradient(track.east_nm), np.gradient(track.north_nm))
    on_arc &= np.abs(np.gradient(track.ground_nm)) <= flown_nm * sin(radians(_ALONG_DEG))
    found = np.flatnonzero(on_arc[at:])
    return at + int(found[0]) if found.size else len(track.t_s)


def _passing(track: Track, point: PlanePoint, track_deg: float, about: int) -> int:
    """
    The position at which a place was flown past along a direction, near `about`.

    Later where it still lay ahead long after, the end where it never was passed then; `about` itself where
    it lay behind all along.
    """
    low, high = max(about - _WINDOW_S, 0), min(about + _WINDOW_S, len(track.t_s))
    along_nm, across_nm = track.along_and_across_nm(point, track_deg)
    past, before = (along_nm >= 0.0) & (np.abs(across_nm) < _NEAR_NM), along_nm < 0.0
    crossings = np.flatnonzero(past[1:] & before[:-1]) + 1
    near = crossings[(crossings > low) & (crossings < high)]
    if near.size:
        return int(near[np.argmin(np.abs(near - about))])
    if not before[low:high].all():
        return about
    later = crossings[crossings >= high]
    return int(later[0]) if later.size else len(track.t_s)


def established_from(track: Track, span: Span, *, turned: bool = True) -> int | None:
    """
    From when on a stage's course was flown within half scale and along it; None where it never was.

    `turned`: and the turn on to it was over, so that a sweep through the needle does not count. An arc was
    flown from when on the aircraft was within a mile of it.
    """
    course, arc = span.stage.course, span.stage.arc
    part = slice(span.begin, span.end)
    if arc is not None:
        on_arc = np.abs(track.ground_nm[part] - arc.arc_dme_nm) <= _ON_ARC_NM
        return span.begin + int(np.argmax(on_arc)) if on_arc.any() else None
    if course is None:
        return None
    _, across_nm = track.along_and_across_nm(course.anchor, course.course_mag_deg)
    along_deg = _ALONG_DEG if turned else _CLOSING_DEG
    on_it = np.abs((track.track_deg[part] - course.course_mag_deg + 180.0) % 360.0 - 180.0) <= along_deg
    on_it &= np.abs(across_nm[part]) <= half_scale_nm(track)[part]
    if turned:
        on_it &= np.abs(track.turn_deg_s[part]) < _TURNING_DEG_S
    return span.begin + int(np.argmax(on_it)) if on_it.any() else None


def floors_ft(track: Track, flown_spans: list[Span]) -> Numbers:
    """The floor in force at each second, ft; zero where none is (arrival, missed approach, landing)."""
    floor_ft = np.zeros(len(track.t_s))
    carried_ft, was_established = 0.0, False
    missed = False
    for span in flown_spans:
        stage = span.stage
        missed = missed or stage.phase is Phase.MISSED
        if missed:
            break  # what is flown from there on begins below the levels of the hold, and climbs
        if stage.phase in (Phase.ARRIVAL, Phase.MISSED, Phase.LANDING) or stage.timeline is None:
            carried_ft = 0.0
            continue
        begin = span.begin
        for floor in stage.floors:
            until = span.end
            if floor.until_s < stage.timeline.duration_s:
                place = stage.timeline.at(floor.until_s)
                about = min(span.called + round(floor.until_s), span.end)
                passed = _passing(track, place.point, place.track_deg, about)
                until = min(max(passed, begin), span.end)
            floor_ft[begin:until] = floor.altitude_ft
            begin = until
        waits_ft = max(stage.floor_until_established_ft or 0.0, carried_ft)
        if stage.phase is Phase.HOLD or (was_established and not stage.turns):
            waits_ft = 0.0
        if waits_ft > 0.0:
            established = established_from(track, span, turned=False)
            until = span.end if established is None else established
            floor_ft[span.begin : until] = np.maximum(floor_ft[span.begin : until], waits_ft)
            carried_ft = waits_ft if established is None else 0.0
            was_established = established is not None
    return floor_ft
