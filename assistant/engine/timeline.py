"""
The nominal flight of one stage, second by second: what turns "where" into "when" and back.

Every stage of a plan is flown once when the plan is compiled, in today's wind, at today's speed and bank, and
kept as samples. Progress along a stage is one number, seconds on that timeline. A report is turned into
progress by finding where on the timeline it lies; dead reckoning adds the seconds since; a trigger is a
progress value worked out beforehand. That keeps one method for arcs, turns, holds and straight legs, and
makes extra ticks harmless.

What it leaves out: the pilot's own path. A pilot half a mile outside the arc is mapped on to the nearest
nominal point; the offset is judged from the report itself, not from here.
"""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin
from typing import NamedTuple

from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed, Trigger
from assistant.nav.arcs import arc_heading
from assistant.nav.geometry import (
    FT_PER_NM,
    PlanePoint,
    along_and_across_nm,
    difference_deg,
    distance_nm,
    move,
    normalize_deg,
    polar_from_plane,
    turn_through_deg,
)
from assistant.nav.turns import turn_displacement, turn_time_s
from assistant.nav.wind import heading_for_track, track_for_heading
from assistant.procedure.model import ArcDirection, Turn

SAMPLE_S = 2.0
# A reading off the timeline along the track costs this share of the distance between it and the expected
# place, so that of two places that fit the reading the one nearer in time wins.
_TIME_PENALTY = 0.15
# How far, in samples or longer pieces, a reading may lie before the start or past the end of a timeline:
# straight on for two minutes, but a radial swings, so less.
_RUN_ON_STEPS = 60.0
_RUN_ON_RADIALS = 10.0
_STATION = PlanePoint(0.0, 0.0)
# Two samples are at least so far apart.
_LEAST_S = 1e-6


