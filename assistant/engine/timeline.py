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
from math import hypot, radians
from typing import NamedTuple

from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed, Trigger
from assistant.nav.geometry import PlanePoint, difference_deg, distance_nm, polar_from_plane

SAMPLE_S = 2.0
# A reading off the timeline along the track costs this share of the distance between it and the expected
# place, so that of two places that fit the reading the one nearer in time wins.
_TIME_PENALTY = 0.15
# How far, in samples or longer pieces, a reading may lie before the start or past the end of a timeline:
# straight on for two minutes, but a radial swings, so less.
_RUN_ON_STEPS = 60.0
_RUN_ON_RADIALS = 10.0


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
