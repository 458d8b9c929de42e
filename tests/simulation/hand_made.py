"""
Flights made by hand, for what is measured by the true track.

All in still air at 120 kt, a mile in 30 s, with the station at the origin and heights from it. The straight
approach runs east: ten miles out at the start, over the final fix (5 miles) at 150 s, the step-down (3 miles)
at 210 s, the missed approach point (1 mile) at 270 s.
"""

from math import cos, radians, sin
from types import SimpleNamespace

from assistant.engine.conditions import Conditions
from assistant.engine.events import StageEntered
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.plan import ArcFacts, CourseFacts, Exit, Floor, Phase, Stage
from assistant.engine.triggers import DmeReached, RadialReached
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import ArcDirection
from assistant.simulation.flight import Flown, Sample

STATION = PlanePoint(0.0, 0.0)
EAST = CourseFacts(course_mag_deg=90.0, anchor=STATION)


def paper(east_nm, north_nm, heading_deg):
    return NominalFlight(
        point=PlanePoint(east_nm, north_nm),
        heading_deg=heading_deg,
        wind_from_deg=0.0,
        wind_kt=0.0,
        height_ft=0.0,
    )


def leg(name, phase, flight, *floors, to=None, trigger=None, at_s=None, **more):
    exits = () if to is None else (Exit(trigger=trigger, to=to, at_s=at_s),)
    return Stage(
        name=name,
        title=name,
        phase=phase,
        timeline=flight.timeline(),
        tas_kt=120.0,
        wind_from_mag_deg=0.0,
        wind_kt=0.0,
        target_ft=None,
        floors=floors,
        exits=exits,
        **more,
    )


def eastward(from_nm, to_nm):
    flight = paper(from_nm, 0.0, 90.0)
    flight.follow_course(STATION, 90.0, 120.0, to_along_nm=to_nm)
    return flight


def straight_legs(**final):
    """2,000 ft to the final fix, 1,000 to the step-down, 500 to the missed approach point."""
    return (
        leg(
            "intermediate",
            Phase.INTERMEDIATE,
            eastward(-10.0, -5.0),
            Floor(altitude_ft=2000.0),
            to="final",
            trigger=DmeReached(dme_nm=5.0, closing=True),
            at_s=150.0,
            course=EAST,
        ),
        leg(
            "final",
            Phase.FINAL,
            eastward(-5.0, -1.0),
            Floor(altitude_ft=1000.0, until_s=60.0, name="3 DME"),
            Floor(altitude_ft=500.0),
            to="missed",
            trigger=DmeReached(dme_nm=1.0, closing=True),
            at_s=120.0,
            course=EAST,
            **final,
        ),
        leg("missed", Phase.MISSED, eastward(-1.0, 5.0), course=EAST),
    )


def flown(stages, points, altitudes_ft, *entered):
    """A flight second by second from 1 s on; `entered`: (when, stage) as the engine took them to begin."""
    samples = [
        Sample(float(t_s), PlanePoint(*point), altitude_ft, 90.0, 0.0, 120.0)
        for t_s, (point, altitude_ft) in enumerate(zip(points, altitudes_ft, strict=True), start=1)
    ]
    by_name = {stage.name: stage for stage in stages}
    plan = SimpleNamespace(
        stages=stages,
        stage=by_name.__getitem__,
        procedure=SimpleNamespace(navaid=SimpleNamespace(elevation_ft=0.0)),
        conditions=Conditions(),
        minimum_ft=600.0,
        decision_ft=650.0,
    )
    records = [StageEntered(t_s=float(t_s), stage=name) for t_s, name in entered]
    return Flown(plan=plan, samples=samples, records=records)


def arc_and_course(lead_radial_deg):
    """Ten miles round clockwise from radial 225 at 2,500 ft to a lead radial; then course 090 at 1,500 ft."""
    start = PlanePoint(10.0 * sin(radians(225.0)), 10.0 * cos(radians(225.0)))
    round_it = paper(*start, 315.0)
    round_it.follow_arc(10.0, ArcDirection.CLOCKWISE, lead_radial_deg, 120.0)
    arc = leg(
        "arc",
        Phase.INITIAL,
        round_it,
        Floor(altitude_ft=2500.0),
        to="course",
        trigger=RadialReached(radial_deg=lead_radial_deg),
        at_s=round_it.time_s,
        arc=ArcFacts(arc_dme_nm=10.0, direction=ArcDirection.CLOCKWISE),
    )
    course = leg("course", Phase.INTERMEDIATE, eastward(-10.0, -5.0), Floor(altitude_ft=1500.0), course=EAST)
    return arc, course


def around(to_radial_deg, for_s):
    """Round the arc to a radial, then due east; how long the arc took, and the points."""
    # A degree of a ten-mile arc is 0.1745 NM, 5.236 s.
    arc_s = int((to_radial_deg - 225.0) * 5.236)
    turned = [radians(225.0 + t_s / 5.236) for t_s in range(1, arc_s + 1)]
    points = [(10.0 * sin(angle), 10.0 * cos(angle)) for angle in turned]
    east, north = points[-1]
    return arc_s, points + [(east + t_s / 30.0, north) for t_s in range(1, for_s)]
