"""What is said before an event and after it, and when; stages drawn by hand."""

import pytest
from on_paper import drawn, stage, straight

from assistant.engine.cues import lead_s, next_figures, turned_from, with_event_cues, with_rhythm
from assistant.engine.events import CalloutKind, Figures, Priority, Turn
from assistant.engine.plan import CourseFacts, Cue, Exit, Floor, Phase, When
from assistant.engine.triggers import TimeElapsed
from assistant.nav.geometry import PlanePoint

THROUGH_THE_STATION = CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.0, 10.0))
BESIDE_IT = CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.5, 10.0))


def leaving(at_s, **changes):
    return Exit(**{"trigger": TimeElapsed(time_s=0.0), "to": "following", "at_s": at_s} | changes)


def action(kind=CalloutKind.TURN, **figures):
    return Cue(name="turn", at_s=0.0, kind=kind, priority=Priority.ACTION, figures=Figures(**figures))


def following(**changes):
    turn = action(turn=Turn.LEFT, heading_mag_deg=90.0, course_mag_deg=180.0)
    return stage(**{"name": "following", "cues": (turn,)} | changes)


def cues_of(one, kind, after=None):
    after = following() if after is None else after
    return [cue for cue in with_rhythm(one, {"following": after}).cues if cue.kind is kind]


@pytest.mark.parametrize(
    ("speed_kt", "lead"),
    # A mile takes 3600 s over the speed, and is held between 20 and 40 s.
    [(60.0, 40.0), (90.0, 40.0), (100.0, 36.0), (120.0, 30.0), (150.0, 24.0), (180.0, 20.0), (240.0, 20.0)],
)
def test_an_event_is_prepared_a_mile_before_it_within_limits(speed_kt, lead):
    assert lead_s(stage(timeline=straight(speed_kt=speed_kt)), 100.0) == pytest.approx(lead)


def test_without_a_timeline_it_is_prepared_twenty_seconds_before():
    assert lead_s(stage(timeline=None), 100.0) == 20.0


@pytest.mark.parametrize(
    ("at_s", "called_s", "said_s"),
    [
        (150.0, 120.0, 30.0),  # 120 kt: 30 s before
        (42.1, 12.1, 30.0),  # just room after the stage's own action
        (41.0, 26.0, 15.0),  # no room: half the warning
        (27.1, 12.1, 15.0),
        (26.9, None, None),  # not even that
    ],
)
def test_a_short_stage_has_half_a_warning_or_none(at_s, called_s, said_s):
    found = cues_of(stage(exits=(leaving(at_s),)), CalloutKind.PREPARE)

    assert [cue.at_s for cue in found] == ([] if called_s is None else [pytest.approx(called_s)])
    assert [cue.figures.time_s for cue in found] == ([] if said_s is None else [said_s])
    assert [cue.lead_s for cue in found] == ([] if said_s is None else [pytest.approx(said_s)])


def test_seconds_are_said_in_fives():
    # At 106 kt a mile takes 34.0 s: said as 35.
    (cue,) = cues_of(stage(timeline=straight(speed_kt=106.0), exits=(leaving(150.0),)), CalloutKind.PREPARE)

    assert cue.figures.time_s == 35.0


def test_neither_a_landing_nor_an_end_known_only_by_altitude_is_prepared():
    assert cues_of(stage(phase=Phase.LANDING, exits=(leaving(150.0),)), CalloutKind.PREPARE) == []
    assert cues_of(stage(exits=(leaving(None),)), CalloutKind.PREPARE) == []


def test_a_way_out_has_its_own_event_condition_and_name():
    (staying, going) = cues_of(
        stage(
            exits=(
                leaving(150.0, when=When.STAYING),
                leaving(150.0, when=When.LEAVING, event="turn on to the arc"),
            )
        ),
        CalloutKind.PREPARE,
    )

    assert (staying.figures.event, going.figures.event) == ("the fix", "turn on to the arc")
    assert (staying.when, going.when) == (When.STAYING, When.LEAVING)
    assert staying.name != going.name


def test_what_is_to_be_done_is_taken_from_the_next_stages_first_call():
    (cue,) = cues_of(stage(exits=(leaving(150.0),)), CalloutKind.PREPARE)
    assert (cue.figures.turn, cue.figures.heading_mag_deg) == (Turn.LEFT, 90.0)

    straight_on = following(cues=(action(heading_mag_deg=90.0),))
    (cue,) = cues_of(stage(exits=(leaving(150.0),)), CalloutKind.PREPARE, straight_on)
    # Straight on no heading is prepared.
    assert (cue.figures.turn, cue.figures.heading_mag_deg) == (None, None)


@pytest.mark.parametrize(
    ("own", "to_come", "said"),
    [
        (None, THROUGH_THE_STATION, 180.0),
        (THROUGH_THE_STATION, THROUGH_THE_STATION, None),  # set already
        (CourseFacts(course_mag_deg=90.0, anchor=PlanePoint(0.0, 0.0)), THROUGH_THE_STATION, 180.0),
        (None, BESIDE_IT, None),  # half a mile beside the station: no radial
        (None, CourseFacts(course_mag_deg=180.0, anchor=PlanePoint(0.29, 10.0)), 180.0),
        (None, None, None),
    ],
)
def test_the_course_to_set_is_named_where_the_needle_can_show_it_and_does_not_yet(own, to_come, said):
    (cue,) = cues_of(
        stage(course=own, exits=(leaving(150.0),)), CalloutKind.PREPARE, following(course=to_come)
    )

    assert cue.figures.course_mag_deg == said


