"""A flight that is not where it was reckoned is found again, or asked for; places by hand on Skarrow."""

from dataclasses import replace

import pytest
from placed import NOW_S, placed

from assistant.engine.core import begin
from assistant.engine.events import CalloutKind, PositionReport, Priority, StageEntered, Turn
from assistant.engine.outbox import Outbox
from assistant.engine.plan import HOLD_ENTRY, When
from assistant.engine.relocate import arrival_stage, relocate, take_back
from assistant.engine.state import Doubt
from assistant.nav.geometry import plane_from_polar
from assistant.procedure.model import Category


def report(radial_deg=None, dme_nm=None, **changes):
    known = {"t_s": NOW_S, "observed_t_s": NOW_S, "radial_deg": radial_deg, "dme_nm": dme_nm}
    return PositionReport(**known | changes)


def found(state, read):
    """The stage and whether the flight is lost after the pilot insists on a place."""
    state, lost = relocate(state, read, Outbox())
    return state, lost


def test_the_arrival_is_a_straight_line_to_the_first_fix_at_its_speed(still):
    # From 37 DME on radial 345 to TARNO at 17 on the same: 20 miles, at 4,000 ft near enough on the ground.
    stage = arrival_stage(begin(still), plane_from_polar(345.0, 37.0))

    assert stage.timeline.duration_s == pytest.approx(20.0 / stage.tas_kt * 3600.0, abs=1.0)
    assert stage.timeline.radials_deg[-1] == pytest.approx(345.0, abs=0.01)
    assert stage.timeline.dmes_nm[-1] == pytest.approx(17.0, abs=0.01)
    assert {(leaving.to, leaving.when) for leaving in stage.exits} == {
        (HOLD_ENTRY, When.STAYING),
        (still.after_hold, When.LEAVING),
    }
    assert all(leaving.trigger.closing for leaving in stage.exits)
    assert all(leaving.trigger.dme_nm == pytest.approx(17.0, abs=0.01) for leaving in stage.exits)
    assert all(leaving.at_s == stage.timeline.duration_s for leaving in stage.exits)


def test_from_within_the_fix_the_range_opens_to_it(still):
    stage = arrival_stage(begin(still), plane_from_polar(345.0, 7.0))

    assert not stage.exits[0].trigger.closing


def test_from_the_far_side_of_the_station_the_range_opens_to_the_fix_in_the_end(still):
    # From 10 miles on radial 165 over the station to 17 on 345.
    stage = arrival_stage(begin(still), plane_from_polar(165.0, 10.0))

    assert not stage.exits[0].trigger.closing
    assert stage.timeline.dmes_nm[1] < stage.timeline.dmes_nm[0]


def test_without_a_hold_there_is_one_way_on(plan):
    one = plan("teskel-vortac-06")
    stage = arrival_stage(begin(one), plane_from_polar(238.0, 30.0))

    assert [(leaving.to, leaving.when) for leaving in stage.exits] == [("course_0", When.ALWAYS)]


def test_a_wind_that_cannot_be_flown_into_leaves_the_arrival_timed_in_still_air(plan):
    state = begin(plan("skarrow-tacan-24"))
    windy = state.plan.stage(state.plan.first)
    stages = tuple(
        replace(stage, wind_from_mag_deg=165.0, wind_kt=400.0) if stage.name == windy.name else stage
        for stage in state.plan.stages
    )
    state = state.but(plan=replace(state.plan, stages=stages))
    stage = arrival_stage(state, plane_from_polar(345.0, 37.0))

    assert stage.timeline.duration_s == pytest.approx(20.0 / stage.tas_kt * 3600.0, abs=1.0)


