"""Stages drawn by hand, so that every number of them is known without the compiler."""

from dataclasses import replace
from itertools import pairwise

from assistant.engine.plan import Phase, Stage
from assistant.engine.timeline import Timeline
from assistant.nav.geometry import PlanePoint, bearing_deg, distance_nm, polar_from_plane


def drawn(points, *, step_s=10.0, turn_end_s=0.0):
    """A flight through points (east, north), so many seconds each; ranges are on the ground."""
    places = [PlanePoint(*point) for point in points]
    polars = [polar_from_plane(place) for place in places]
    legs = list(pairwise(places))
    tracks_deg = tuple(bearing_deg(a, b) for a, b in legs)
    return Timeline(
        times_s=tuple(step_s * number for number in range(len(places))),
        points=tuple(places),
        radials_deg=tuple(polar.radial_deg for polar in polars),
        dmes_nm=tuple(polar.ground_nm for polar in polars),
        headings_deg=(*tracks_deg, tracks_deg[-1]),
        tracks_deg=tracks_deg,
        groundspeeds_kt=tuple(distance_nm(a, b) / step_s * 3600.0 for a, b in legs),
        turn_end_s=turn_end_s,
    )


def straight(*, speed_kt=120.0, length_s=200.0, turn_end_s=0.0):
    """South along radial 360 from 20 miles."""
    steps = round(length_s / 10.0)
    flown_nm = speed_kt / 360.0
    points = [(0.0, 20.0 - flown_nm * number) for number in range(steps + 1)]
    return drawn(points, turn_end_s=turn_end_s)


def stage(**changes):
    """A stage in still air at 120 kt, not below 2,000 ft."""
    known = {
        "name": "leg",
        "title": "Leg",
        "phase": Phase.INITIAL,
        "timeline": straight(),
        "tas_kt": 120.0,
        "wind_from_mag_deg": 360.0,
        "wind_kt": 0.0,
        "target_ft": 2000.0,
        "floors": (),
        "event": "the fix",
    }
    return Stage(**known | changes)


def binary(*, length_s=480.0, turn_end_s=0.0, speed_kt=112.5):
    """As `straight`, at a 32nd of a mile a second: times, places and ranges have no rounding at all."""
    return straight(speed_kt=speed_kt, length_s=length_s, turn_end_s=turn_end_s)


def in_plan(plan, drawn_stage):
    """A plan with a stage drawn by hand in place of its own of that name."""
    stages = tuple(drawn_stage if known.name == drawn_stage.name else known for known in plan.stages)
    return replace(plan, stages=stages)
