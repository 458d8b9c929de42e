"""What is asked for and not answered, what answers must not say, and how long words may wait."""

from dataclasses import replace
from math import atan, cos, degrees, radians, sin, tan

import pytest
from on_paper import drawn, in_plan, stage
from placed import NOW_S, placed, report, said

from assistant.engine.advice import advise
from assistant.engine.core import step
from assistant.engine.cues import with_rhythm
from assistant.engine.descents import faster
from assistant.engine.estimate import ahead_s
from assistant.engine.events import (
    Callout,
    CalloutKind,
    CueDropped,
    Figures,
    Priority,
    ReportRefused,
    Said,
    Statement,
    Tick,
    Turn,
)
from assistant.engine.plan import Cue, Exit, When
from assistant.engine.state import AltitudeKnown
from assistant.engine.triggers import TimeElapsed
from assistant.nav.geometry import polar_from_plane, slant_nm_from_ground
from assistant.procedure.model import Category


def after(state, event):
    state, outputs = step(state, event)
    return state, [output for output in outputs if isinstance(output, Callout)]


def asked(callouts):
    return [one.figures.item for one in callouts if one.kind is CalloutKind.SAY_POSITION]


# --- the radial


@pytest.fixture
def asked_radial(still):
    """Out of the turn on to course 243, the radial asked for five seconds ago."""
    return placed(still, "course_2", 9.0, radial_asked_s=NOW_S - 5.0)


def test_the_radial_is_asked_for_again_once_of_a_pilot_who_answers_without_it(asked_radial):
    state, callouts = after(asked_radial, report(dme_nm=9.0))
    assert asked(callouts) == ["radial"]

    assert asked(after(state, report(NOW_S + 10.0, dme_nm=8.5))[1]) == []


def test_a_radial_settles_the_question(asked_radial):
    state, callouts = after(asked_radial, report(radial_deg=68.0, dme_nm=9.0))

    assert asked(callouts) == []
    assert asked(after(state, report(NOW_S + 10.0, dme_nm=8.5))[1]) == []


def test_a_report_begun_before_the_question_was_out_is_no_answer_and_the_next_one_is(asked_radial):
    state, callouts = after(asked_radial.but(radial_asked_s=NOW_S - 1.0), report(dme_nm=9.0))

    assert asked(callouts) == []
    assert asked(after(state, report(NOW_S + 10.0, dme_nm=8.5))[1]) == ["radial"]


def test_who_has_said_established_is_not_asked_again(asked_radial):
    assert asked(after(asked_radial.but(established=True), report(dme_nm=9.0))[1]) == []


def test_the_question_itself_is_remembered(still):
    cue = next(cue for cue in still.stage("course_2").cues if cue.name == "radial?")
    state = placed(still, "course_2", 9.0, progress_s=cue.at_s - 1.0)
    state, callouts = after(state, Tick(t_s=NOW_S + 1.5))

    assert asked(callouts) == ["radial"]
    assert state.radial_asked_s == pytest.approx(NOW_S + 1.0)


# --- how far a reading may be off


def test_a_leap_of_the_flight_on_paper_makes_no_reading_any_surer(still):
    # Ten seconds to the mile at the leap, 120 kt everywhere else: 0.15 miles take 4.5 s, reading one more.
    leaping = drawn([(0.0, 20.0), (0.0, 20.0 - 1.0 / 3.0), (0.0, 19.0 - 1.0 / 3.0), (0.0, 18.0 + 1.0 / 3.0)])
    paper = in_plan(still, stage(name="course_2", timeline=leaping))
    state = placed(paper, "course_2", 19.3, progress_s=15.0, observed_s=NOW_S - 5.0)

    for progress_s in (5.0, 15.0):
        assert ahead_s(state, report(dme_nm=19.3), progress_s) == pytest.approx(5.5, abs=0.01)


# --- who is lost


def test_who_is_lost_is_told_an_offset_only_from_a_place_that_was_read_whole(still):
    found = placed(still, "course_2", 9.0)
    lost = found.but(lost=True)
    whole = report(radial_deg=68.0, dme_nm=9.0)  # five degrees off the course on radial 063
    half = report(radial_deg=68.0)

    assert [one.kind for one in said(advise, found, half)] == [CalloutKind.COURSE_OFFSET]
    assert said(advise, lost, half) == []
    assert [one.kind for one in said(advise, lost, whole)] == [CalloutKind.COURSE_OFFSET]
    # In the turn on to the course every place is off it.
    turning = lost.but(anchor_progress_s=still.stage("course_2").timeline.turn_end_s - 1.0)
    assert said(advise, turning, whole) == []