@pytest.mark.parametrize(
    ("radial_deg", "dme_nm", "came_to", "lost"),
    [
        # Still on the course in hand, up to two and a half miles beside it.
        (63.0, 8.0, "course_2", False),
        (77.0, 9.0, "course_2", False),  # 9 sin 14 = 2.2 NM beside
        (82.0, 9.0, None, True),  # 2.9
        # On final, further on.
        (63.0, 3.0, "final", False),
        # Nowhere.
        (200.0, 15.0, None, True),
        # Back on the arc: never back.
        (10.0, 12.0, None, True),
    ],
)
def test_a_place_insisted_on_is_this_stage_or_one_further_on_and_never_back(
    still, radial_deg, dme_nm, came_to, lost
):
    state = placed(still, "course_2", 9.0, altitude_ft=1900.0)
    state, is_lost = found(state, report(radial_deg, dme_nm))

    assert is_lost is lost
    assert state.stage_name == (came_to or "course_2")


def test_a_stage_found_further_on_is_taken_up_where_the_place_lies(still):
    out = Outbox()
    state = placed(still, "course_0", 15.0, altitude_ft=3500.0, established=True, rate=1.2)
    state, lost = relocate(state, report(30.0, 12.0), out)
    arc = still.stage("arc_1").timeline

    assert (state.stage_name, lost) == ("arc_1", False)
    assert out.outputs == [StageEntered(t_s=NOW_S, stage="arc_1")]
    assert arc.at(state.anchor_progress_s).radial_deg == pytest.approx(30.0, abs=0.1)
    assert state.anchor_s == NOW_S
    assert state.entered_s == pytest.approx(NOW_S - state.anchor_progress_s)
    assert (state.rate, state.established, state.predicted, state.confirmed) == (1.0, False, False, None)
    # Headings before radial 030 are over; a step-down is not: it waits to be called.
    assert "heading at 020" in state.fired
    assert "step radial 020" not in state.fired
    assert "heading at 040" not in state.fired


@pytest.mark.parametrize(
    ("before_nm", "ago_s", "came_to"),
    # On the final the range closes: who read less than three miles before is not flying it.
    [
        (2.7, 10.0, "course_0"),
        (2.84, 10.0, "course_0"),
        (3.4, 10.0, "final"),
        # A tenth or two is reading; and from a minute ago it tells no way.
        (2.9, 10.0, "final"),
        (2.0, 61.0, "final"),
    ],
)
def test_a_leg_along_which_the_range_runs_the_other_way_is_not_taken_up(still, before_nm, ago_s, came_to):
    state = placed(still, "course_0", before_nm, progress_s=0.0, altitude_ft=1200.0, dme_s=NOW_S - ago_s)

    assert found(state, report(63.0, 3.0))[0].stage_name == came_to


@pytest.mark.parametrize(("ago_s", "lost"), [(5.0, True), (60.0, False)])
def test_nobody_is_found_at_the_end_of_a_turn_that_was_called_just_now(still, ago_s, lost):
    # The turn on to the course takes 42 s: five seconds after its call nobody has flown half a minute of it.
    course = still.stage("course_2").timeline
    assert 38.0 < course.turn_end_s < 46.0
    there = course.at(course.turn_end_s + 10.0)
    state = placed(
        still, "course_2", None, progress_s=ago_s - 8.0, altitude_ft=2500.0, entered_s=NOW_S - ago_s
    )

    assert found(state, report(there.radial_deg, there.dme_nm))[1] is lost


@pytest.mark.parametrize("beyond_s", [5.0, 20.0, 58.0])
def test_who_flew_straight_on_past_a_turn_is_found_on_the_leg_before_it(plan, beyond_s):
    # Quorrel's outbound leg on 020; at its end a procedure turn leads away to the left.
    quorrel = plan("quorrel-vor-dme-20", category=Category.B)
    outbound = quorrel.stage("outbound_0").timeline
    there = outbound.at(outbound.duration_s + beyond_s)
    state = placed(quorrel, "hold_inbound", 3.0, altitude_ft=4500.0)

    assert found(state, report(20.0, there.dme_nm))[0].stage_name == "outbound_0"


