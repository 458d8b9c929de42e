"""The demonstration files hang together, and between them use everything that a file can say."""

from pathlib import Path

import pytest

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import CATEGORY_SPEEDS, Conditions, WindAtLevel
from assistant.nav.airspeed import tas_kt_from_ias
from assistant.nav.geometry import along_and_across_nm, difference_deg
from assistant.nav.reversal import base_turn
from assistant.nav.turns import bank_in_use_deg
from assistant.procedure.check import check_procedure
from assistant.procedure.layout import ground_nm, msl_ft
from assistant.procedure.load import load_procedure
from assistant.procedure.model import (
    ArcDirection,
    ArcLeg,
    Category,
    CourseLeg,
    Datum,
    EntrySector,
    FinalLeg,
    NavaidKind,
    Procedure,
    ReversalLeg,
    Turn,
)

FOLDER = Path(__file__).parents[2] / "procedures"
FILES = sorted(FOLDER.glob("*.yaml"))


@pytest.fixture(scope="module")
def procedures() -> list[Procedure]:
    return [load_procedure(file.read_text(encoding="utf-8"), file.name) for file in FILES]


def _legs(procedures, kind):
    return [leg for procedure in procedures for leg in procedure.legs if isinstance(leg, kind)]


def test_there_are_at_least_eight():
    assert len(FILES) >= 8


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_each_hangs_together_without_a_remark(file):
    procedure = load_procedure(file.read_text(encoding="utf-8"), file.name)

    assert check_procedure(procedure).remarks == ()


def test_every_place_is_invented(procedures):
    """No state's location indicators begin with ZZ (ICAO Doc 7910); each file says what it was made from."""
    for procedure in procedures:
        assert procedure.airport.ident.startswith("ZZ")
        assert "Invented" in procedure.drawn_from
        assert "Not for flight" in procedure.drawn_from


def test_every_kind_of_leg_and_reversal_is_flown(procedures):
    assert {type(leg) for procedure in procedures for leg in procedure.legs} == {
        CourseLeg,
        ArcLeg,
        ReversalLeg,
        FinalLeg,
    }
    assert {leg.pattern for leg in _legs(procedures, ReversalLeg)} == {
        "procedure_turn_45",
        "procedure_turn_80",
        "base_turn",
        "racetrack",
        "penetration",
    }


def test_turns_and_arcs_go_both_ways(procedures):
    assert {procedure.hold.turn for procedure in procedures if procedure.hold} == set(Turn)
    assert {leg.turn for leg in _legs(procedures, ReversalLeg)} == set(Turn)
    assert {leg.direction for leg in _legs(procedures, ArcLeg)} == set(ArcDirection)


def test_every_kind_of_station_and_datum_is_used(procedures):
    assert {procedure.navaid.kind for procedure in procedures} == set(NavaidKind)
    assert {leg.altitude.datum for leg in _legs(procedures, FinalLeg)} == {Datum.QNH, Datum.QFE}
    assert {procedure.airport.qfe_datum for procedure in procedures} == {"threshold", "aerodrome"}
    assert any(procedure.hold and procedure.hold.minimum.datum is Datum.STANDARD for procedure in procedures)


def test_holds_are_limited_by_time_and_by_range_both_ways(procedures):
    holds = [(procedure, procedure.hold) for procedure in procedures if procedure.hold]

    assert any(hold.outbound_time_s for _, hold in holds)
    limited = [
        (procedure.fix(hold.fix).dme_nm, hold.outbound_dme_nm)
        for procedure, hold in holds
        if hold.outbound_dme_nm
    ]
    assert {limit_nm > fix_nm for fix_nm, limit_nm in limited} == {True, False}


def test_entries_are_restricted_somewhere(procedures):
    assert any(
        procedure.hold and set(procedure.hold.permitted_entries) < set(EntrySector)
        for procedure in procedures
    )


