"""Coming to another stage: what is kept of what was known, and where its turn begins; Skarrow, by hand."""

import pytest
from placed import NOW_S, placed

from assistant.engine.core import begin
from assistant.engine.entering import call_s, enter, entry_name, is_led
from assistant.engine.events import EntrySector, StageEntered, Turn
from assistant.engine.outbox import Outbox
from assistant.engine.plan import HOLD_ENTRY, Racetrack
from assistant.engine.relocate import arrival_stage
from assistant.nav.geometry import PlanePoint


def entered(state, name, *, after_s=0.0, **how):
    """The state after coming to a stage, and what came out."""
    out = Outbox()
    return enter(state, NOW_S + after_s, name, out, **how), out.outputs


NORTH_RIGHT = Racetrack(
    inbound_course_mag_deg=360.0,
    turn=Turn.RIGHT,
    entries=(
        (EntrySector.DIRECT, "direct"),
        (EntrySector.OFFSET, "offset"),
        (EntrySector.PARALLEL, "parallel"),
    ),
)
NO_PARALLEL = Racetrack(inbound_course_mag_deg=360.0, turn=Turn.RIGHT, entries=NORTH_RIGHT.entries[:2])


@pytest.mark.parametrize(
    ("heading_deg", "way_in"),
    # ICAO Doc 8168 Vol I, holding entry, inbound 360 and right turns: direct for headings 290 to 110, offset
    # 110 to 180, parallel 180 to 290.
    [
        (360.0, "direct"),
        (100.0, "direct"),
        (300.0, "direct"),
        (120.0, "offset"),
        (170.0, "offset"),
        (190.0, "parallel"),
        (280.0, "parallel"),
    ],
)
def test_the_way_in_is_by_the_heading_at_the_fix(heading_deg, way_in):
    assert entry_name(NORTH_RIGHT, heading_deg) == way_in


@pytest.mark.parametrize(
    ("heading_deg", "way_in"),
    # Within five degrees of the boundary the sector next door serves; else the first that the chart has.
    [(182.0, "offset"), (184.0, "offset"), (230.0, "direct"), (288.0, "direct"), (170.0, "offset")],
)
def test_a_way_in_that_the_chart_does_not_permit_is_not_taken(heading_deg, way_in):
    assert entry_name(NO_PARALLEL, heading_deg) == way_in


@pytest.mark.parametrize(
    ("name", "led"),
    [
        (HOLD_ENTRY, True),
        ("arc_1", True),
        ("course_2", True),
        ("hold_inbound", True),
        ("course_0", False),  # straight on
        ("final", False),
        ("missed_1", False),  # a turn, but where the climb has come to its altitude
        ("missed_0", False),
    ],
)
def test_a_turn_is_called_before_its_place_but_not_in_the_missed_approach(still, name, led):
    assert is_led(still, name) is led


@pytest.mark.parametrize(
    ("came_from", "to", "how", "progress_s"),
    [
        # A turn begins 8 s after its call, one on to an arc 10.5 s.
        (("arc_1", 12.0), "course_2", {}, -8.0),
        (("course_0", 14.0), "arc_1", {}, -10.5),
        # Who says to be in it has begun it.
        (("arc_1", 12.0), "course_2", {"stated": True}, 0.0),
        # Where the place itself binds nothing is led.
        (("missed_0", 0.5), "missed_1", {}, 0.0),
    ],
)
def test_a_turn_begins_a_little_after_its_call(still, came_from, to, how, progress_s):
    state, _ = entered(placed(still, *came_from, progress_s=60.0), to, **how)

    assert state.anchor_progress_s == progress_s
    assert state.anchor_s == state.entered_s == state.since_s == NOW_S


def test_how_long_before_its_place_a_turn_is_called(still):
    assert call_s(still.stage("course_2")) == 8.0
    assert call_s(still.stage("arc_1")) == 10.5