class Place(NamedTuple):
    """Where the nominal aircraft is at one moment."""

    point: PlanePoint
    dme_nm: float
    track_deg: float
    groundspeed_kt: float

    @property
    def radial_deg(self) -> float:
        """The radial there; worked out when asked for, since mostly it is not."""
        return polar_from_plane(self.point).radial_deg


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeline:
    """
    Samples of a nominal flight.

    Equal-length tuples, but tracks and ground speeds one shorter: those of the pieces between the samples.
    Times rise from 0. `turn_end_s`: the entry turn is over.
    """

    times_s: tuple[float, ...]
    points: tuple[PlanePoint, ...]
    radials_deg: tuple[float, ...]
    dmes_nm: tuple[float, ...]
    headings_deg: tuple[float, ...]
    tracks_deg: tuple[float, ...]
    groundspeeds_kt: tuple[float, ...]
    turn_end_s: float = 0.0

    @property
    def duration_s(self) -> float:
        """How long the nominal flight lasts, s."""
        return self.times_s[-1]

    def at(self, progress_s: float) -> Place:
        """The nominal place after `progress_s`; before the start and past the end it runs on straight."""
        index = self._piece(progress_s)
        start_s, end_s = self.times_s[index], self.times_s[index + 1]
        share = (progress_s - start_s) / (end_s - start_s)
        a, b = self.points[index], self.points[index + 1]
        point = PlanePoint(
            a.east_nm + share * (b.east_nm - a.east_nm), a.north_nm + share * (b.north_nm - a.north_nm)
        )
        dme_nm = self.dmes_nm[index] + share * (self.dmes_nm[index + 1] - self.dmes_nm[index])
        return Place(point, max(dme_nm, 0.0), self.tracks_deg[index], self.groundspeeds_kt[index])

    def groundspeed_kt(self, progress_s: float) -> float:
        """The ground speed after `progress_s`: that of `at`, without its place."""
        return self.groundspeeds_kt[self._piece(progress_s)]

    def _piece(self, progress_s: float) -> int:
        return min(max(bisect_right(self.times_s, progress_s) - 1, 0), len(self.times_s) - 2)

    def when(self, trigger: Trigger, *, from_s: float = 0.0) -> float | None:
        """
        Progress at which a trigger fires, from `from_s` on.

        None where it cannot be placed on a timeline.
        """
        match trigger:
            case TimeElapsed():
                return trigger.time_s
            case DmeReached():
                sign = -1.0 if trigger.closing else 1.0
                return self._first(lambda i: sign * (self.dmes_nm[i] - trigger.dme_nm), from_s)
            case RadialReached():
                return self._radial_crossing(trigger.radial_deg, from_s)
            case AltitudeCrossed():
                return None

    def _first(self, reached: Callable[[int], float], from_s: float) -> float | None:
        """First progress at which `reached` comes up to zero, by linear interpolation between samples."""
        start = max(bisect_right(self.times_s, from_s) - 1, 0)
        for i in range(start, len(self.times_s)):
            after = reached(i)
            if after >= 0.0:
                if i == start:
                    return self.times_s[i]
                before = reached(i - 1)
                share = -before / (after - before)
                return self.times_s[i - 1] + share * (self.times_s[i] - self.times_s[i - 1])
        return None

    def _radial_crossing(self, radial_deg: float, from_s: float) -> float | None:
        start = max(bisect_right(self.times_s, from_s) - 1, 0)
        for i in range(start, len(self.times_s) - 1):
            before = difference_deg(radial_deg, self.radials_deg[i])
            after = difference_deg(radial_deg, self.radials_deg[i + 1])
            if before * after <= 0.0 and abs(before - after) < 90.0:
                share = 0.0 if before == after else before / (before - after)
                return self.times_s[i] + share * (self.times_s[i + 1] - self.times_s[i])
        return None

    def progress_at(self, point: PlanePoint, expected_s: float) -> tuple[float, float]:
        """Progress of the nominal place nearest to a point, and how far off, NM; near in time preferred."""
        east_nm, north_nm = point
        penalty_nm_s = _TIME_PENALTY * self.groundspeed_kt(expected_s) / 3600.0
        # The nearest sample first, then the better of the two pieces that meet there.
        costs = [
            hypot(here[0] - east_nm, here[1] - north_nm) + penalty_nm_s * abs(time_s - expected_s)
            for here, time_s in zip(self.points, self.times_s, strict=True)
        ]
        nearest = costs.index(min(costs))
        last = len(self.times_s) - 2
        found = [self._nearest_on_piece(i, point) for i in {max(nearest - 1, 0), min(nearest, last)}]
        return min(found, key=lambda pair: pair[1] + penalty_nm_s * abs(pair[0] - expected_s))

    def _nearest_on_piece(self, i: int, point: PlanePoint) -> tuple[float, float]:
        """Progress and distance of the nearest place on the piece from a sample to the next; ends run on."""
        a, b = self.points[i], self.points[i + 1]
        east_nm, north_nm = b.east_nm - a.east_nm, b.north_nm - a.north_nm
        square = east_nm * east_nm + north_nm * north_nm
        to_east_nm, to_north_nm = point.east_nm - a.east_nm, point.north_nm - a.north_nm
        share = (to_east_nm * east_nm + to_north_nm * north_nm) / square if square > 0.0 else 0.0
        low, high = self._shares(i, _RUN_ON_STEPS)
        share = max(low, min(high, share))
        off_nm = hypot(to_east_nm - share * east_nm, to_north_nm - share * north_nm)
        return self.times_s[i] + share * (self.times_s[i + 1] - self.times_s[i]), off_nm

    def _shares(self, i: int, run_on: float) -> tuple[float, float]:
        """How far a piece reaches, in its own lengths: past its ends only at the ends of the timeline."""
        # A leg that was cut ends with a piece shorter than a sample.
        run_on *= max(SAMPLE_S / (self.times_s[i + 1] - self.times_s[i]), 1.0)
        return 0.0 if i else -run_on, 1.0 if i < len(self.times_s) - 2 else run_on

    def progress_by_dme(self, dme_nm: float, expected_s: float) -> float | None:
        """Progress where a range is read, nearest to the expected; None where it says little (an arc)."""
        gaps = [here_nm - dme_nm for here_nm in self.dmes_nm]
        last = len(gaps) - 2
        best: float | None = None
        for i, (before, after) in enumerate(pairwise(gaps)):
            if before * after > 0.0 and 0 < i < last:
                continue
            # Where the range changes by less than a quarter of the way flown, it does not tell the place.
            if abs(after - before) < 0.25 * distance_nm(self.points[i], self.points[i + 1]):
                continue
            best = self._nearer(i, before / (before - after), _RUN_ON_STEPS, expected_s, best)
        return best

    def progress_by_radial(self, radial_deg: float, expected_s: float) -> float | None:
        """Progress at which the radial is crossed, nearest to the expected; None where it never is."""
        gaps = [difference_deg(radial_deg, here_deg) for here_deg in self.radials_deg]
        last = len(gaps) - 2
        best: float | None = None
        for i, (before, after) in enumerate(pairwise(gaps)):
            if (before * after > 0.0 and 0 < i < last) or abs(before - after) > 90.0:
                continue
            crosswise_nm = radians(abs(before - after)) * self.dmes_nm[i]
            if crosswise_nm < 0.25 * distance_nm(self.points[i], self.points[i + 1]):
                continue
            best = self._nearer(i, before / (before - after), _RUN_ON_RADIALS, expected_s, best)
        return best

    def _nearer(
        self, i: int, share: float, run_on: float, expected_s: float, best_s: float | None
    ) -> float | None:
        """The nearer to the expected of the best so far and a place on a piece, if it lies there."""
        low, high = self._shares(i, run_on)
        if not low <= share <= high:
            return best_s
        at_s = self.times_s[i] + share * (self.times_s[i + 1] - self.times_s[i])
        return at_s if best_s is None or abs(at_s - expected_s) < abs(best_s - expected_s) else best_s