def test_final_approaches_are_aligned_and_offset_to_both_sides(procedures):
    offsets_deg = [
        difference_deg(procedure.runway.course_mag_deg, procedure.final.course_mag_deg)
        for procedure in procedures
    ]

    assert min(offsets_deg) < 0.0 < max(offsets_deg)
    assert 0.0 in offsets_deg


def test_missed_approach_points_are_found_by_fix_by_range_and_by_time(procedures):
    points = [leg.missed_approach_point for leg in _legs(procedures, FinalLeg)]

    assert any(point.fix for point in points)
    assert any(point.dme_nm for point in points)
    assert any(point.timed_distance_nm for point in points)


def test_range_opens_on_one_final_approach_and_closes_on_the_others(procedures):
    assert {procedure.is_final_toward_station for procedure in procedures} == {True, False}


def test_missed_approaches_end_every_way_they_can(procedures):
    legs = [leg for procedure in procedures for leg in procedure.missed_approach.legs]

    for key in ("to_fix", "until_dme_nm", "until_radial_deg", "until_altitude_ft"):
        assert any(getattr(leg, key) is not None for leg in legs), key


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_each_can_be_planned_in_strong_winds_for_every_category(file):
    """Thinned: every category and every 30 degrees, each direction with one of three speeds."""
    procedure = load_procedure(file.read_text(encoding="utf-8"), file.name)
    winds = [(from_deg, (20.0, 30.0, 40.0)[number % 3]) for number, from_deg in enumerate(range(0, 360, 30))]
    winds += [(from_deg, 40.0) for from_deg in (60, 150, 240, 330)]

    for category in sorted({minimum.category for minimum in procedure.minima}):
        for from_deg, wind_kt in winds:
            wind = WindAtLevel(wind_from_mag_deg=float(from_deg), wind_kt=wind_kt)
            plan = compile_plan(procedure, Conditions(wind=(wind,)).for_category(category))
            assert plan.stage("final").timeline is not None


@pytest.mark.parametrize("category", [Category.B, Category.C])
def test_base_turns_roll_out_near_the_course_with_room_before_the_final_fix(procedures, category):
    """In calm air, as the plan flies them: within a mile of the course, a mile and a half or more to go."""
    flown = 0
    for procedure in procedures:
        if any(leg.pattern == "base_turn" for leg in _legs([procedure], ReversalLeg)):
            plan = compile_plan(procedure, Conditions().for_category(category))
            stage = plan.stage("course_1")
            end = stage.timeline.at(stage.timeline.turn_end_s).point
            there = along_and_across_nm(end, stage.course.anchor, stage.course.course_mag_deg)
            assert abs(there.across_nm) <= 1.0
            assert there.along_nm <= -1.5
            flown += 1
    assert flown == 2


@pytest.mark.parametrize("category", [Category.C, Category.D, Category.E])
def test_a_penetration_rolls_out_near_the_course_at_usual_speeds(procedures, category):
    """Flown by the base turn's own sum, at the usual initial speed, at the level at which the turn begins."""
    (procedure,) = [
        p for p in procedures if any(leg.pattern == "penetration" for leg in _legs([p], ReversalLeg))
    ]
    (leg,) = _legs([procedure], ReversalLeg)
    (track,) = leg.outbound
    altitude_ft = msl_ft(procedure, leg.turn_altitude)
    tas_kt = tas_kt_from_ias(CATEGORY_SPEEDS[category].initial_kt, altitude_ft)
    length_nm = ground_nm(procedure, track.dme_nm, altitude_ft) - ground_nm(
        procedure, procedure.fix(leg.fix).dme_nm, altitude_ft
    )

    turned = base_turn(
        track.course_mag_deg,
        leg.inbound_course_mag_deg,
        leg.turn.value,
        tas_kt,
        bank_in_use_deg(tas_kt),
        0.0,
        0.0,
        outbound_time_s=length_nm / tas_kt * 3600.0,
    )

    assert abs(turned.across_error_nm) <= 1.0