@pytest.mark.parametrize(("share", "told"), [(0.5, True), (1.1, False)])
def test_who_is_found_in_a_turn_is_told_it_and_who_is_past_it_is_not(still, share, told):
    turn_end_s = still.stage("course_2").timeline.turn_end_s
    there = still.stage("course_2").timeline.at(share * turn_end_s)
    state, _ = found(
        placed(still, "course_0", 15.0, altitude_ft=3500.0), report(there.radial_deg, there.dme_nm)
    )

    assert state.stage_name == "course_2"
    assert ("turn" not in state.fired) is told


@pytest.mark.parametrize(
    ("altitude_ft", "came_to"),
    # The final begins at 1,900 ft: who is more than 1,500 above it is not on it.
    [(3300.0, "final"), (3500.0, "course_0")],
)
def test_a_flight_far_above_the_final_is_not_on_it(still, altitude_ft, came_to):
    state = placed(still, "course_0", 15.0, altitude_ft=altitude_ft)

    assert found(state, report(63.0, 3.0))[0].stage_name == came_to
    read = report(63.0, 3.0, indicated_ft=altitude_ft)
    assert found(placed(still, "course_0", 15.0), read)[0].stage_name == came_to


@pytest.mark.parametrize(
    ("first_nm", "came_to"), [(4.5, "final"), (2.0, "course_0"), (3.2, "final"), (2.7, "final")]
)
def test_a_leg_flown_the_other_way_is_not_taken_up(still, first_nm, came_to):
    # Inbound the range closes: from 2 to 3 miles it opened. Less than half a mile tells no direction.
    doubt = Doubt(report=report(63.0, first_nm), item="range")
    before = placed(still, "course_0", 15.0, doubt=doubt)
    state = placed(still, "course_0", 15.0, altitude_ft=1200.0, before_report=before)

    assert found(state, report(63.0, 3.0))[0].stage_name == came_to


@pytest.mark.parametrize(
    ("read", "lost"),
    [
        # A minute's pace either way of dead reckoning on the course: three miles at 185 kt.
        (report(dme_nm=8.0), False),
        (report(dme_nm=6.3), False),
        (report(dme_nm=2.5), True),
        (report(radial_deg=63.0), True),
    ],
)
def test_a_range_alone_may_show_the_leg_sooner_or_later(still, read, lost):
    assert found(placed(still, "course_2", 9.0), read)[1] is lost


def test_a_flight_already_lost_is_not_found_by_a_range_alone(still):
    assert found(placed(still, "course_2", 9.0, lost=True), report(dme_nm=8.5))[1]


def entered_too_early(still, stage_name, before_name, before_nm, *, entered_s=NOW_S - 5.0, **changes):
    """A stage that dead reckoning entered from the one before, which is kept."""
    before = placed(still, before_name, before_nm, altitude_ft=1900.0)
    return placed(
        still,
        stage_name,
        None,
        progress_s=5.0,
        predicted=True,
        confirmed=before,
        entered_s=entered_s,
        **changes,
    )


def test_on_final_too_early_is_taken_back_and_said_with_the_altitude(still):
    state = entered_too_early(still, "final", "course_2", 6.7, entered_s=NOW_S - 30.0)
    out = Outbox()
    back = take_back(state, report(63.0, 6.7), out)

    assert back.stage_name == "course_2"
    assert not back.predicted
    (not_yet,) = [output for output in out.outputs if getattr(output, "kind", None) is CalloutKind.NOT_YET]
    assert not_yet.figures.event == "final approach fix BESKA"
    assert not_yet.figures.dme_nm == 6.0
    # Prepared already: not again.
    assert "prepare final approach fix BESKA" in back.fired


@pytest.mark.parametrize(
    ("dme_nm", "taken_back"),
    # At 6 miles it is passed; 6 s before it (0.26 NM at the last 154 kt) is within what sets are off.
    # More than 15 s farther back (6.9 miles) reckoning from a fresh report cannot have been wrong.
    [(5.8, False), (6.1, False), (6.2, False), (6.4, True), (6.85, True), (7.0, False), (9.5, False)],
)
def test_only_a_place_clearly_before_the_fix_and_not_absurdly_takes_back(still, dme_nm, taken_back):
    state = entered_too_early(still, "final", "course_2", 6.5)

    assert (take_back(state, report(63.0, dme_nm), Outbox()).stage_name == "course_2") is taken_back