class NominalFlight:
    """
    Flies a stage on paper and keeps the samples. Mutable while a plan is compiled; `timeline()` freezes it.

    `height_ft` is the height above the station at which ranges are read (slant range).
    """

    def __init__(
        self,
        *,
        point: PlanePoint,
        heading_deg: float,
        wind_from_deg: float,
        wind_kt: float,
        height_ft: float,
        sample_s: float = SAMPLE_S,
    ) -> None:
        self.point = point
        self.heading_deg = heading_deg % 360.0
        self.time_s = 0.0
        self._wind_from_deg = wind_from_deg
        self._wind_kt = wind_kt
        self._height_ft = max(height_ft, 0.0)
        self._sample_s = sample_s
        self._samples: list[tuple[float, PlanePoint, float]] = [(0.0, point, self.heading_deg)]
        self._turn_end_s = 0.0
        # As frozen last, while nothing was flown since: a leg's end is sought on the timeline it is cut from.
        self._frozen: Timeline | None = None

    def _add(self, time_s: float, point: PlanePoint, heading_deg: float) -> None:
        self.time_s, self.point, self.heading_deg = time_s, point, heading_deg % 360.0
        if time_s - self._samples[-1][0] > _LEAST_S:
            self._samples.append((time_s, point, self.heading_deg))
            self._frozen = None

    def turn(self, to_heading_deg: float, turn: Turn, tas_kt: float, bank_deg: float) -> None:
        """A turn at constant bank and airspeed, carried by the wind."""
        start_s, start, start_heading_deg = self.time_s, self.point, self.heading_deg
        angle_deg = turn_through_deg(start_heading_deg, to_heading_deg, turn.value)
        steps = max(1, round(turn_time_s(angle_deg, tas_kt, bank_deg) / self._sample_s))
        for step in range(1, steps + 1):
            sign = 1.0 if turn is Turn.RIGHT else -1.0
            heading_deg = (start_heading_deg + sign * angle_deg * step / steps) % 360.0
            path = turn_displacement(
                start_heading_deg,
                heading_deg,
                turn.value,
                tas_kt,
                bank_deg,
                self._wind_from_deg,
                self._wind_kt,
            )
            point = PlanePoint(start.east_nm + path.east_nm, start.north_nm + path.north_nm)
            self._add(start_s + path.time_s, point, heading_deg)
        self._turn_end_s, self._frozen = self.time_s, None

    def hold_heading(self, heading_deg: float, tas_kt: float, time_s: float) -> None:
        """Straight ahead on a heading for a time, drifting."""
        flown = track_for_heading(heading_deg, tas_kt, self._wind_from_deg, self._wind_kt)
        self._straight(flown.track_deg, flown.groundspeed_kt, time_s, heading_deg)

    def follow_course(
        self, anchor: PlanePoint, course_deg: float, tas_kt: float, *, to_along_nm: float = 0.0
    ) -> None:
        """
        Along the course line through `anchor` until `to_along_nm` past it (negative: before it).

        The aircraft is put on the line first: the turn before it was led to end there, or nearly.
        """
        along_nm, _ = along_and_across_nm(self.point, anchor, course_deg)
        self.point = move(anchor, course_deg, along_nm)
        triangle = heading_for_track(course_deg, tas_kt, self._wind_from_deg, self._wind_kt)
        length_nm = to_along_nm - along_nm
        if length_nm > 0.0:
            time_s = length_nm / triangle.groundspeed_kt * 3600.0
            self._straight(course_deg, triangle.groundspeed_kt, time_s, triangle.heading_deg)

    def _straight(self, track_deg: float, groundspeed_kt: float, time_s: float, heading_deg: float) -> None:
        start_s, (east_nm, north_nm) = self.time_s, self.point
        # Every sample of a straight leg lies the same way: `move` would work out its sine each time.
        sine, cosine = sin(radians(track_deg)), cos(radians(track_deg))
        steps = max(1, round(time_s / self._sample_s))
        heading_deg %= 360.0
        samples: list[tuple[float, PlanePoint, float]] = []
        for step in range(1, steps + 1):
            gone_s = time_s * step / steps
            gone_nm = groundspeed_kt * gone_s / 3600.0
            point = PlanePoint(east_nm + gone_nm * sine, north_nm + gone_nm * cosine)
            samples.append((start_s + gone_s, point, heading_deg))
        if samples[0][0] - start_s > _LEAST_S:
            self._samples += samples
            self._frozen = None
        self.time_s, self.point, self.heading_deg = samples[-1]

    def follow_arc(
        self, ground_nm: float, direction: ArcDirection, to_radial_deg: float, tas_kt: float
    ) -> None:
        """
        Round the station at a ground distance to a radial, at the ground speed that the wind gives on each
        part.
        """
        radial_deg = polar_from_plane(self.point).radial_deg
        turn = Turn.RIGHT if direction is ArcDirection.CLOCKWISE else Turn.LEFT
        sign = 1.0 if direction is ArcDirection.CLOCKWISE else -1.0
        angle_deg = turn_through_deg(radial_deg, to_radial_deg, turn.value)
        steps = max(1, round(angle_deg / 2.0))
        time_s = self.time_s
        for step in range(1, steps + 1):
            here_deg = radial_deg + sign * angle_deg * step / steps
            flown = arc_heading(here_deg % 360.0, direction.value, tas_kt, self._wind_from_deg, self._wind_kt)
            length_nm = angle_deg / steps * ground_nm / 57.29578
            time_s += length_nm / flown.groundspeed_kt * 3600.0
            self._add(time_s, move(_STATION, here_deg % 360.0, ground_nm), flown.heading_deg)

    @property
    def turn_end_s(self) -> float:
        """When the last turn flown was over, s."""
        return self._turn_end_s

    def cut(self, at_s: float) -> None:
        """Take back all that was flown after a moment."""
        place = self.timeline().at(at_s)
        heading_deg = self.heading_deg
        self._samples = [sample for sample in self._samples if sample[0] < at_s - 1e-6]
        self._frozen = None
        self._add(at_s, place.point, heading_deg)

    def timeline(self) -> Timeline:
        """What was flown so far, frozen. A stage that takes no time gets one sample more, straight ahead."""
        if self._frozen is not None:
            return self._frozen
        if len(self._samples) == 1:
            self._straight(self.heading_deg, 120.0, SAMPLE_S, self.heading_deg)
        times_s, points, headings_deg = zip(*self._samples, strict=True)
        radials_deg, dmes_nm = _polars(points, self._height_ft)
        tracks_deg, groundspeeds_kt = _pieces(times_s, points)
        self._frozen = Timeline(
            times_s=times_s,
            points=points,
            radials_deg=radials_deg,
            dmes_nm=dmes_nm,
            headings_deg=headings_deg,
            tracks_deg=tracks_deg,
            groundspeeds_kt=groundspeeds_kt,
            turn_end_s=self._turn_end_s,
        )
        return self._frozen