def test_who_is_lost_is_told_no_height_and_no_arc(still):
    high = placed(still, "final", 5.0, established=True, fired=frozenset({"final descent"}))
    read = report(dme_nm=5.0, indicated_ft=1900.0)  # the chart prints 1570

    assert [one.kind for one in said(advise, high, read)] == [CalloutKind.HEIGHT_CHECK]
    assert said(advise, high.but(lost=True), read) == []
    assert [one.kind for one in said(advise, on_arc(still), report(dme_nm=12.5))] == [CalloutKind.ARC_OFFSET]
    assert said(advise, on_arc(still, lost=True), report(dme_nm=12.5)) == []


def test_no_offset_is_told_eight_seconds_before_the_turn_off_the_leg_is_called(plan):
    # Lunmar outbound on 269 (radial 269), categories A and B; the turn is called 8 s before its place.
    lunmar = plan("lunmar-vor-dme-10", category=Category.B)
    leg = lunmar.stage("outbound_0")
    ends_s = leg.exits[0].at_s

    def told(before_s):
        dme_nm = leg.timeline.at(ends_s - before_s).dme_nm
        state = placed(lunmar, leg.name, dme_nm, progress_s=ends_s - before_s)
        return [one.kind for one in said(advise, state, report(radial_deg=274.0, dme_nm=dme_nm))]

    assert told(8.0 + 7.0) == []
    assert told(8.0 + 9.0) == [CalloutKind.COURSE_OFFSET]


# --- the arc


def on_arc(still, **changes):
    arc = still.stage("arc_1")
    middle_s = (arc.timeline.turn_end_s + arc.timeline.duration_s) / 2.0
    return placed(still, "arc_1", 12.0, progress_s=middle_s, established=True, **changes)


def test_just_after_a_heading_an_answer_gives_no_other_one_that_is_hardly_better(still):
    off = report(dme_nm=12.5)
    (callout,) = said(advise, on_arc(still), off)
    heading_deg = callout.figures.heading_mag_deg

    def answered(called_s, apart_deg):
        state = on_arc(still, headings=((NOW_S - called_s, (heading_deg + apart_deg) % 360.0),))
        return said(advise, state, off) != []

    assert not answered(3.0, 5.0)
    assert answered(3.0, 20.0)
    assert answered(15.0, 5.0)


# --- the runway


def test_a_pilot_who_is_not_at_the_minimum_is_asked_for_the_runway_ten_seconds_before_its_point(still):
    missed_s = still.stage("final").exits[0].at_s
    high = placed(still, "final", 2.0, progress_s=missed_s - 12.0, altitude_ft=1500.0, established=True)
    _, callouts = after(high, Tick(t_s=NOW_S + 1.9))
    assert asked(callouts) == []
    state, callouts = after(high, Tick(t_s=NOW_S + 2.1))

    assert asked(callouts) == ["visual"]
    assert after(state, Statement(t_s=NOW_S + 5.0, said=Said.AFFIRM))[0].stage_name == "landing"


def test_not_where_the_question_at_the_minimum_was_asked_or_the_runway_seen(still):
    missed_s = still.stage("final").exits[0].at_s
    for known in ({"asked": frozenset({"minimum", "near minimum"})}, {"visual": True}):
        state = placed(still, "final", 2.0, progress_s=missed_s - 12.0, established=True, **known)
        assert asked(after(state, Tick(t_s=NOW_S + 3.0))[1]) == []


# --- how long words wait


def test_what_is_prepared_is_not_said_any_more_when_it_is_called(still):
    # Thirty seconds before the fix its preparation may wait eight, three seconds before it only three.
    leg = still.stage("course_2")
    prepare = next(cue for cue in leg.cues if cue.kind is CalloutKind.PREPARE)
    ends_s = leg.exits[0].at_s

    def waits_s(before_s):
        late = replace(prepare, at_s=ends_s - before_s)
        stages = tuple(replace(one, cues=(late,)) if one.name == leg.name else one for one in still.stages)
        dme_nm = leg.timeline.at(late.at_s).dme_nm
        changed = replace(still, stages=stages)
        state = placed(changed, "course_2", dme_nm, progress_s=late.at_s, established=True)
        (callout,) = [one for one in after(state, Tick(t_s=NOW_S))[1] if one.kind is CalloutKind.PREPARE]
        return callout.expires_t_s - callout.t_s

    assert waits_s(30.0) == pytest.approx(8.0)
    assert waits_s(3.0) == pytest.approx(3.0, abs=0.1)


