"""A stage flown on paper: turns, headings, courses and arcs in the wind, sampled into a timeline."""

from math import atan2, cos, degrees, hypot, radians, sin, tan

from assistant.engine.timeline import SAMPLE_S, Timeline
from assistant.nav.arcs import arc_heading
from assistant.nav.geometry import (
    FT_PER_NM,
    PlanePoint,
    along_and_across_nm,
    move,
    normalize_deg,
    polar_from_plane,
    turn_through_deg,
)
from assistant.nav.turns import turn_displacement, turn_time_s
from assistant.nav.wind import heading_for_track, track_for_heading
from assistant.procedure.model import ArcDirection, Turn

_STATION = PlanePoint(0.0, 0.0)
# A course that a turn ended beside is joined by such a cut (common practice); nearer than this it is flown.
_JOINING_DEG, _ON_COURSE_NM = 30.0, 0.1
# Two samples are at least so far apart.
_LEAST_S = 1e-6


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

        A turn that did not end on the line is followed by a cut of 30 degrees to it, steeper where that would
        not reach it before the end; what is nearer than a tenth of a mile is put on it. Nothing where the end
        is passed.
        """
        along_nm, across_nm = along_and_across_nm(self.point, anchor, course_deg)
        if to_along_nm <= along_nm:
            return
        if abs(across_nm) > _ON_COURSE_NM:
            cut_nm = min(abs(across_nm) / tan(radians(_JOINING_DEG)), to_along_nm - along_nm)
            self._along(course_deg - degrees(atan2(across_nm, cut_nm)), tas_kt, hypot(across_nm, cut_nm))
            along_nm += cut_nm
        self.point = move(anchor, course_deg, along_nm)
        if to_along_nm > along_nm:
            self._along(course_deg, tas_kt, to_along_nm - along_nm)

    def _along(self, track_deg: float, tas_kt: float, length_nm: float) -> None:
        """Straight along a track for a length."""
        triangle = heading_for_track(track_deg, tas_kt, self._wind_from_deg, self._wind_kt)
        time_s = length_nm / triangle.groundspeed_kt * 3600.0
        self._straight(track_deg % 360.0, triangle.groundspeed_kt, time_s, triangle.heading_deg)

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
