"""
Strategies shared by the properties.

A day's plan, and sequences of events as pilots and recognisers make them.
"""

import functools
from pathlib import Path

from hypothesis import strategies as st

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.events import (
    Asked,
    ConditionsGiven,
    Datum,
    NotUnderstood,
    PositionReport,
    PositionSample,
    Request,
    Said,
    Statement,
    Tick,
)
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Category

ROOT = Path(__file__).resolve().parents[2]
NAMES = sorted(path.stem for path in ROOT.glob("procedures/*.yaml"))


@functools.cache
def compiled(name, wind_from_deg=250, wind_kt=20, category=Category.C):
    path = ROOT / "procedures" / f"{name}.yaml"
    procedure = load_procedure(path.read_text(encoding="utf-8"), path.name)
    wind = (WindAtLevel(wind_from_mag_deg=wind_from_deg, wind_kt=wind_kt),)
    return compile_plan(procedure, Conditions(wind=wind).for_category(category))


def plans():
    return st.builds(
        compiled, st.sampled_from(NAMES), st.sampled_from([10, 130, 250]), st.sampled_from([0, 20, 35])
    )


def _maybe(strategy):
    return st.none() | strategy


@st.composite
def events(draw, plan, most=25):
    """Events in order of time: plausible ones near the plan's own legs, and wild ones."""
    t_s = 0.0
    made = []
    for _ in range(draw(st.integers(1, most))):
        t_s += draw(st.floats(0.0, 120.0))
        made.append(draw(_event(plan, t_s)))
    return made


@st.composite
def _event(draw, plan, t_s):
    kind = draw(st.integers(0, 9))
    if kind <= 3:
        return draw(_report_on_a_leg(plan, t_s))
    if kind == 4:
        return PositionReport(
            t_s=t_s,
            observed_t_s=max(t_s - draw(st.floats(0.0, 5.0)), 0.0),
            radial_deg=draw(_maybe(st.integers(1, 360).map(float))),
            dme_nm=draw(_maybe(st.floats(0.0, 200.0))),
            indicated_ft=draw(_maybe(st.floats(-1000.0, 40000.0))),
            datum=draw(_maybe(st.sampled_from(Datum))),
            heading_mag_deg=draw(_maybe(st.integers(1, 360).map(float))),
            groundspeed_kt=draw(_maybe(st.floats(0.0, 600.0))),
            fix=draw(_maybe(st.sampled_from([fix.ident for fix in plan.procedure.fixes] + ["NOWHERE"]))),
        )
    if kind == 5:
        return Statement(t_s=t_s, said=draw(st.sampled_from(Said)))
    if kind == 6:
        return Request(
            t_s=t_s,
            asked=draw(st.sampled_from(Asked)),
            dme_nm=draw(_maybe(st.floats(0.0, 60.0))),
            name=draw(_maybe(st.sampled_from(["tower", "nobody"]))),
        )
    if kind == 7:
        return ConditionsGiven(
            t_s=t_s,
            wind_from_mag_deg=draw(_maybe(st.integers(1, 360).map(float))),
            wind_kt=draw(_maybe(st.floats(0.0, 250.0))),
            qnh_hpa=draw(_maybe(st.floats(940.0, 1050.0))),
            qfe_hpa=draw(_maybe(st.floats(850.0, 1050.0))),
            temperature_c=draw(_maybe(st.floats(-50.0, 50.0))),
            datum=draw(_maybe(st.sampled_from(Datum))),
        )
    if kind == 8:
        navaid = plan.procedure.navaid
        return PositionSample(
            t_s=t_s,
            observed_t_s=t_s,
            latitude_deg=navaid.latitude_deg + draw(st.floats(-0.5, 0.5)),
            longitude_deg=navaid.longitude_deg + draw(st.floats(-0.5, 0.5)),
            altitude_ft=draw(st.floats(0.0, 20000.0)),
            track_true_deg=draw(st.floats(0.0, 360.0)),
            groundspeed_kt=draw(st.floats(0.0, 400.0)),
        )
    return draw(st.sampled_from([Tick(t_s=t_s), NotUnderstood(t_s=t_s, text="mumble", reason="noise")]))


@st.composite
def _report_on_a_leg(draw, plan, t_s):
    """A report from somewhere on one of the plan's own legs, at its altitude or near it."""
    stage = draw(st.sampled_from([stage for stage in plan.stages if stage.timeline is not None]))
    place = stage.timeline.at(draw(st.floats(0.0, stage.timeline.duration_s)))
    altitude_ft = (stage.target_ft or 1000.0) + draw(st.integers(-300, 1500))
    return PositionReport(
        t_s=t_s,
        observed_t_s=t_s,
        radial_deg=draw(_maybe(st.just(float(round(place.radial_deg) or 360)))),
        dme_nm=round(place.dme_nm, 1),
        indicated_ft=draw(_maybe(st.just(altitude_ft))),
    )
