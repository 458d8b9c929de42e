"""
A logged flight reckoned again: the engine's knowledge at every moment, and every reading beside it.

The engine is pure, so the inputs in a log give back the states it went through. What was said, and when, is
taken from the log; what was due is taken from here. Where this version reckons otherwise than the one that
wrote the log, what is due is what this version would have called.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf
from typing import get_args

from assistant.engine.compiler import compile_plan
from assistant.engine.core import as_report, begin, step
from assistant.engine.doubting import other_setting
from assistant.engine.estimate import altitude_reported_ft, point_of
from assistant.engine.events import (
    Callout,
    CalloutKind,
    Datum,
    EngineInput,
    PositionReport,
    PositionSample,
    ReportRefused,
)
from assistant.engine.plan import Plan
from assistant.engine.reports import with_fix
from assistant.engine.state import State
from assistant.flight_log import FlightRecord, Header, Record, TruePlace
from assistant.nav.geometry import PlanePoint, polar_from_plane, slant_nm_from_ground
from assistant.procedure.load import load_procedure

_INPUTS = get_args(EngineInput)
# Readings nearer in time than this do not tell how the way between them was flown.
_SHORTEST_S = 0.5
# Between readings farther apart than this nothing is known of the way.
_LONGEST_S = 900.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """
    One report or sample.

    t_s: when it was true. point: where it puts the aircraft, by dead reckoning what was not read; None while
    nothing is known. reckoned: where dead reckoning had the aircraft then. altitude_ft: on QNH, as read.
    floor_broken_ft: the floor it is below, if it is. fits: the other altimeter setting on which it would be
    what is due. before, after: the engine's knowledge.
    """

    t_s: float
    report: PositionReport
    is_sample: bool
    is_refused: bool
    point: PlanePoint | None
    reckoned: PlanePoint | None
    altitude_ft: float | None
    floor_broken_ft: float | None
    fits: Datum | None
    before: State
    after: State


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackPoint:
    """Where the aircraft was, by readings and by reckoning between them."""

    t_s: float
    point: PlanePoint
    dme_nm: float
    radial_deg: float
    altitude_ft: float | None
    stage: str


class Flown:
    """A flight to be debriefed. ProcedureError or PlanError where the log's procedure cannot be planned."""

    def __init__(self, log: FlightRecord) -> None:
        self.header: Header = log.header
        self.records: tuple[Record, ...] = log.records
        self.notice = log.notice
        procedure = load_procedure(self.header.procedure_text, self.header.procedure_name)
        self.plan: Plan = compile_plan(procedure, self.header.conditions)
        self._times_s: list[float] = [0.0]
        self._states: list[State] = [begin(self.plan)]
        self.readings: tuple[Reading, ...] = tuple(self._reckon())
        self.end_s: float = max((record.t_s for record in self.records), default=0.0)

    def _reckon(self) -> Iterator[Reading]:
        for record in self.records:
            if not isinstance(record, _INPUTS):
                continue
            before = self._states[-1]
            # A resumed flight may log a moment twice; the engine's time does not run back.
            event = replace(record, t_s=max(record.t_s, before.reached_s))
            after, outputs = step(before, event)
            self._times_s.append(event.t_s)
            self._states.append(after)
            if isinstance(event, PositionReport | PositionSample):
                yield _reading(before, event, after, outputs)

    def state_at(self, t_s: float) -> State:
        """The engine's knowledge at a moment, as of the last event up to it."""
        return self._states[max(bisect_right(self._times_s, t_s) - 1, 0)]

    @property
    def accepted(self) -> tuple[Reading, ...]:
        """The readings that were believed."""
        return tuple(reading for reading in self.readings if not reading.is_refused)

    def track(self, step_s: float = 2.0) -> tuple[TrackPoint, ...]:
        """
        The way flown.

        Between two readings it is dead reckoning, with what it was off at the second spread over the time
        between.
        """
        placed = [reading for reading in self.accepted if reading.point is not None]
        points: list[TrackPoint] = []
        for first, second in pairwise(placed):
            points.extend(self._between(first, second, step_s))
        if placed:
            last = placed[-1]
            points.append(self._track_point(last.t_s, last.point))
        return tuple(points)

    def true_track(self) -> tuple[TrackPoint, ...]:
        """The way truly flown, which only a simulation knows; empty for any other flight."""
        return tuple(
            TrackPoint(
                t_s=record.t_s,
                point=point_of(
                    self.state_at(record.t_s), record.radial_deg, record.dme_nm, record.altitude_ft
                ),
                dme_nm=record.dme_nm,
                radial_deg=record.radial_deg,
                altitude_ft=record.altitude_ft,
                stage=self.state_at(record.t_s).stage_name,
            )
            for record in self.records
            if isinstance(record, TruePlace)
        )

    def _between(self, first: Reading, second: Reading, step_s: float) -> Iterator[TrackPoint]:
        gap_s = second.t_s - first.t_s
        if gap_s < _SHORTEST_S:
            return
        off_east_nm = off_north_nm = 0.0
        if second.point is not None and second.reckoned is not None:
            off_east_nm = second.point.east_nm - second.reckoned.east_nm
            off_north_nm = second.point.north_nm - second.reckoned.north_nm
        steps = max(int(gap_s / step_s), 1) if gap_s <= _LONGEST_S else 1
        for number in range(steps):
            t_s = first.t_s + gap_s * number / steps
            place = self.state_at(t_s).place(t_s)
            if number == 0 and first.point is not None:
                yield self._track_point(t_s, first.point)
            elif place is not None:
                share = number / steps
                yield self._track_point(
                    t_s,
                    PlanePoint(
                        place.point.east_nm + share * off_east_nm, place.point.north_nm + share * off_north_nm
                    ),
                )

    def _track_point(self, t_s: float, point: PlanePoint | None) -> TrackPoint:
        if point is None:
            raise ValueError("a place on the track is known")
        altitude_ft = self.altitude_ft(t_s)
        polar = polar_from_plane(point)
        height_ft = (altitude_ft or 0.0) - self.plan.procedure.navaid.elevation_ft
        return TrackPoint(
            t_s=t_s,
            point=point,
            dme_nm=slant_nm_from_ground(polar.ground_nm, max(height_ft, 0.0)),
            radial_deg=polar.radial_deg,
            altitude_ft=altitude_ft,
            stage=self.state_at(t_s).stage_name,
        )

    def altitude_ft(self, t_s: float) -> float | None:
        """The altitude on QNH at a moment, straight between the readings about it; None outside them."""
        before: tuple[float, float] | None = None
        for reading in self.accepted:
            if reading.altitude_ft is None:
                continue
            if reading.t_s >= t_s:
                if before is None:
                    return reading.altitude_ft if reading.t_s - t_s < _SHORTEST_S else None
                share = (t_s - before[0]) / max(reading.t_s - before[0], 1e-6)
                return before[1] + share * (reading.altitude_ft - before[1])
            before = reading.t_s, reading.altitude_ft
        return None if before is None or t_s - before[0] > _SHORTEST_S else before[1]


