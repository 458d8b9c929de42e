"""A range that jumps ahead by more than is explained is believed in part; Teskel's first leg, by hand."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import step
from assistant.engine.estimate import ahead_s
from assistant.engine.events import PositionReport
from assistant.engine.jumping import held_back

# Inbound from KORVA at some 220 kt true, straight from its beginning. After 20 s 15 % of them are explained,
# a reading of 0.15 NM, and the second of its moment; half a mile more is too much.
AFTER_S = 20.0


@pytest.fixture
def inbound(plan):
    return placed(plan("teskel-vortac-06"), "course_0", 19.0, ahead_s=1.5, asked=frozenset({"position"}))


def speed_nm_s(state):
    return state.place(NOW_S + AFTER_S).groundspeed_kt / 3600.0


def explained_s(state):
    return 0.15 * AFTER_S + 0.15 / speed_nm_s(state) + 1.0


def ahead_by(state, nm, **more):
    """A report so much nearer to the station than reckoned."""
    reckoned_nm = state.place(NOW_S + AFTER_S).dme_nm
    t_s = NOW_S + AFTER_S
    return PositionReport(t_s=t_s, observed_t_s=t_s, dme_nm=reckoned_nm - nm, **more)


@pytest.mark.parametrize(("beyond_nm", "held"), [(0.49, False), (0.51, True), (-2.0, False)])
def test_half_a_mile_more_than_is_explained_is_held_back(inbound, beyond_nm, held):
    read = ahead_by(inbound, explained_s(inbound) * speed_nm_s(inbound) + beyond_nm)

    assert (held_back(inbound, read) is not None) is held


def test_what_is_held_back_is_moved_by_what_is_explained(inbound):
    state = held_back(inbound, ahead_by(inbound, 2.0))
    t_s = NOW_S + AFTER_S

    assert state.held_back
    assert (state.observed_s, state.anchor_s) == (t_s, t_s)
    assert state.anchor_progress_s == pytest.approx(inbound.progress_s(t_s) + explained_s(inbound), abs=0.01)
    assert state.ahead_s == pytest.approx(1.5 + explained_s(inbound), abs=0.01)
    assert state.asked == frozenset()


@pytest.mark.parametrize(
    ("changes", "read"),
    [
        ({}, {"fix": "MEDDO"}),
        ({}, {"groundspeed_kt": 200.0}),
        ({"lost": True}, {}),
        ({"observed_s": NOW_S + AFTER_S - 60.5}, {}),
    ],
)
def test_what_is_sure_or_better_than_reckoning_is_not_held_back(inbound, changes, read):
    state = inbound.but(**changes)

    assert held_back(state, ahead_by(state, 4.0, **read)) is None


def test_a_minute_after_a_report_reckoning_is_still_the_better(inbound):
    # 15 % of 60 s are explained then: 9 s, about half a mile.
    assert held_back(inbound.but(observed_s=NOW_S + AFTER_S - 59.5), ahead_by(inbound, 4.0)) is not None


def test_a_radial_alone_jumps_along_no_leg(inbound):
    t_s = NOW_S + AFTER_S

    assert held_back(inbound, PositionReport(t_s=t_s, observed_t_s=t_s, radial_deg=238.0)) is None


def test_in_a_turn_or_on_an_arc_nothing_is_held_back(plan):
    still = plan("skarrow-tacan-24")
    turn_end_s = still.stage("course_2").timeline.turn_end_s
    turning = placed(still, "course_2", 11.0, progress_s=turn_end_s - AFTER_S - 1.0)
    assert held_back(turning, ahead_by(turning, 3.0)) is None
    rolled_out = placed(still, "course_2", 10.0, progress_s=turn_end_s - AFTER_S + 1.0)
    assert held_back(rolled_out, ahead_by(rolled_out, 3.0)) is not None
    arc = placed(still, "arc_1", 12.0, progress_s=100.0)
    t_s = NOW_S + AFTER_S
    there = arc.timeline.at(200.0)
    read = PositionReport(t_s=t_s, observed_t_s=t_s, radial_deg=there.radial_deg, dme_nm=12.0)

    assert held_back(arc, read) is None


def test_the_next_report_of_the_same_is_believed(inbound):
    t_s = NOW_S + AFTER_S
    reckoned_nm = inbound.place(t_s).dme_nm
    state, _ = step(
        inbound, PositionReport(t_s=t_s, observed_t_s=t_s, radial_deg=238.0, dme_nm=reckoned_nm - 1.1)
    )
    assert state.held_back
    there_nm = reckoned_nm - 1.1 - 5.0 * speed_nm_s(inbound)
    again = PositionReport(t_s=t_s + 5.0, observed_t_s=t_s + 5.0, radial_deg=238.0, dme_nm=there_nm)
    state, _ = step(state, again)

    assert not state.held_back
    assert state.place(t_s + 5.0).dme_nm == pytest.approx(there_nm, abs=0.01)


def test_what_is_held_back_at_the_end_of_a_leg_is_not_believed_on_the_next_one(plan):
    # On the way to the final fix at 4.8 DME 3.9 is read where 5.0 is reckoned. By what is explained of it the
    # fix is passed; nearly a mile past it, where a descent would be due at once, nobody need be.
    state = placed(plan("pellow-vor-dme-28"), "course_1", 5.9, established=True)
    timeline = state.timeline
    t_s = NOW_S + state.time_of(timeline.progress_by_dme(5.0, timeline.duration_s)) - state.anchor_s
    state, _ = step(state, PositionReport(t_s=t_s, observed_t_s=t_s, radial_deg=95.0, dme_nm=3.9))

    assert state.stage_name == "final"
    assert state.held_back
    assert state.place(t_s).dme_nm == pytest.approx(4.8, abs=0.2)


def test_what_was_moved_in_part_may_be_wrong_as_well_when_the_jump_is_said_again(inbound):
    t_s = NOW_S + AFTER_S
    jumped = ahead_by(inbound, explained_s(inbound) * speed_nm_s(inbound) + 1.0)
    reckoned_s = inbound.progress_s(t_s)

    for by_s, moved_s in ((20.0, 1.5), (0.0, 0.0)):
        once = ahead_s(inbound, jumped, reckoned_s + by_s)
        again = ahead_s(inbound, jumped, reckoned_s + by_s, was_held_back=True)
        # Where it shows no jump after all, the first was misread and there is nothing to doubt.
        assert again - once == pytest.approx(moved_s)
