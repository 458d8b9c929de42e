"""Figures of the engine that nothing else holds to within one: each from both sides, near enough to tell."""

from math import atan2, cos, degrees, hypot, radians, sin

import pytest
from on_paper import binary, drawn, in_plan, stage
from placed import NOW_S, demonstration, placed, report, said

from assistant.engine.advice import advise
from assistant.engine.along_arc import arc_heading_deg, with_heading
from assistant.engine.arc_lead import arc_join
from assistant.engine.compile_legs import course_stage
from assistant.engine.conditions import Conditions
from assistant.engine.core import step
from assistant.engine.cues import with_rhythm
from assistant.engine.descents import qfe_hpa
from assistant.engine.draft import Draft
from assistant.engine.events import CalloutKind, ConditionsGiven, Figures, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.plan import Cue, Exit, When
from assistant.engine.relocate import relocate
from assistant.engine.today import Today
from assistant.engine.triggers import TimeElapsed
from assistant.nav.geometry import PlanePoint, difference_deg, move
from assistant.nav.turns import turn_radius_nm


@pytest.fixture
def draft():
    return Draft(Today(procedure=demonstration("skarrow-tacan-24"), conditions=Conditions()))


@pytest.mark.parametrize(("off_deg", "answered"), [(5.5, False), (6.5, True), (-5.5, False), (-6.5, True)])
def test_on_the_arc_a_heading_six_degrees_off_the_right_one_was_missed(still, off_deg, answered):
    state = placed(still, "arc_1", 12.0, progress_s=100.0, established=True)
    # Called long enough ago that another one is not one too many; read on the arc, a tenth inside.
    right_deg = arc_heading_deg(state, NOW_S)
    headed = with_heading(state, NOW_S - 30.0, (right_deg + off_deg) % 360.0)

    assert bool(said(advise, headed, report(dme_nm=11.9))) is answered


def test_a_long_turn_off_a_faster_leg_keeps_its_speed_for_just_forty_seconds(draft):
    # 180 kt are 92.6 m/s: 9.80665 tan 25 / 92.6 = 2.8295 degrees a second, 180 degrees in 63.61 s; 30 kt more
    # for 40 of them.
    draft.floor_ft, draft.tas_kt = 3000.0, 210.0
    draft.flight(3000.0)

    assert draft.turn_tas_kt(180.0, 180.0) == pytest.approx(180.0 + 30.0 * 40.0 / 63.615, abs=0.05)


@pytest.mark.parametrize(("beside_nm", "came_to"), [(0.9, "course_2"), (1.1, "course_0"), (1.9, "course_0")])
def test_a_leg_further_on_is_taken_up_within_a_mile_of_it(still, beside_nm, came_to):
    leg = stage(name="course_2", timeline=binary(), tas_kt=112.5, target_ft=80.0)
    state = placed(in_plan(still, leg), "course_0", 15.0, altitude_ft=80.0)
    read = report(radial_deg=degrees(atan2(beside_nm, 15.0)), dme_nm=hypot(beside_nm, 15.0))
    state, _ = relocate(state, read, Outbox())

    assert state.stage_name == came_to


@pytest.mark.parametrize(("pieces", "tells"), [(9.7, True), (10.3, False)])
def test_a_radial_runs_on_for_ten_pieces(pieces, tells):
    # Half a mile in 10 s along the line three miles north: the last piece from atan(1.5/3) to atan(2/3).
    abeam = drawn([(-2.0 + 0.5 * number, 3.0) for number in range(9)])
    first_deg, last_deg = degrees(atan2(1.5, 3.0)), degrees(atan2(2.0, 3.0))
    radial_deg = first_deg + pieces * (last_deg - first_deg)

    assert (abeam.progress_by_radial(radial_deg, 100.0) is not None) is tells


