"""What is seldom met: charts with little on them, questions where little is known, words out of place."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed, report, said

from assistant.engine.answers import answer
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.core import begin, step
from assistant.engine.descents import descend
from assistant.engine.doubting import doubtful_place
from assistant.engine.draft import Draft
from assistant.engine.estimate import course_deviation_deg, floor_ft, sector_floor_ft
from assistant.engine.events import (
    Asked,
    Callout,
    CalloutKind,
    Datum,
    Figures,
    Priority,
    Request,
    Said,
    Statement,
    Tick,
    Turn,
)
from assistant.engine.outbox import Outbox
from assistant.engine.placing import progress_from
from assistant.engine.plan import Cue, PlanError
from assistant.engine.relocate import relocate
from assistant.engine.reports import with_fix
from assistant.engine.today import Today
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import Category


@pytest.fixture
def skarrow(procedure):
    return procedure("skarrow-tacan-24")


def planned(procedure, category=Category.C):
    return compile_plan(procedure, Conditions().for_category(category))


def with_final(procedure, **changes):
    *legs, final = procedure.legs
    return replace(procedure, legs=(*legs, replace(final, **changes)))


def with_reversal(procedure, **changes):
    first, *legs = procedure.legs
    return replace(procedure, legs=(replace(first, **changes), *legs))


# -- charts -------------------------------------------------------------------------------------------------


def test_a_minimum_printed_as_a_height_alone_is_above_the_qfe_datum(skarrow):
    minima = tuple(replace(minimum, mda_ft=None) for minimum in skarrow.minima)

    # Category C: 404 ft above the threshold at 96.
    assert planned(replace(skarrow, minima=minima)).minimum_ft == 500.0
    nothing = tuple(replace(minimum, mda_ft=None, mdh_ft=None) for minimum in skarrow.minima)
    with pytest.raises(PlanError, match="the minimum of category C has neither mda_ft nor mdh_ft"):
        planned(replace(skarrow, minima=nothing))


def test_a_threshold_that_the_final_never_comes_to_cannot_be_planned(skarrow):
    # On 333 from BESKA, six miles out on radial 063, the station is never nearer than that.
    beside = with_final(skarrow, course_mag_deg=333.0)

    with pytest.raises(PlanError, match=r"the final track never reads the threshold's 0\.6 miles"):
        planned(beside)


def test_a_missed_approach_point_that_is_never_reached_cannot_be_planned(skarrow):
    # Over the station the range read is the height above it: 420 ft are 0.07 NM.
    point = skarrow.final.missed_approach_point

    with pytest.raises(PlanError, match="the final track never comes to the missed approach point"):
        planned(with_final(skarrow, missed_approach_point=replace(point, dme_nm=0.05)))


def test_a_visual_descent_point_past_the_missed_approach_point_is_not_called(skarrow):
    # The slope leaves the minimum 1.09 NM before the threshold at 0.6 DME: at 1.69 DME.
    point = skarrow.final.missed_approach_point

    def called(dme_nm):
        final = planned(with_final(skarrow, missed_approach_point=replace(point, dme_nm=dme_nm))).stage(
            "final"
        )
        return "visual descent point" in [cue.name for cue in final.cues]

    assert called(1.6)
    assert not called(1.8)


def test_a_missed_approach_that_never_comes_to_its_leg_s_end_cannot_be_planned(procedure):
    brennok = procedure("brennok-vortac-33")
    first, second, third = brennok.missed_approach.legs
    legs = (first, replace(second, until_radial_deg=90.0), third)

    with pytest.raises(
        PlanError, match="the missed approach never comes to the end of its leg on course 230"
    ):
        planned(replace(brennok, missed_approach=replace(brennok.missed_approach, legs=legs)))


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"time_s": None, "dme_nm": 150.0}, "the outbound track 072 never reads 150.0 miles"),
        ({"time_s": None, "dme_nm": None}, "an outbound track has neither time nor range"),
    ],
)
def test_an_outbound_track_without_an_end_cannot_be_planned(procedure, changes, problem):
    sarnet = procedure("sarnet-tacan-25")
    tracks = tuple(replace(track, **changes) for track in sarnet.legs[0].outbound)

    with pytest.raises(PlanError, match=problem):
        planned(with_reversal(sarnet, outbound=tracks))


def test_without_a_hold_an_arc_is_come_to_at_its_fix_along_the_radial(procedure):
    brennok = replace(procedure("brennok-vortac-33"), hold=None)
    draft = Draft(Today(procedure=brennok, conditions=Conditions()))

    # GARDU on radial 215: toward the station 035.
    assert (draft.first_fix_ident, draft.first_course_deg) == ("GARDU", 35.0)
    assert draft.first_altitude.altitude_ft == 4000.0


def test_without_a_hold_a_reversal_is_come_to_along_its_first_outbound_track(procedure):
    lunmar = replace(procedure("lunmar-vor-dme-10"), hold=None)
    draft = Draft(Today(procedure=lunmar, conditions=Conditions()))

    assert (draft.first_fix_ident, draft.first_course_deg) == ("LMR", 269.0)
    assert draft.first_altitude.altitude_ft == 3000.0


def test_without_a_hold_a_course_is_come_to_at_its_beginning(procedure):
    teskel = procedure("teskel-vortac-06")
    first, *others = teskel.legs
    open_ended = replace(teskel, legs=(replace(first, from_fix=None), *others))

    def first_fix(chart):
        return Draft(Today(procedure=chart, conditions=Conditions())).first_fix_ident

    assert first_fix(teskel) == "KORVA"
    # A course that begins nowhere in particular: at the fix it leads to.
    assert first_fix(open_ended) == "MEDDO"
    reversed_first = replace(teskel, legs=others)
    assert first_fix(reversed_first) == others[0].from_fix


def test_a_chart_without_sectors_has_no_safe_altitude(still, skarrow):
    state = begin(planned(replace(skarrow, sectors=())))

    assert sector_floor_ft(state) is None
    assert floor_ft(state, NOW_S) is None
    assert said(answer, state, Request(t_s=NOW_S, asked=Asked.SECTOR_ALTITUDE))[0].kind is CalloutKind.UNKNOWN
    # A radial that no sector holds is in the highest of all.
    gap = replace(skarrow, sectors=skarrow.sectors[:1])
    assert sector_floor_ft(begin(planned(gap)).but(radial_deg=200.0)) == 2300.0
    assert still.procedure.sectors


def test_a_plan_without_a_profile_has_no_altitude_due(still):
    assert replace(still, profile=()).altitude_due_ft(5.0) is None


# -- answers ------------------------------------------------------------------------------------------------


def test_the_floor_in_force_is_told_and_on_the_landing_there_is_none(still):
    def asked(state):
        (callout,) = said(answer, state, Request(t_s=NOW_S, asked=Asked.FLOOR))
        return callout.kind, callout.figures.altitude_ft

    assert asked(placed(still, "course_2", 9.0, established=True)) == (CalloutKind.FLOOR, 1900.0)
    assert asked(placed(still, "course_2", 9.0)) == (CalloutKind.FLOOR, 2500.0)
    assert asked(placed(still, "landing", 1.4)) == (CalloutKind.UNKNOWN, None)


def test_the_altimeters_setting_is_told_on_the_datum_in_use(plan):
    state = placed(plan("skarrow-tacan-24", qnh_hpa=1003.0), "course_2", 9.0)
    (callout,) = said(answer, state, Request(t_s=NOW_S, asked=Asked.ALTIMETER))
    assert (callout.kind, callout.figures.qnh_hpa) == (CalloutKind.SET_ALTIMETER, 1003.0)

    on_standard = state.but(datum=Datum.STANDARD)
    (callout,) = said(answer, on_standard, Request(t_s=NOW_S, asked=Asked.ALTIMETER))
    assert (callout.figures.datum, callout.figures.qnh_hpa) == (Datum.STANDARD, 1013.25)


def test_on_the_landing_with_old_knowledge_no_altitude_is_due(still):
    state = placed(still, "landing", 1.4, observed_s=NOW_S - 61.0)
    (callout,) = said(answer, state, Request(t_s=NOW_S, asked=Asked.ALTITUDE_DUE))

    assert (callout.kind, callout.figures.item) == (CalloutKind.UNKNOWN, "altitude due")
    # Below the minimum none is due either: the runway is flown to by eye.
    fresh = placed(still, "landing", 1.4)
    assert said(answer, fresh, Request(t_s=NOW_S, asked=Asked.ALTITUDE_DUE))[0].figures.altitude_ft == 500.0


def test_before_the_first_report_there_is_an_event_and_no_place(still):
    (callout,) = said(answer, begin(still), Request(t_s=0.0, asked=Asked.NEXT))

    assert (callout.figures.event, callout.figures.radial_deg, callout.figures.altitude_ft) == (
        "hold TARNO",
        345.0,
        4000.0,
    )
    assert said(answer, begin(still), Request(t_s=0.0, asked=Asked.POSITION))[0].kind is CalloutKind.UNKNOWN


# -- the state of the flight --------------------------------------------------------------------------------


def test_on_an_arc_a_radial_alone_tells_how_far_along_it_is(still):
    state = placed(still, "arc_1", 12.0, progress_s=120.0)
    there = state.timeline.at(140.0)
    found_s, off_nm = progress_from(state, report(radial_deg=there.radial_deg), NOW_S)

    assert (found_s, off_nm) == (pytest.approx(140.0, abs=0.5), 0.0)
    # A range beside it decides nothing of that.
    found_s, off_nm = progress_from(state, report(radial_deg=there.radial_deg, dme_nm=12.4), NOW_S)
    assert (found_s, off_nm) == (pytest.approx(140.0, abs=0.5), pytest.approx(0.4, abs=0.02))


def test_a_range_that_went_the_wrong_way_is_doubted_within_the_slack_too(plan):
    # Inbound from 19 miles at 210 kt indicated 0.8 NM were closed: 19.4 is 1.2 NM off, less than the slack of
    # 1 NM and a third of 0.8, but it opened.
    state = placed(plan("teskel-vortac-06"), "course_0", 19.0)
    after_s = 0.8 / state.place(NOW_S).groundspeed_kt * 3600.0
    t_s = NOW_S + after_s

    assert doubtful_place(state, report(t_s, dme_nm=19.4), t_s) == "range"
    assert doubtful_place(state, report(t_s, dme_nm=19.3), t_s) is None


def test_where_no_course_is_flown_no_needle_is_off(still):
    assert course_deviation_deg(placed(still, "hold_outbound", 19.0), PlanePoint(3.0, 3.0)) == 0.0


def test_a_place_insisted_on_during_the_arrival_is_on_a_leg_and_never_in_the_hold(still):
    state, lost = relocate(begin(still), report(radial_deg=30.0, dme_nm=12.0), Outbox())
    assert (state.stage_name, lost) == ("arc_1", False)
    beside_the_hold = report(radial_deg=335.0, dme_nm=21.0)
    state, lost = relocate(begin(still), beside_the_hold, Outbox())

    assert (state.stage_name, lost) == ("arrival", True)


def test_a_fix_overhead_the_station_stands_for_no_range(plan):
    state = begin(plan("lunmar-vor-dme-10"))
    filled = with_fix(state, report(fix="LMR"))

    assert (filled.radial_deg, filled.dme_nm) == (None, None)


def test_a_descent_where_only_an_altitude_ends_the_leg_is_called_without_a_rate(still):
    state = placed(still, "missed_0", 1.4, progress_s=5.0, altitude_ft=3000.0)
    cue = Cue(name="descend", at_s=0.0, kind=CalloutKind.DESCEND, priority=Priority.ACTION, descends=True)
    out = Outbox()
    descend(state, NOW_S, cue, Figures(altitude_ft=1900.0), out)

    (callout,) = [one for one in out.outputs if isinstance(one, Callout)]
    assert callout.figures.descent_fpm is None


@pytest.mark.parametrize(
    ("heading_deg", "turn"), [(300.0, Turn.LEFT), (200.0, Turn.RIGHT), (None, "as planned")]
)
def test_the_first_turn_out_of_an_arrival_is_the_one_from_the_heading_read(plan, heading_deg, turn):
    # Lunmar's outbound track lies between 255 and 270: from 300 it is to the left, from 200 to the right.
    lunmar = plan("lunmar-vor-dme-10")
    state = placed(lunmar, "outbound_0", None, progress_s=0.0, heading_mag_deg=heading_deg)
    _, outputs = step(state, Tick(t_s=NOW_S))
    (call,) = [one for one in outputs if isinstance(one, Callout) and one.kind is CalloutKind.OUTBOUND]

    planned_turn = lunmar.stage("outbound_0").cues[0].figures.turn
    assert call.figures.turn is (planned_turn if turn == "as planned" else turn)


# -- words out of place -------------------------------------------------------------------------------------


def stated(state, what):
    state, outputs = step(state, Statement(t_s=NOW_S, said=what))
    return state, [one for one in outputs if isinstance(one, Callout)]


def test_established_where_only_an_altitude_ends_the_leg_is_of_that_leg(still):
    state, _ = stated(placed(still, "missed_0", 1.4, progress_s=5.0), Said.ESTABLISHED)

    assert (state.stage_name, state.established) == ("missed_0", True)


def test_who_says_on_the_arrival_to_be_on_the_arc_is_on_it(still):
    state, _ = stated(begin(still), Said.ON_ARC)

    assert (state.stage_name, state.established, state.observed_s) == ("arc_1", True, NOW_S)


def test_inbound_said_on_the_way_to_the_hold_after_a_missed_approach_moves_nothing(still):
    state, _ = stated(placed(still, "missed_1", 10.0, progress_s=60.0), Said.INBOUND)

    assert state.stage_name == "missed_1"


def test_a_hold_outbound_is_joined_by_saying_so_and_its_inbound_leg_too(still):
    state, _ = stated(placed(still, "hold_inbound", 19.0), Said.OUTBOUND)
    assert state.stage_name == "hold_outbound"
    state, _ = stated(placed(still, "hold_outbound", 19.0), Said.INBOUND)

    assert (state.stage_name, state.established) == ("hold_inbound", False)


@pytest.mark.parametrize(("share", "established"), [(0.45, False), (0.55, True)])
def test_established_so_soon_after_a_turn_was_called_is_of_the_leg_before(still, share, established):
    turn_s = still.stage("course_2").timeline.turn_end_s
    state = placed(still, "course_2", 11.5, progress_s=share * turn_s)
    state, _ = stated(state.but(entered_s=NOW_S - share * turn_s), Said.ESTABLISHED)

    assert (state.stage_name, state.established) == ("course_2", established)


def test_what_was_not_said_by_anyone_is_not_answered(still):
    state = placed(still, "course_2", 9.0)

    assert stated(state, Said.NEGATIVE)[0].stage_name == "course_2"
    assert stated(state, Said.NEGATIVE)[1] == []


@pytest.mark.parametrize(
    ("category", "before_end_s", "came_to"),
    # Off the arc a slow aircraft turns by some 100 degrees at rate one, in less than 35 s: near the end
    # that turn may be flown. A fast one takes 42 s.
    [
        (Category.B, 39.0, "course_2"),
        (Category.B, 10.0, "course_2"),
        (Category.B, 41.0, "arc_1"),
        (Category.C, 10.0, "arc_1"),
    ],
)
def test_established_just_before_a_short_turn_is_on_the_course_after_it(
    plan, category, before_end_s, came_to
):
    skarrow = plan("skarrow-tacan-24", category=category)
    end_s = skarrow.stage("arc_1").exits[0].at_s
    state, _ = stated(placed(skarrow, "arc_1", 12.0, progress_s=end_s - before_end_s), Said.ESTABLISHED)

    assert (state.stage_name, state.established) == (came_to, True)


@pytest.mark.parametrize(
    ("stage", "dme_nm", "came_to"),
    # A missed approach that turns at once: from the final before the point, at 1.5 DME, straight on first.
    [
        ("final", 3.0, "missed_early"),
        ("final", 1.2, "missed_0"),
        ("landing", 1.2, "missed_0"),
        ("course_2", 8.0, "missed_0"),
    ],
)
def test_a_turn_of_the_missed_approach_waits_for_its_point(skarrow, stage, dme_nm, came_to):
    first, *others = skarrow.missed_approach.legs
    turning = replace(skarrow.missed_approach, legs=(replace(first, course_mag_deg=300.0), *others))
    compiled = planned(replace(skarrow, missed_approach=turning))
    state, _ = stated(placed(compiled, stage, dme_nm, established=True), Said.GOING_AROUND)

    assert compiled.stage("missed_0").turns
    assert state.stage_name == came_to
