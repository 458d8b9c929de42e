"""
A plan is a faithful, flyable reading of the chart.

Numbers are held to still-air formulas and the chart itself.
"""

from itertools import pairwise
from math import asin, atan, degrees, radians, tan
from pathlib import Path

import pytest

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.events import CalloutKind
from assistant.engine.plan import FOREVER_S, HOLD_ENTRY, Phase, PlanError
from assistant.engine.triggers import DmeReached, RadialReached, TimeElapsed
from assistant.nav.geometry import along_and_across_nm, difference_deg
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Category, Datum

ROOT = Path(__file__).resolve().parents[2]
NAMES = sorted(path.stem for path in ROOT.glob("procedures/*.yaml"))


@pytest.fixture(params=NAMES)
def any_plan(request, plan):
    return plan(request.param, wind=(250, 20))


def test_every_exit_leads_to_a_stage_and_every_stage_can_be_come_to(any_plan):
    known = set(any_plan.index) | {HOLD_ENTRY}
    targets = {leaving.to for stage in any_plan.stages for leaving in stage.exits}
    entries = {name for racetrack in any_plan.racetracks.values() for _, name in racetrack.entries}
    said = {any_plan.first, any_plan.after_hold, any_plan.missed, "landing", "missed_early", "complete"}
    # A hold entry that the chart does not permit is compiled and never taken.
    forbidden = {stage.name for stage in any_plan.stages if stage.entry is not None} | {
        "hold_parallel_return"
    }

    assert targets <= known
    assert set(any_plan.index) <= targets | entries | said | forbidden


def test_floors_never_rise_from_the_hold_to_the_minimum(any_plan):
    floors = [
        floor.altitude_ft
        for stage in any_plan.stages
        if stage.phase in (Phase.INITIAL, Phase.INTERMEDIATE, Phase.FINAL)
        and not stage.name.endswith(("offset", "parallel", "return"))
        for floor in stage.floors
    ]

    assert all(before >= after for before, after in pairwise(floors))
    assert floors[-1] == any_plan.minimum_ft


def test_no_cue_sends_an_aircraft_below_the_floor_that_holds_where_it_is_called(any_plan):
    for stage in any_plan.stages:
        for cue in stage.cues:
            if cue.kind not in (CalloutKind.DESCEND, CalloutKind.FINAL_DESCENT, CalloutKind.FLOOR):
                continue
            floor = next(
                (floor.altitude_ft for floor in stage.floors if floor.until_s > cue.at_s + 1e-6), 0.0
            )
            in_the_turn = cue.name == "descend in the turn"
            if in_the_turn:
                floor = stage.floor_until_established_ft or floor
            assert cue.figures.altitude_ft >= floor - 0.5, (stage.name, cue.name)


def test_the_altitude_due_rises_with_the_distance_to_the_threshold(any_plan):
    procedure = any_plan.procedure
    ordered = any_plan.profile if procedure.is_final_toward_station else any_plan.profile[::-1]

    assert all(near[1] < far[1] for near, far in pairwise(ordered))


def test_the_altitude_due_is_the_printed_one_where_the_chart_prints_it(any_plan):
    procedure = any_plan.procedure
    for row in procedure.final.heights:
        printed_ft = (
            row.altitude_ft if row.altitude_ft is not None else row.height_ft + procedure.qfe_elevation_ft
        )

        assert any_plan.altitude_due_ft(row.dme_nm) == pytest.approx(printed_ft)


def test_still_air_the_lead_radial_is_that_of_the_tangent_circle(plan):
    calm = plan("skarrow-tacan-24")
    arc = calm.stage("arc_1")
    # r = V^2 / (g tan bank), rate one at most 25 degrees; sin(lead) = r / (R - r) for a turn inbound
    # (tangent circles).
    v_m_s = arc.tas_kt * 1852.0 / 3600.0
    bank_deg = min(degrees(atan(radians(3.0) * v_m_s / 9.80665)), 25.0)
    r_nm = v_m_s**2 / (9.80665 * tan(radians(bank_deg))) / 1852.0
    ground_nm = (12.0**2 - ((arc.target_ft - calm.procedure.navaid.elevation_ft) / 6076.115) ** 2) ** 0.5
    lead_deg = degrees(asin(r_nm / (ground_nm - r_nm)))

    (leaving,) = arc.exits
    assert isinstance(leaving.trigger, RadialReached)
    assert difference_deg(leaving.trigger.radial_deg, 63.0) == pytest.approx(lead_deg, abs=0.05)


def test_a_turn_off_the_arc_ends_on_the_course(plan):
    windy = plan("skarrow-tacan-24", wind=(250, 30))
    course = windy.stage("course_2")
    rolled_out = course.timeline.at(course.timeline.turn_end_s + 4.0).point
    across = along_and_across_nm(rolled_out, course.course.anchor, course.course.course_mag_deg).across_nm

    assert abs(across) < 0.05