@pytest.mark.parametrize(
    ("before_end_s", "came_to"),
    # The turn off an arc is called 8 s before its place: from six seconds before that a radial alone takes it
    # back; 15 s farther back from a fresh report it is another place that is meant.
    [(13.5, "course_2"), (14.5, "arc_1"), (28.5, "arc_1"), (29.5, "course_2")],
)
def test_on_an_arc_a_radial_alone_takes_back(still, before_end_s, came_to):
    arc = still.stage("arc_1").timeline
    there_s = arc.duration_s - before_end_s
    before = placed(still, "arc_1", 12.0, progress_s=there_s, altitude_ft=2500.0)
    state = placed(
        still, "course_2", None, progress_s=-5.0, predicted=True, confirmed=before, entered_s=NOW_S - 3.0
    )
    read = report(arc.at(there_s).radial_deg)

    assert take_back(state, read, Outbox()).stage_name == came_to


def test_what_a_report_has_shown_or_tells_no_place_is_not_taken_back(still):
    state = entered_too_early(still, "final", "course_2", 6.7)

    assert take_back(state, report(63.0, 6.7), Outbox()).stage_name == "course_2"
    assert take_back(state.but(predicted=False), report(63.0, 6.7), Outbox()).stage_name == "final"
    assert take_back(state.but(confirmed=None), report(63.0, 6.7), Outbox()).stage_name == "final"
    assert take_back(state, report(indicated_ft=1900.0), Outbox()).stage_name == "final"


@pytest.mark.parametrize(("ago_s", "came_to"), [(11.0, "course_0"), (13.0, "arc_1")])
def test_a_turn_called_too_early_is_taken_back_only_at_once(still, ago_s, came_to):
    state = entered_too_early(still, "arc_1", "course_0", 14.9, entered_s=NOW_S - ago_s)

    assert take_back(state, report(345.0, 14.9), Outbox()).stage_name == came_to


def test_a_way_into_the_hold_is_taken_back_to_the_arrival(still):
    # From 37 DME on radial 345 to TARNO at 17: the entry was called more than a mile before it.
    state = begin(still).but(reached_s=NOW_S)
    arrival = arrival_stage(state, plane_from_polar(345.0, 37.0))
    before = state.but(
        arrival=arrival,
        anchor_s=NOW_S,
        anchor_progress_s=arrival.timeline.duration_s - 25.0,
        observed_s=NOW_S,
    )
    for name in ("hold_entry_parallel", "hold_entry_offset", "hold_entry_direct"):
        entered = placed(
            still, name, None, progress_s=-7.0, predicted=True, confirmed=before, entered_s=NOW_S - 1.0
        ).but(arrival=arrival)

        assert take_back(entered, report(345.0, 18.2), Outbox()).stage_name == "arrival"
        assert take_back(entered, report(345.0, 17.1), Outbox()).stage_name == name


def test_a_leg_timed_by_the_clock_is_not_taken_back(still):
    state = entered_too_early(still, "hold_offset_inbound", "hold_entry_offset", 18.0)

    assert take_back(state, report(345.0, 18.0), Outbox()).stage_name == "hold_offset_inbound"


def test_the_first_turn_on_the_way_in_is_from_the_heading_read(plan):
    # The first leg of this chart begins with a turn either way round, or none: it is never the long way.
    one = plan("skarrow-tacan-24")
    stage = arrival_stage(begin(one).but(heading_mag_deg=165.0), plane_from_polar(345.0, 37.0))

    assert Turn.LEFT not in {cue.figures.turn for cue in stage.cues}