def test_a_heading_may_wait_longer_than_other_actions(still):
    # Behind a descent and a report it was lost after 8 s, and the arc with it.
    cue = next(cue for cue in still.stage("arc_1").cues if cue.kind is CalloutKind.HEADING)
    state = placed(still, "arc_1", 12.0, progress_s=cue.at_s - 1.0, established=True, radial_deg=120.0)
    callouts = after(state, Tick(t_s=NOW_S + 2.0))[1]
    (heading,) = [one for one in callouts if one.kind is CalloutKind.HEADING]

    assert heading.expires_t_s - heading.t_s == 14.0


# --- the next event


@pytest.mark.parametrize(("descends_s", "told_s"), [(4.0, 5.0), (0.5, 1.0), (8.0, 1.0), (None, 1.0)])
def test_the_next_event_waits_for_a_descent_that_would_cut_it_short(descends_s, told_s):
    # Told one second into a turn it takes seven: a descent four seconds into the turn comes in between.
    descent = Cue(
        name="descend in the turn",
        at_s=descends_s or 0.0,
        kind=CalloutKind.DESCEND,
        priority=Priority.ACTION,
        figures=Figures(altitude_ft=2000.0),
        when=When.ALWAYS,
        descends=True,
    )
    leg = stage(
        turns=True,
        cues=() if descends_s is None else (descent,),
        exits=(Exit(trigger=TimeElapsed(time_s=0.0), to="following", at_s=150.0),),
    )
    (told,) = [cue for cue in with_rhythm(leg, {}).cues if cue.kind is CalloutKind.NEXT]

    assert told.at_s == told_s


@pytest.mark.parametrize(("ahead_s", "descends_s"), [(0.0, 4.0), (20.0, 4.0 + 20.0 / 0.85 - 2.0)])
def test_it_comes_a_second_after_the_descent_however_late_that_is_called(plan, ahead_s, descends_s):
    # Turn inbound at Lunmar: 2,400 ft four seconds into it. The last report, at its start, may have put the
    # aircraft so far ahead; by 0.15 s more each second, and its words take 2 s to be obeyed.
    lunmar = plan("lunmar-vor-dme-10", category=Category.B)
    state = placed(lunmar, "course_1", 8.0, progress_s=0.0, altitude_ft=3000.0, ahead_s=ahead_s)
    state = state.but(fired=frozenset({"turn"}))
    called = {one.cue: one.t_s - NOW_S for one in after(state, Tick(t_s=NOW_S + 40.0))[1]}

    assert called["descend in the turn"] == pytest.approx(descends_s, abs=1.0)
    assert called["next event"] == pytest.approx(called["descend in the turn"] + 1.0)


def test_where_the_descent_waits_for_a_report_the_next_event_is_told_all_the_same(plan):
    lunmar = plan("lunmar-vor-dme-10", category=Category.B)
    state = placed(lunmar, "course_1", 8.0, progress_s=0.0, altitude_ft=3000.0, observed_s=NOW_S - 90.0)
    _, outputs = step(state.but(fired=frozenset({"turn"})), Tick(t_s=NOW_S + 30.0))
    (dropped_s,) = [one.t_s for one in outputs if isinstance(one, CueDropped)]
    (told_s,) = [one.t_s for one in outputs if isinstance(one, Callout) and one.cue == "next event"]

    assert told_s == pytest.approx(dropped_s + 1.0)


# --- the offset entry of a racetrack


@pytest.fixture
def ulvane(plan):
    """Racetrack on 345 at NIMRO, radial 165 and 10 DME, right turns; category B, still air."""
    return plan("ulvane-vor-dme-35", category=Category.B)


def test_the_offset_entry_of_a_racetrack_has_an_inbound_leg_from_where_it_ends(ulvane):
    offset, back = ulvane.stage("outbound_0_entry_offset"), ulvane.stage("outbound_0_offset_inbound")
    pattern = ulvane.stage("course_1")

    assert [one.to for one in offset.exits] == [back.name]
    assert [one.to for one in ulvane.stage("outbound_0").exits] == ["course_1"]
    assert back.timeline.points[0] == pytest.approx(offset.timeline.points[-1], abs=0.01)
    # Then it is the same leg: the turn's way, where it leads, what waits for "established".
    assert back.cues[0].figures.turn is Turn.RIGHT
    assert back.timeline.points[-1] == pytest.approx(pattern.timeline.points[-1], abs=0.01)
    for same in ("floors", "floor_until_established_ft", "joined_by", "passed_fix", "event", "course"):
        assert getattr(back, same) == getattr(pattern, same)
    assert [one.to for one in back.exits] == [one.to for one in pattern.exits]