def test_a_wind_on_the_nose_moves_the_lead_radial_out_of_still_air(plan):
    calm, windy = plan("skarrow-tacan-24"), plan("skarrow-tacan-24", wind=(63, 40))
    radials = [compiled.stage("arc_1").exits[0].trigger.radial_deg for compiled in (calm, windy)]

    assert abs(radials[0] - radials[1]) > 0.5


def test_a_timed_missed_approach_point_comes_after_distance_over_groundspeed(plan):
    compiled = plan("quorrel-vor-dme-20", wind=(200, 20), category=Category.B)
    final = compiled.stage("final")
    (leaving,) = final.exits
    point = compiled.procedure.final.missed_approach_point
    # The final is flown on 200 into a wind from 200: the whole of it is head wind.
    groundspeed_kt = final.tas_kt - 20.0

    assert isinstance(leaving.trigger, TimeElapsed)
    assert leaving.at_s == pytest.approx(point.timed_distance_nm / groundspeed_kt * 3600.0, rel=0.01)


def test_the_final_approach_fix_ends_the_intermediate_at_its_range(plan):
    compiled = plan("skarrow-tacan-24")

    assert compiled.stage("course_2").exits[0].trigger == DmeReached(dme_nm=6.0, closing=True)


def test_step_downs_bind_from_their_place_on_and_the_minimum_last(plan):
    final = plan("skarrow-tacan-24").stage("final")

    assert [floor.altitude_ft for floor in final.floors] == [1000.0, 500.0]
    assert final.floors[-1].until_s == FOREVER_S


def test_a_minimum_printed_as_a_height_is_taken_above_its_datum(plan):
    compiled = plan("teskel-vortac-06", datum=Datum.QFE)
    minimum = compiled.procedure.minimum_for(Category.C)

    assert compiled.minimum_ft == minimum.mdh_ft + compiled.procedure.runway.threshold_elevation_ft


def test_a_flight_level_is_an_altitude_by_todays_pressure(plan):
    low = plan("ostrey-high-tacan-13", qnh_hpa=983.25)
    # 30 hPa below standard: about 27 ft each near sea level, 800 ft or so lower than at 1013 (ICAO: 27 to
    # 30 ft per hPa).
    standard = plan("ostrey-high-tacan-13")
    lower_ft = standard.stage("hold_outbound").target_ft - low.stage("hold_outbound").target_ft

    assert 27.0 * 30.0 <= lower_ft <= 30.0 * 30.0


def test_a_category_without_a_minimum_is_refused_in_a_sentence(procedure):
    with pytest.raises(PlanError, match="publishes no straight-in minimum for category E"):
        compile_plan(procedure("teskel-vortac-06"), Conditions().for_category(Category.E))


def test_a_wind_stronger_than_the_aircraft_is_refused_in_a_sentence(procedure):
    wind = (WindAtLevel(wind_from_mag_deg=240, wind_kt=180),)

    with pytest.raises(PlanError, match="cannot be planned for today"):
        compile_plan(procedure("skarrow-tacan-24"), Conditions(wind=wind).for_category(Category.A))


@pytest.mark.parametrize("name", NAMES)
def test_compiling_twice_gives_the_same_plan(name):
    path = ROOT / "procedures" / f"{name}.yaml"
    once, again = (
        compile_plan(load_procedure(path.read_text(encoding="utf-8"), path.name), Conditions())
        for _ in range(2)
    )

    assert once == again


def test_a_cold_correction_enters_the_floors_only_when_asked_for(plan):
    as_charted = plan("skarrow-tacan-24", temperature_c=-10.0)
    asked_for = plan("skarrow-tacan-24", temperature_c=-10.0, cold_corrections=True)

    # FAA AIM table 7-3-1, row -10 C: 400 ft above the airport wants 40 ft, 500 ft wants 50; Skarrow lies at
    # about 100 ft, so 500 ft QNH is some 400 ft above it.
    assert as_charted.minimum_ft == 500.0
    assert asked_for.minimum_ft in (540.0, 550.0)


def test_no_correction_in_warm_air_even_when_asked_for(plan):
    assert plan("skarrow-tacan-24", temperature_c=20.0, cold_corrections=True).minimum_ft == 500.0


def test_a_racetracks_inbound_altitude_binds_back_to_its_fix(plan):
    compiled = plan("ulvane-vor-dme-35", category=Category.B)
    reversal = compiled.procedure.legs[0]
    back = compiled.stage("course_1")

    assert back.passed_fix == reversal.fix
    assert back.floors[-1].altitude_ft == reversal.inbound_altitude.altitude_ft