def _reading(
    before: State, event: PositionReport | PositionSample, after: State, outputs: Iterable[object]
) -> Reading:
    report = with_fix(before, event if isinstance(event, PositionReport) else as_report(before, event))
    told = list(outputs)
    t_s = report.observed_t_s
    place = before.place(t_s) if before.observed_s is not None else None
    broken = [
        output.figures.altitude_ft
        for output in told
        if isinstance(output, Callout) and output.kind is CalloutKind.BELOW_FLOOR
    ]
    return Reading(
        t_s=t_s,
        report=report,
        is_sample=isinstance(event, PositionSample),
        is_refused=any(isinstance(output, ReportRefused) for output in told),
        point=_point(before, after, report, t_s),
        reckoned=None if place is None else place.point,
        altitude_ft=altitude_reported_ft(before, report),
        floor_broken_ft=broken[0] if broken else None,
        fits=other_setting(before, report, t_s),
        before=before,
        after=after,
    )


def _point(before: State, after: State, report: PositionReport, t_s: float) -> PlanePoint | None:
    """The place of a reading: what was read, and the rest by the reckoning that the reading gave."""
    place = after.place(t_s) if after.age_s(t_s) < inf else before.place(t_s)
    dme_nm = report.dme_nm if report.dme_nm is not None else None if place is None else place.dme_nm
    radial_deg = report.radial_deg
    if radial_deg is None:
        radial_deg = None if place is None else place.radial_deg
    if dme_nm is None or radial_deg is None or (report.dme_nm is None and report.radial_deg is None):
        return None
    return point_of(after, radial_deg, dme_nm, altitude_reported_ft(after, report))