def test_a_report_from_the_turn_after_the_offset_entry_is_believed(ulvane):
    # A minute on 135 from NIMRO (radial 165, 10 miles), then right at rate one or 25 degrees of bank.
    offset, back = ulvane.stage("outbound_0_entry_offset"), ulvane.stage("outbound_0_offset_inbound")
    v_m_s = offset.tas_kt * 1852.0 / 3600.0
    bank_deg = min(25.0, degrees(atan(radians(3.0) * v_m_s / 9.80665)))
    radius_nm = v_m_s**2 / (9.80665 * tan(radians(bank_deg))) / 1852.0
    quarter_s = radians(90.0) * v_m_s / (9.80665 * tan(radians(bank_deg)))
    out_nm = offset.tas_kt / 60.0
    # A quarter of a circle from 135 to 225: one radius on along 135 and one along 225.
    east_nm = 10.0 * sin(radians(165.0)) + out_nm * sin(radians(135.0))
    north_nm = 10.0 * cos(radians(165.0)) + out_nm * cos(radians(135.0))
    east_nm += radius_nm * (sin(radians(135.0)) + sin(radians(225.0)))
    north_nm += radius_nm * (cos(radians(135.0)) + cos(radians(225.0)))
    polar = polar_from_plane(type(back.timeline.points[0])(east_nm, north_nm))
    above_ft = 2600.0 - ulvane.procedure.navaid.elevation_ft
    at = report(radial_deg=polar.radial_deg, dme_nm=slant_nm_from_ground(polar.ground_nm, above_ft))
    state = placed(ulvane, back.name, 11.0, progress_s=quarter_s, altitude_ft=2600.0)
    state, outputs = step(state, at)

    assert [one for one in outputs if isinstance(one, ReportRefused)] == []
    assert state.progress_s(NOW_S) == pytest.approx(quarter_s, abs=3.0)


# --- a descent that will not be over


def descending(still, *, left_s, altitude_ft, descent_fpm=1500.0, **changes):
    """On the course to BESKA, so long before it, going down to 1,900 ft; read so high now."""
    leg = still.stage("course_2")
    progress_s = leg.exits[0].at_s - left_s
    known = AltitudeKnown(altitude_ft=altitude_ft, t_s=NOW_S, read_s=NOW_S, descent_fpm=descent_fpm)
    dme_nm = leg.timeline.at(progress_s).dme_nm
    placing = {"progress_s": progress_s, "established": True, "target_ft": 1900.0} | changes
    return placed(still, "course_2", dme_nm, **placing).but(altitude=known), report(indicated_ft=altitude_ft)


def test_a_descent_that_will_not_be_over_at_the_final_fix_is_called_with_the_rate_that_will(still):
    # 1,500 ft in eight tenths of what is left after eight seconds of hearing and doing: 41.6 of 60 s.
    (callout,) = said(faster, *descending(still, left_s=60.0, altitude_ft=3400.0))

    assert (callout.kind, callout.figures.altitude_ft) == (CalloutKind.DESCEND, 1900.0)
    assert callout.figures.descent_fpm == pytest.approx(1500.0 / 41.6 * 60.0, abs=50.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"altitude_ft": 3150.0},  # 1,803 ft/min, less than a quarter more than is flown
        {"descent_fpm": 2000.0},  # 2,163 would do it, and that is flown as nearly as a pilot can
        {"left_s": 19.0},
        {"altitude_ft": 2040.0, "left_s": 21.0},
        {"asked": frozenset({"faster"})},
        {"target_ft": 1800.0},  # below the floor, which is what holds
    ],
)
def test_not_where_it_would_be_in_the_way(still, changes):
    assert said(faster, *descending(still, **{"left_s": 60.0, "altitude_ft": 3400.0} | changes)) == []


# --- an altitude below the floor, not heard surely


@pytest.mark.parametrize("answer", ["affirm", "the same again"])
def test_an_altitude_heard_unsurely_warns_of_the_floor_once_it_is_meant(still, answer):
    # On final not below 1,000 ft between BESKA and 3.5 DME, printed on the chart.
    state = placed(still, "final", 4.0, altitude_ft=1000.0, established=True)
    low = replace(report(radial_deg=63.0, dme_nm=4.0, indicated_ft=900.0), confidence=0.4)
    again = {
        "affirm": Statement(t_s=NOW_S + 3.0, said=Said.AFFIRM),
        "the same again": replace(low, t_s=NOW_S + 3.0),
    }[answer]

    def kinds(outputs):
        return [output.kind for output in outputs if isinstance(output, Callout)]

    doubting, outputs = step(state, low)
    assert CalloutKind.CHALLENGE in kinds(outputs)
    assert CalloutKind.BELOW_FLOOR not in kinds(outputs)
    _, outputs = step(doubting, again)
    assert CalloutKind.BELOW_FLOOR in kinds(outputs)