@pytest.mark.parametrize(
    ("phase", "climb_ft", "said"),
    [
        (Phase.MISSED, 4000.0, (4000.0, "climb")),
        (Phase.MISSED, 2000.0, (None, None)),  # the altitude climbed to already
        (Phase.INITIAL, 4000.0, (None, None)),
    ],
)
def test_a_climb_to_come_is_prepared_in_the_missed_approach_only(phase, climb_ft, said):
    after = following(phase=phase, cues=(action(altitude_ft=climb_ft),))
    (cue,) = cues_of(stage(exits=(leaving(150.0),)), CalloutKind.PREPARE, after)

    assert (cue.figures.altitude_ft, cue.figures.item) == said


@pytest.mark.parametrize(("at_s", "said"), [(67.9, False), (68.0, True), (150.0, True), (None, True)])
def test_the_next_event_is_named_where_there_is_time_to_hear_it(at_s, said):
    # 8 s after the stage began, 40 s at most of preparation, and 20 s between: 68 s.
    assert bool(cues_of(stage(exits=(leaving(at_s),)), CalloutKind.NEXT)) is said


@pytest.mark.parametrize(
    ("changes", "after_s"),
    [({}, 8.0), ({"turns": True}, 1.0), ({"turns": True, "phase": Phase.MISSED}, 8.0)],
)
def test_the_next_event_is_named_sooner_in_a_turn(changes, after_s):
    (cue,) = cues_of(stage(exits=(leaving(150.0),), **changes), CalloutKind.NEXT)

    assert cue.at_s == after_s
    assert cue.window_s == 15.0
    assert not cue.needs_position


@pytest.mark.parametrize("changes", [{"phase": Phase.FINAL}, {"exits": ()}, {"event": ""}])
def test_no_next_event_on_final_or_where_there_is_none(changes):
    assert cues_of(stage(**{"exits": (leaving(150.0),)} | changes), CalloutKind.NEXT) == []


def test_the_altitude_at_the_next_event_is_the_last_floor_before_it_or_the_legs_own():
    floors = (Floor(altitude_ft=3000.0, until_s=50.0), Floor(altitude_ft=2500.0))

    assert next_figures(stage(floors=floors)).altitude_ft == 2500.0
    assert next_figures(stage()).altitude_ft == 2000.0
    assert next_figures(stage(event_figures=Figures(altitude_ft=1800.0))).altitude_ft == 1800.0
    assert next_figures(stage(phase=Phase.LANDING, floors=floors)).altitude_ft is None


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"phase": Phase.INITIAL}, 180.0),
        ({"phase": Phase.INTERMEDIATE}, None),
        ({"phase": Phase.INTERMEDIATE, "turns": True}, 180.0),
        ({"phase": Phase.MISSED, "turns": True}, None),
        ({"phase": Phase.INITIAL, "course": BESIDE_IT}, None),
    ],
)
def test_the_course_is_named_again_in_the_turn_and_on_a_first_leg(changes, said):
    assert next_figures(stage(**{"course": THROUGH_THE_STATION} | changes)).course_mag_deg == said


@pytest.mark.parametrize(
    ("heading_deg", "turn"),
    [
        (90.0, None),
        (82.1, None),
        (97.9, None),
        (82.0, Turn.RIGHT),  # eight degrees are a turn
        (98.0, Turn.LEFT),
        (300.0, Turn.RIGHT),
        (240.0, Turn.LEFT),
    ],
)
def test_a_first_turn_goes_the_short_way_from_the_heading_flown(heading_deg, turn):
    planned = Figures(turn=Turn.RIGHT, heading_mag_deg=90.0)

    assert turned_from(planned, heading_deg).turn is turn


def test_without_a_heading_to_come_the_planned_turn_stays():
    assert turned_from(Figures(turn=Turn.RIGHT), 90.0).turn is Turn.RIGHT


@pytest.mark.parametrize(
    ("kind", "event", "own", "said"),
    [
        (CalloutKind.TURN, "the fix", None, "the fix"),
        (CalloutKind.CLIMB, "the fix", None, "the fix"),
        (CalloutKind.CHECK, "the fix", None, None),
        (CalloutKind.TURN, "climb", None, None),
        (CalloutKind.TURN, "the fix", "lead radial", "lead radial"),
    ],
)
def test_a_first_action_names_the_event_that_brought_it(kind, event, own, said):
    before = stage(event=event, exits=(leaving(150.0),))
    _, after = with_event_cues([before, following(cues=(action(kind, event=own),))], {})

    assert after.cues[0].figures.event == said


def test_calls_are_in_the_order_of_their_places():
    late = Cue(name="late", at_s=130.0, kind=CalloutKind.CHECK, priority=Priority.PREPARATION)
    found = with_rhythm(stage(cues=(late,), exits=(leaving(150.0),)), {"following": following()})

    assert [cue.at_s for cue in found.cues] == pytest.approx([8.0, 120.0, 130.0])


def test_a_slow_flight_is_reckoned_with_no_less_than_thirty_knots():
    # At 12 kt a mile would take 300 s; at 30 kt 120: both beyond 40.
    assert lead_s(stage(timeline=drawn([(0.0, 5.0), (0.0, 4.967)])), 5.0) == 40.0
