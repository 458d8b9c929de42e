"""
One flight's case: the day, the pilot, the way in; drawn from a seed, and the flight set up from it.

The same case gives the same flight. A case is plain data, so that it can be sent to another process.
"""

from dataclasses import dataclass, replace
from random import Random
from typing import NamedTuple

from assistant.conversation import Conversation
from assistant.dialogue import Dialogue
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import CATEGORY_SPEEDS, Conditions, WindAtLevel
from assistant.engine.plan import Plan
from assistant.engine.today import Today, indicated_ft
from assistant.nav.geometry import PlanePoint, bearing_deg, move
from assistant.procedure.model import Category, Datum, Procedure, ReversalLeg
from assistant.simulation.air import Air
from assistant.simulation.aircraft import Aircraft, Controls, Motion
from assistant.simulation.flight import Flown, fly
from assistant.simulation.habits import Habits, habits_of
from assistant.simulation.pilot import Briefed, ScriptedPilot
from assistant.simulation.point_mass import PointMass

STRONGEST_WIND_KT = 40.0
GUST_SHARE = 0.1
_START_NM = 10.0
# Those whose speeds the two bundled aircraft can fly.
JSBSIM_CATEGORIES = (Category.A, Category.C, Category.D)
_LIGHT = (Category.A, Category.B)
# Sink and climb where no rate is said (common practice).
_SINK_FPM, _SINK_FAST_FPM = 700.0, 1500.0
_CLIMB_FPM, _CLIMB_FAST_FPM = 700.0, 1800.0
_ABOVE_FT = 400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """
    What one flight is flown in.

    conditions: as the assistant is told. wind: what truly blows. from_deg: the direction from the first fix
    in which the flight begins.
    """

    seed: int
    conditions: Conditions
    wind: tuple[WindAtLevel, ...]
    gust_share: float
    habits: Habits
    from_deg: float
    ending: str
    circuits: int
    model: str = "point"


def draw(
    procedure: Procedure,
    conditions: Conditions,
    seed: int,
    *,
    wind_is_random: bool,
    any_category: bool,
    model: str = "point",
) -> Case:
    """A case by its seed; what is not random is as in `conditions`."""
    random = Random(seed)  # noqa: S311 - cases are to be repeatable, not secret
    if any_category:
        able = flyable_categories(procedure)
        if model == "jsbsim":
            able = [category for category in able if category in JSBSIM_CATEGORIES] or able
        conditions = conditions.for_category(random.choice(able))
    if wind_is_random:
        wind_kt = random.uniform(0.0, STRONGEST_WIND_KT)
        level = WindAtLevel(wind_from_mag_deg=float(random.randint(1, 360)), wind_kt=float(round(wind_kt)))
        conditions = replace(conditions, wind=(level,))
    true_wind = tuple(
        replace(
            level,
            wind_from_mag_deg=(level.wind_from_mag_deg + random.gauss(0.0, 5.0)) % 360.0,
            wind_kt=max(level.wind_kt * (1.0 + random.gauss(0.0, 0.08)), 0.0),
        )
        for level in conditions.wind
    )
    first = first_course_deg(procedure)
    # Into a hold from anywhere; on to a first leg from behind it.
    from_deg = (
        random.uniform(0.0, 360.0) if first is None else (first + 180.0 + random.uniform(-30.0, 30.0)) % 360.0
    )
    return Case(
        seed=seed,
        conditions=conditions,
        wind=true_wind,
        gust_share=GUST_SHARE,
        habits=habits_of(random),
        from_deg=from_deg,
        ending=random.choices(("land", "go around", "nothing"), (0.8, 0.1, 0.1))[0],
        circuits=random.choices((1, 2), (0.7, 0.3))[0],
        model=model,
    )


def first_course_deg(procedure: Procedure) -> float | None:
    """The course on which the first fix is to be crossed; None where a hold or racetrack takes any."""
    first = procedure.legs[0]
    if procedure.hold is not None or (isinstance(first, ReversalLeg) and first.pattern == "racetrack"):
        return None
    if isinstance(first, ReversalLeg):
        return first.outbound[0].course_mag_deg
    course_deg: float | None = getattr(first, "course_mag_deg", None)
    return course_deg


def flyable_categories(procedure: Procedure) -> list[Category]:
    """Categories A to D as far as the chart publishes a minimum, and an outbound track where there is one."""
    published = {minimum.category for minimum in procedure.minima}
    for leg in procedure.legs:
        if isinstance(leg, ReversalLeg):
            published &= {category for track in leg.outbound for category in track.categories}
    return [category for category in list(CATEGORY_SPEEDS)[:4] if category in published]