# The two below are `polar_from_plane`, `slant_nm_from_ground`, `bearing_deg` and `distance_nm` for a thousand
# points at a time: a plan has some twenty timelines, and the calls were a fifth of its time.


def _polars(points: tuple[PlanePoint, ...], height_ft: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Radial and slant range of each sample."""
    height_nm = height_ft / FT_PER_NM
    return (
        tuple([normalize_deg(degrees(atan2(east_nm, north_nm))) for east_nm, north_nm in points]),
        tuple([hypot(hypot(east_nm, north_nm), height_nm) for east_nm, north_nm in points]),
    )


def _pieces(
    times_s: tuple[float, ...], points: tuple[PlanePoint, ...]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Track and ground speed of each piece between two samples."""
    tracks_deg: list[float] = []
    groundspeeds_kt: list[float] = []
    last_s, (last_east_nm, last_north_nm) = times_s[0], points[0]
    for time_s, (east_nm, north_nm) in zip(times_s[1:], points[1:], strict=True):
        gone_east_nm, gone_north_nm = east_nm - last_east_nm, north_nm - last_north_nm
        tracks_deg.append(normalize_deg(degrees(atan2(gone_east_nm, gone_north_nm))))
        groundspeeds_kt.append(hypot(gone_east_nm, gone_north_nm) / (time_s - last_s) * 3600.0)
        last_s, last_east_nm, last_north_nm = time_s, east_nm, north_nm
    return tuple(tracks_deg), tuple(groundspeeds_kt)