def test_what_is_taken_back_is_as_it_was_but_for_what_was_said(still):
    state = entered_too_early(still, "final", "course_2", 6.7, target_ft=500.0, established=True, rate=1.1)
    before = state.confirmed.but(
        rate=1.2, target_ft=1900.0, established=False, floor_carried_ft=2500.0, fired=frozenset({"turn"})
    )
    back = take_back(state.but(confirmed=before), report(63.0, 6.7), Outbox())

    assert (back.entered_s, back.anchor_s, back.anchor_progress_s) == (
        before.entered_s,
        before.anchor_s,
        before.anchor_progress_s,
    )
    assert (back.rate, back.target_ft, back.established, back.floor_carried_ft) == (
        1.2,
        1900.0,
        False,
        2500.0,
    )
    assert (back.since_s, back.confirmed) == (NOW_S, None)
    assert back.fired == {"turn", "prepare final approach fix BESKA"}


@pytest.mark.parametrize(
    ("stage", "before", "altitude_ft"),
    [("final", ("course_2", 6.7), 1900.0), ("arc_1", ("course_0", 14.9), None)],
)
def test_not_yet_names_the_altitude_to_keep_on_final_only(still, stage, before, altitude_ft):
    state = entered_too_early(still, stage, *before)
    state = state.but(confirmed=state.confirmed.but(target_ft=1900.0))
    out = Outbox()
    read = report(63.0, 6.7) if stage == "final" else report(345.0, 14.9)
    take_back(state, read, out)
    (not_yet,) = [one for one in out.outputs if getattr(one, "kind", None) is CalloutKind.NOT_YET]

    assert (not_yet.priority, not_yet.cue, not_yet.figures.altitude_ft) == (
        Priority.ACTION,
        "not yet",
        altitude_ft,
    )


@pytest.mark.parametrize(
    ("was_left", "is_left", "left"),
    # A circuit that was counted by passing the fix too early is flown again; another number is the pilot's.
    [(2, 1, 2), (1, 0, 1), (None, None, None), (2, 0, 0), (1, 1, 1)],
)
def test_a_circuit_counted_too_early_is_counted_again(still, was_left, is_left, left):
    inbound = still.stage("hold_inbound").timeline
    before = placed(still, "hold_inbound", None, progress_s=inbound.duration_s - 25.0, circuits_left=was_left)
    before = before.but(observed_s=NOW_S - 5.0)
    state = placed(
        still,
        "hold_outbound",
        None,
        progress_s=0.0,
        predicted=True,
        confirmed=before,
        entered_s=NOW_S - 5.0,
        circuits_left=is_left,
    )
    there = inbound.at(inbound.duration_s - 25.0)
    back = take_back(state, report(there.radial_deg, there.dme_nm), Outbox())

    assert (back.stage_name, back.circuits_left) == ("hold_inbound", left)


def test_about_the_station_a_range_alone_takes_nothing_back(plan):
    # Quorrel: in on 200 over the station, where the final begins; a quarter of a minute before it.
    quorrel = plan("quorrel-vor-dme-20", category=Category.B)
    leg = quorrel.stage("course_1").timeline
    before = placed(quorrel, "course_1", None, progress_s=leg.duration_s - 15.0)
    state = placed(
        quorrel, "final", None, progress_s=2.0, predicted=True, confirmed=before, entered_s=NOW_S - 2.0
    )
    there = leg.at(leg.duration_s - 15.0)

    assert take_back(state, report(dme_nm=there.dme_nm), Outbox()).stage_name == "final"
    assert take_back(state, report(20.0, there.dme_nm), Outbox()).stage_name == "course_1"


def test_on_final_a_floor_is_at_stake_however_long_ago_it_was_entered(still):
    before = placed(still, "course_2", 6.7, altitude_ft=1900.0)
    state = entered_too_early(still, "final", "course_2", 6.7, entered_s=NOW_S - 60.0)

    assert take_back(state.but(confirmed=before), report(63.0, 6.7), Outbox()).stage_name == "course_2"
    # A place too far beside the leg is no place on it.
    assert take_back(state.but(confirmed=before), report(75.0, 6.7), Outbox()).stage_name == "final"
    # A range alone, away from the station, is enough.
    assert take_back(state.but(confirmed=before), report(dme_nm=6.7), Outbox()).stage_name == "course_2"