def fly_case(procedure: Procedure, case: Case, *, still_air: bool = False) -> Flown:
    """Fly a case; `still_air`: the assistant knows of no wind, as a pilot who does no wind sums."""
    conditions = replace(case.conditions, wind=()) if still_air else case.conditions
    plan = compile_plan(procedure, conditions)
    crew = crew_of(plan, case)
    return fly(Conversation(Dialogue(plan)), crew.aircraft, crew.pilot, crew.first_fix)


class Crew(NamedTuple):
    """An aircraft ten miles before the first fix, its pilot, and where the fix is."""

    aircraft: Aircraft
    pilot: ScriptedPilot
    first_fix: PlanePoint


def crew_of(plan: Plan, case: Case) -> Crew:
    """The aircraft and pilot of a case, at the start of the flight."""
    today = Today(procedure=plan.procedure, conditions=case.conditions)
    random = Random(case.seed + 1)  # noqa: S311 - repeatable, not secret
    air = Air(case.wind, gust_share=case.gust_share, seed=case.seed + 2)
    fix = first_fix(plan, today)
    first_ft = plan.stages[0].target_ft or 0.0
    briefed = briefing(plan, case, first_ft)
    start = move(fix, case.from_deg, _START_NM)
    motion = Motion(
        point=start,
        altitude_ft=first_ft + _ABOVE_FT,
        heading_mag_deg=bearing_deg(start, fix),
        bank_deg=0.0,
        vertical_fpm=0.0,
        ias_kt=briefed.speeds.initial_kt,
        groundspeed_kt=briefed.speeds.initial_kt,
    )
    controls = Controls(
        heading_mag_deg=motion.heading_mag_deg,
        turn=None,
        bank_deg=case.conditions.bank_deg,
        altitude_ft=motion.altitude_ft,
        vertical_fpm=-800.0,
        ias_kt=motion.ias_kt,
    )
    return Crew(aircraft_of(case, air, motion), ScriptedPilot(briefed, case.habits, random, controls), fix)


def aircraft_of(case: Case, air: Air, motion: Motion) -> Aircraft:
    """The flight model that the case asks for."""
    if case.model == "jsbsim":
        from assistant.simulation.jsbsim_aircraft import (  # noqa: PLC0415 - an extra
            JsbsimAircraft,
            airframe_for,
        )

        return JsbsimAircraft(air, motion, airframe_for(case.conditions.category))
    return PointMass(air, motion)


def first_fix(plan: Plan, today: Today) -> PlanePoint:
    """Where the first fix of the procedure lies."""
    procedure = plan.procedure
    leg = procedure.legs[0]
    ident = (
        procedure.hold.fix
        if procedure.hold is not None
        else getattr(leg, "from_fix", None) or getattr(leg, "fix", None) or getattr(leg, "to_fix", "")
    )
    return today.point(procedure.fix(str(ident)), plan.stages[0].target_ft or 0.0)


def briefing(plan: Plan, case: Case, first_ft: float) -> Briefed:
    """What the pilot knows beforehand: speeds within the chart's limits, the altimeter's first setting."""
    procedure, conditions = plan.procedure, case.conditions
    hold_limit_kt = procedure.hold.speed_limit_kt if procedure.hold is not None else None
    limits_kt = [limit for leg in procedure.legs if (limit := getattr(leg, "speed_limit_kt", None))]
    speeds = conditions.speeds
    speeds = replace(
        speeds,
        hold_kt=min([speeds.hold_kt, *([hold_limit_kt] if hold_limit_kt else [])]),
        initial_kt=min([speeds.initial_kt, *limits_kt]),
    )
    first = procedure.hold.minimum.datum if procedure.hold is not None else procedure.legs[0].altitude.datum
    datum = Datum.STANDARD if first is Datum.STANDARD else conditions.datum

    def shown_ft(altitude_ft: float, on: Datum) -> float:
        return indicated_ft(altitude_ft, on, procedure=procedure, qnh_hpa=conditions.qnh_hpa)

    light = conditions.category in _LIGHT
    return Briefed(
        speeds=speeds,
        bank_deg=conditions.bank_deg,
        datum=datum,
        first_level_ft=shown_ft(first_ft, datum),
        sink_fpm=_SINK_FPM if light else _SINK_FAST_FPM,
        climb_fpm=_CLIMB_FPM if light else _CLIMB_FAST_FPM,
        ending=case.ending,
        circuits=case.circuits,
        threshold_ft=shown_ft(procedure.runway.threshold_elevation_ft, conditions.datum),
    )