def test_a_leg_straight_on_goes_on_from_where_the_report_shows_the_aircraft(still):
    leg = still.stage("course_2").timeline
    past = placed(still, "course_2", 5.9, progress_s=leg.duration_s + 7.0)

    # Shown 7 s past the fix, it is 7 s into the final.
    assert entered(past, "final")[0].anchor_progress_s == pytest.approx(7.0)
    before = placed(still, "course_2", 6.1, progress_s=leg.duration_s - 3.0)
    assert entered(before, "final")[0].anchor_progress_s == 0.0
    # By the clock alone it begins now, however far reckoning was ahead.
    assert entered(past.but(observed_s=NOW_S - 30.0), "final")[0].anchor_progress_s == 0.0
    assert entered(past.but(observed_s=None), "final")[0].anchor_progress_s == 0.0


def test_a_leg_further_on_begins_at_its_beginning(still):
    # From the arc to the final no way out leads: who is found there is at its start until a place is read.
    assert entered(placed(still, "arc_1", 12.0, progress_s=200.0), "final")[0].anchor_progress_s == 0.0


@pytest.mark.parametrize("name", ["landing", "missed_early"])
def test_the_landing_and_an_early_missed_approach_go_on_along_the_final(still, name):
    state = placed(still, "final", 3.0)

    assert entered(state, name, after_s=5.0)[0].anchor_progress_s == state.anchor_progress_s + 5.0


@pytest.mark.parametrize(
    ("observed_ago_s", "how", "predicted"),
    [(0.0, {}, False), (1.0, {}, True), (1.0, {"stated": True}, False), (None, {}, True)],
)
def test_a_stage_that_no_report_and_no_word_has_shown_is_predicted(still, observed_ago_s, how, predicted):
    state = placed(still, "course_2", 6.0, established=True)
    state = state.but(observed_s=None if observed_ago_s is None else NOW_S - observed_ago_s)
    after, outputs = entered(state, "final", **how)

    assert after.predicted is predicted
    assert outputs == [StageEntered(t_s=NOW_S, stage="final", predicted=predicted)]
    # What was known for certain is kept to go back to, and only then.
    assert (after.confirmed is not None) is predicted
    if predicted:
        assert after.confirmed.stage_name == "course_2"


def test_of_two_predicted_stages_the_state_before_the_first_is_kept(still):
    sure = placed(still, "course_2", 6.0, established=True, observed_s=NOW_S - 20.0)
    once, _ = entered(sure, "final")
    twice, _ = entered(once, "missed_0", after_s=100.0)

    assert twice.confirmed.stage_name == "course_2"


@pytest.mark.parametrize(
    ("to", "established", "carried_ft"),
    # The course to BESKA lets 2,500 ft of the arc go only when established; the missed approach climbs.
    [("final", False, 2500.0), ("final", True, 0.0), ("missed_0", False, 0.0), ("hold_inbound", False, 0.0)],
)
def test_an_altitude_that_waits_for_established_waits_on_in_the_next_stage(
    still, to, established, carried_ft
):
    state = placed(still, "course_2", 6.0, established=established)

    assert entered(state, to)[0].floor_carried_ft == carried_ft
    assert entered(state.but(floor_carried_ft=3000.0), to)[0].floor_carried_ft == (
        3000.0 if carried_ft else 0.0
    )


@pytest.mark.parametrize(("to", "established"), [("final", True), ("arc_1", False)])
def test_established_holds_straight_on_and_not_through_a_turn(still, to, established):
    state = placed(still, "course_0", 14.0, established=True)

    assert entered(state, to)[0].established is established
    assert entered(state.but(established=False), to)[0].established is False


@pytest.mark.parametrize(("to", "visual"), [("landing", True), ("final", True), ("missed_0", False)])
def test_the_runway_is_in_sight_on_final_and_landing_only(still, to, visual):
    assert entered(placed(still, "final", 3.0, visual=True), to)[0].visual is visual


