"""What shows that a leg has ended: its place, its altitude, or its range read by one who is lost."""

from dataclasses import replace

import pytest
from placed import NOW_S, after, placed, report

from assistant.engine.events import CalloutKind
from assistant.engine.passing import passed_exit
from assistant.engine.triggers import AltitudeCrossed, RadialReached


def with_trigger(state, trigger):
    """The state in a plan whose leg is ended by something else."""
    plan, leg = state.plan, state.stage
    changed = replace(leg, exits=(replace(leg.exits[0], trigger=trigger),))
    stages = tuple(changed if stage.name == leg.name else stage for stage in plan.stages)
    return state.but(plan=replace(plan, stages=stages))


@pytest.mark.parametrize(
    ("short_s", "rate", "ended"),
    # A second before its place is reading and speaking; who flies faster is farther in a second.
    [
        (0.0, 1.0, True),
        (0.95, 1.0, True),
        (1.05, 1.0, False),
        (1.2, 1.25, True),
        (1.3, 1.25, False),
        (-30.0, 1.0, True),
    ],
)
def test_a_leg_ends_where_reckoning_from_the_report_has_come_to_its_end(still, short_s, rate, ended):
    end_s = still.stage("course_2").exits[0].at_s
    state = placed(still, "course_2", 6.1, progress_s=end_s - short_s, rate=rate)

    assert passed_exit(state, report(dme_nm=6.1)) == ("final" if ended else None)
    assert passed_exit(state, report(radial_deg=63.0)) == ("final" if ended else None)
    # A report without a place shows none.
    assert passed_exit(state, report(indicated_ft=1900.0)) is None
    # Nor does reckoning that rests on no report.
    assert passed_exit(state.but(observed_s=None), report(radial_deg=63.0)) is None


@pytest.mark.parametrize(
    ("descending", "altitude_ft", "ended"),
    [(False, 1500.0, True), (False, 1499.0, False), (True, 1500.0, True), (True, 1501.0, False)],
)
def test_a_climb_or_descent_ends_at_its_altitude(still, descending, altitude_ft, ended):
    # The chart: climb to 1,500, then turn; and the same the other way round.
    state = placed(still, "missed_0", 1.4, progress_s=5.0, altitude_ft=1000.0)
    state = with_trigger(state, AltitudeCrossed(altitude_ft=1500.0, descending=descending))

    assert passed_exit(state, report(indicated_ft=altitude_ft)) == ("missed_1" if ended else None)
    assert passed_exit(state, report(dme_nm=1.4)) is None


@pytest.mark.parametrize(
    ("circuits_left", "to"), [(0, "course_0"), (1, "hold_outbound"), (None, "hold_outbound")]
)
def test_of_two_ways_on_the_one_whose_condition_holds_is_taken(still, circuits_left, to):
    end_s = still.stage("hold_inbound").exits[0].at_s
    state = placed(still, "hold_inbound", 17.0, progress_s=end_s, circuits_left=circuits_left)

    assert passed_exit(state, report(dme_nm=17.0)) == to


@pytest.mark.parametrize(
    ("stage", "dme_nm", "to"),
    [
        ("course_2", 6.0, "final"),
        ("course_2", 5.0, "final"),
        ("course_2", 6.1, None),
        ("hold_outbound", 23.0, "hold_inbound"),
        ("hold_outbound", 24.0, "hold_inbound"),
        ("hold_outbound", 22.9, None),
    ],
)
def test_the_range_itself_ends_a_leg_of_one_who_is_lost_on_it(still, stage, dme_nm, to):
    lost = placed(still, stage, None, progress_s=10.0, observed_s=None, lost=True, entered_s=NOW_S - 500.0)

    assert passed_exit(lost, report(dme_nm=dme_nm)) == to
    assert passed_exit(lost, report(radial_deg=63.0)) is None


@pytest.mark.parametrize(("after_turn_s", "ended"), [(59.0, False), (60.0, True)])
def test_not_within_a_minute_of_the_turn_in_which_the_range_may_run_the_other_way(still, after_turn_s, ended):
    turn_end_s = still.stage("course_2").timeline.turn_end_s
    lost = placed(
        still,
        "course_2",
        None,
        progress_s=10.0,
        observed_s=None,
        lost=True,
        entered_s=NOW_S - turn_end_s - after_turn_s,
    )

    assert (passed_exit(lost, report(dme_nm=5.0)) == "final") is ended


def test_of_a_radial_nothing_is_known_to_one_who_is_lost(still):
    lost = placed(still, "course_2", None, progress_s=10.0, observed_s=None, entered_s=NOW_S - 500.0)
    by_radial = with_trigger(lost, RadialReached(radial_deg=63.0))

    assert passed_exit(by_radial, report(dme_nm=5.0, radial_deg=63.0)) is None


@pytest.mark.parametrize(
    ("radial_deg", "dme_nm", "ended"),
    [
        # Skarrow's final on 243, its missed approach point at 1.5 DME before the station on radial 063: half
        # a mile and more past it, on the course or wide of it.
        (243.0, 1.1, True),
        (243.0, 3.0, True),
        (213.0, 3.0, True),
        # Before it, abeam, and about the station, where the needle swings.
        (63.0, 3.0, False),
        (93.0, 1.75, False),
        (243.0, 0.9, False),
    ],
)
def test_on_final_even_one_who_is_lost_is_past_the_missed_approach_point_beyond_it(
    still, radial_deg, dme_nm, ended
):
    lost = placed(still, "final", 4.0, altitude_ft=1500.0, observed_s=None, lost=True)

    assert passed_exit(lost, report(radial_deg=radial_deg, dme_nm=dme_nm)) == ("missed_0" if ended else None)


def test_who_goes_around_late_is_told_to_all_the_same(plan):
    # Lunmar's final on 100 and its missed approach lead over the station: found three miles beyond it.
    lunmar = plan("lunmar-vor-dme-10")
    lost = placed(lunmar, "final", 5.0, altitude_ft=2400.0, observed_s=None, lost=True)

    state, said = after(lost, at_s=NOW_S + 20.0, radial_deg=100.0, dme_nm=3.0, indicated_ft=2400.0)

    assert state.stage_name == "missed_0"
    assert CalloutKind.GO_AROUND in [callout.kind for callout in said]