@pytest.mark.parametrize(
    ("beside_deg", "led"),
    # Twelve miles out two degrees are 0.42 NM, three 0.63, six 1.25: a course that passes the station half a
    # mile off runs along no radial.
    [(0.0, True), (2.0, True), (-2.0, True), (3.0, False), (6.0, False), (-3.0, False)],
)
def test_only_a_course_along_a_radial_has_a_lead_range(draft, beside_deg, led):
    arc = draft.today.procedure.legs[1]

    assert (arc_join(draft, "VELKA", 165.0 + beside_deg, arc, 3500.0, 220.0) is not None) is led


@pytest.mark.parametrize(
    ("missed_nm", "cuts"), [(0.3, False), (-0.3, False), (0.5, True), (-0.5, True), (1.2, True)]
)
def test_rolled_out_four_tenths_beside_a_course_it_is_cut_to(draft, missed_nm, cuts):
    """A quarter of a circle to the left, on to 243 to BESKA: it ends so far right of the course, 8 NM out."""
    procedure = draft.today.procedure
    leg, final = procedure.legs[2], procedure.legs[3]
    tas_kt = draft.today.tas_kt(draft.today.conditions.speeds.intermediate_kt, 1900.0)
    radius_nm = turn_radius_nm(tas_kt, draft.today.bank_deg(tas_kt))
    fix = draft.today.point(procedure.fix("BESKA"), 1900.0)
    end = move(move(fix, 63.0, 8.0), 333.0, missed_nm)
    start = PlanePoint(
        end.east_nm - radius_nm * (sin(radians(333.0)) + sin(radians(243.0))),
        end.north_nm - radius_nm * (cos(radians(333.0)) + cos(radians(243.0))),
    )
    draft.start(start, 333.0, 2500.0)
    course_stage(draft, leg, 2, final, "final")
    first = draft.stages[-1].cues[0].figures.heading_mag_deg

    assert (abs(difference_deg(243.0, first)) > 1.0) is cuts
    if cuts:
        # Thirty degrees to the course's side.
        assert difference_deg(243.0, first) == pytest.approx(-30.0 if missed_nm > 0.0 else 30.0, abs=0.1)


def test_on_the_cut_back_from_a_parallel_entry_the_radial_is_asked_for_four_seconds_after_the_turn(still):
    back = still.stage("hold_parallel_return")
    (question,) = [cue for cue in back.cues if cue.kind is CalloutKind.SAY_POSITION]

    assert question.at_s == pytest.approx(back.timeline.turn_end_s + 4.0)


@pytest.mark.parametrize(("descends", "window_s", "follows"), [(False, 15.0, ""), (True, 30.0, "down")])
def test_the_next_event_may_come_half_a_minute_late_after_a_descent(descends, window_s, follows):
    cue = Cue(
        name="down",
        at_s=8.0,
        kind=CalloutKind.DESCEND,
        priority=Priority.ACTION,
        figures=Figures(altitude_ft=1000.0),
        when=When.ALWAYS,
        descends=descends,
    )
    leaving = Exit(trigger=TimeElapsed(time_s=150.0), to="following", at_s=150.0)
    found = with_rhythm(stage(cues=(cue,), exits=(leaving,)), {}).cues
    (following,) = [one for one in found if one.kind is CalloutKind.NEXT]

    assert (following.window_s, following.follows) == (window_s, follows)


@pytest.mark.parametrize(("off_hpa", "taken"), [(1.0, False), (-1.0, False), (2.0, True), (-2.0, True)])
def test_a_qfe_off_the_qnhs_by_more_than_its_rounding_sets_the_qnh(still, off_hpa, taken):
    state = placed(still, "course_2", 9.0)
    given = ConditionsGiven(t_s=NOW_S, qfe_hpa=qfe_hpa(state) + off_hpa)
    changed, _ = step(state, given)

    assert (changed.plan.conditions.qnh_hpa != 1013.25) is taken
    # The threshold is at 96 ft: a hectopascal there is one at sea level, near enough.
    assert changed.plan.conditions.qnh_hpa == pytest.approx(1013.25 + (off_hpa if taken else 0.0), abs=0.02)