def test_what_was_called_begins_anew_and_questions_put_are_kept(still):
    asked = frozenset({"position", "level", "near minimum", "minimum", "altitude?"})
    state = placed(
        still, "final", 2.0, fired=frozenset({"turn"}), asked=asked, rate=1.2, headings=((1.0, 2.0),)
    )

    landing, _ = entered(state, "landing")
    assert landing.fired == frozenset()
    assert landing.asked == {"position", "level", "near minimum", "minimum"}
    assert (landing.rate, landing.headings) == (1.0, ())
    # Going around begins anew: there will be another minimum.
    assert entered(state, "missed_0")[0].asked == {"position", "level"}


@pytest.mark.parametrize(
    ("came_from", "to", "before", "after"),
    [
        ("hold_inbound", "hold_outbound", 2, 1),
        ("hold_offset_inbound", "hold_outbound", 1, 0),
        ("hold_parallel_return", "hold_outbound", 1, 0),
        ("hold_inbound", "hold_outbound", None, None),  # as long as the pilot likes
        ("hold_inbound", "hold_outbound", 0, 0),
        ("hold_entry_direct", "hold_inbound", 1, 1),
        ("hold_inbound", "course_0", 1, 1),
    ],
)
def test_a_circuit_is_counted_where_the_fix_is_passed_outbound(still, came_from, to, before, after):
    state = placed(still, came_from, 17.0, progress_s=30.0, circuits_left=before)

    assert entered(state, to)[0].circuits_left == after


def test_a_hold_after_the_missed_approach_is_flown_until_the_pilot_leaves_it(still):
    state = placed(still, "missed_1", 17.0, progress_s=60.0, circuits_left=0)

    assert entered(state, HOLD_ENTRY)[0].circuits_left is None
    arriving = begin(still).but(circuits_left=0, heading_mag_deg=165.0)
    assert entered(arriving, HOLD_ENTRY)[0].circuits_left == 0


@pytest.mark.parametrize(
    ("heading_deg", "sector"), [(165.0, "direct"), (300.0, "offset"), (20.0, "parallel")]
)
def test_the_hold_is_entered_by_the_heading_read_on_the_arrival(still, heading_deg, sector):
    # Inbound 165 with right turns: direct from 095 to 275, offset to 345, parallel to 095.
    arriving = begin(still).but(heading_mag_deg=heading_deg)
    state, _ = entered(arriving, HOLD_ENTRY)

    assert state.stage_name == f"hold_entry_{sector}"
    assert state.heading_mag_deg == heading_deg


def test_without_a_heading_read_it_is_by_the_way_flown_and_else_direct(still):
    # TARNO lies at (-4.4, 16.4) from the station: from (-20, 0) the way there is 044, a parallel entry.
    arrival = arrival_stage(begin(still), PlanePoint(-20.0, 0.0))
    arriving = begin(still).but(arrival=arrival, anchor_s=NOW_S)

    assert entered(arriving, HOLD_ENTRY)[0].stage_name == "hold_entry_parallel"
    assert entered(begin(still), HOLD_ENTRY)[0].stage_name == "hold_entry_direct"


def test_a_heading_read_later_than_on_the_arrival_is_not_the_next_turns(still):
    state = placed(still, "course_0", 14.0, heading_mag_deg=165.0)

    assert entered(state, "arc_1")[0].heading_mag_deg is None


@pytest.mark.parametrize("jumped_s", [0.0, 60.0])
def test_a_jump_is_carried_to_a_slower_leg_as_a_distance(still, jumped_s):
    # 0.15 NM and a second are a reading's; whatever is more was a jump.
    state = placed(still, "course_2", 6.0, established=True)
    before_kt = state.place(NOW_S).groundspeed_kt
    reading_s = 0.15 / before_kt * 3600.0 + 1.0
    final, _ = entered(state.but(ahead_s=reading_s + jumped_s), "final")
    after_kt = final.place(NOW_S).groundspeed_kt
    assert after_kt < before_kt

    assert final.ahead_s == pytest.approx(reading_s + jumped_s * before_kt / after_kt, abs=0.01)
