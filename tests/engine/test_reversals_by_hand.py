"""Procedure turns of both forms and their altitudes, flown on paper in still air; by hand from the charts."""

from math import atan, degrees, radians, tan

import pytest

from assistant.engine.compile_reversal import outbound_track
from assistant.engine.events import CalloutKind, Said, Turn
from assistant.engine.plan import Phase, PlanError, When
from assistant.engine.triggers import TimeElapsed
from assistant.engine.turning_away import inbound_turn
from assistant.procedure.model import Category


@pytest.fixture
def quorrel(plan):
    """Out on 020 over the station for 75 s (A, B), 45 degrees left to 335, back on 200; category B."""
    return plan("quorrel-vor-dme-20", category=Category.B)


@pytest.fixture
def sarnet(plan):
    """Out on 072 from DALBO for a minute, 80 degrees right to 152, back on 252; category C, 210 kt."""
    return plan("sarnet-tacan-25")


def turn_s(angle_deg, tas_kt):
    """At rate one, or 25 degrees of bank where that turns slower: g tan b / V."""
    v_m_s = tas_kt * 1852.0 / 3600.0
    bank_deg = min(25.0, degrees(atan(radians(3.0) * v_m_s / 9.80665)))
    return radians(angle_deg) * v_m_s / (9.80665 * tan(radians(bank_deg)))


def cue(stage, name):
    return next(cue for cue in stage.cues if cue.name == name)


def test_the_outbound_leg_is_timed_from_over_the_fix(quorrel, sarnet):
    for plan, time_s, course_deg in ((quorrel, 75.0, 20.0), (sarnet, 60.0, 72.0)):
        out = plan.stage("outbound_0")
        first, last = out.timeline.points[0], out.timeline.points[-1]

        assert out.timeline.duration_s == pytest.approx(time_s)
        assert out.exits[0].trigger == TimeElapsed(time_s=time_s)
        assert out.exits[0].to == "procedure_turn_0"
        length_nm = out.tas_kt * time_s / 3600.0
        assert last.north_nm - first.north_nm == pytest.approx(
            length_nm / (1.0 + tan(radians(course_deg)) ** 2) ** 0.5, abs=0.01
        )
        assert out.course.course_mag_deg == course_deg
        assert (out.event, out.phase, out.joined_by) == ("procedure turn", Phase.INITIAL, (Said.OUTBOUND,))
        # Straight on from the hold's inbound course: no turn.
        assert (out.turns, out.free_turn, out.cues[0].figures.turn) == (False, False, None)
        assert out.cues[0].figures.course_mag_deg == course_deg


def test_the_45_degree_turn_is_a_leg_timed_from_its_beginning(quorrel, plan):
    turn = quorrel.stage("procedure_turn_0")

    # 45 degrees to the left of 020: 335. A minute for categories A and B, a minute and a quarter for C and D.
    assert turn.cues[0].figures.heading_mag_deg == pytest.approx(335.0)
    assert turn.cues[0].figures.turn is Turn.LEFT
    assert turn.cues[0].kind is CalloutKind.OUTBOUND
    assert turn.timeline.turn_end_s == pytest.approx(turn_s(45.0, turn.tas_kt), abs=0.05)
    assert turn.timeline.duration_s == pytest.approx(60.0)
    assert turn.exits[0].trigger == TimeElapsed(time_s=60)
    fast = plan("quorrel-vor-dme-20", category=Category.C).stage("procedure_turn_0")
    assert fast.timeline.duration_s == pytest.approx(75.0)


def test_the_80_degree_turn_goes_straight_into_the_turn_back(sarnet):
    turn = sarnet.stage("procedure_turn_0")

    assert turn.cues[0].figures.heading_mag_deg == pytest.approx(152.0)
    assert turn.cues[0].figures.turn is Turn.RIGHT
    assert turn.timeline.duration_s == pytest.approx(turn_s(80.0, turn.tas_kt), abs=0.05)
    assert turn.timeline.duration_s == turn.timeline.turn_end_s
    assert (turn.event, turn.exits[0].to, turn.joined_by) == ("inbound turn", "course_1", (Said.TURNING,))


def test_the_turn_back_is_the_other_way(quorrel, sarnet):
    assert quorrel.stage("course_1").cues[0].figures.turn is Turn.RIGHT
    assert sarnet.stage("course_1").cues[0].figures.turn is Turn.LEFT
    assert inbound_turn(quorrel.procedure.legs[0]) is Turn.RIGHT
    assert inbound_turn(sarnet.procedure.legs[0]) is Turn.LEFT


def test_of_a_racetrack_or_base_turn_the_turn_back_is_the_charts(procedure):
    assert inbound_turn(procedure("ulvane-vor-dme-35").legs[0]) is Turn.RIGHT
    assert inbound_turn(procedure("lunmar-vor-dme-10").legs[0]) is Turn.RIGHT


def test_the_altitude_of_the_turn_is_called_in_it_and_the_next_waits_for_established(quorrel):
    back = quorrel.stage("course_1")
    in_turn, then = cue(back, "descend in the turn"), cue(back, "descend")

    # The chart: 3,600 outbound, 3,000 in the turn, 2,400 when established.
    assert quorrel.stage("outbound_0").floors[0].altitude_ft == 3600.0
    assert quorrel.stage("procedure_turn_0").floors[0].altitude_ft == 3600.0
    assert (in_turn.figures.altitude_ft, in_turn.at_s, in_turn.when) == (3000.0, 4.0, When.ALWAYS)
    assert (then.figures.altitude_ft, then.at_s, then.when) == (2400.0, 0.0, When.ESTABLISHED)
    assert (in_turn.descends, then.descends) == (True, True)
    assert back.floor_until_established_ft == 3000.0
    assert [floor.altitude_ft for floor in back.floors] == [2400.0]


def test_the_descent_to_the_outbound_altitude_is_called_as_the_leg_begins(quorrel):
    # From 4,500 in the hold to 3,600; eight seconds past the station, over which no needle tells the moment.
    descent = cue(quorrel.stage("outbound_0"), "descend")

    assert (descent.figures.altitude_ft, descent.at_s, descent.when) == (3600.0, 8.0, When.ALWAYS)


def test_a_category_without_an_outbound_track_is_refused(procedure):
    leg = procedure("quorrel-vor-dme-20").legs[0]

    assert outbound_track(leg, Category.D).time_s == 60.0
    with pytest.raises(PlanError, match="publishes no outbound track for category E"):
        outbound_track(leg, Category.E)


def test_the_way_back_leads_over_the_fix_at_its_range(sarnet):
    back = sarnet.stage("course_1")

    # DALBO at 7 DME on radial 072, where the final begins.
    assert back.timeline.dmes_nm[-1] == pytest.approx(7.0, abs=0.01)
    assert back.timeline.radials_deg[-1] == pytest.approx(72.0, abs=0.05)
    assert (back.phase, back.passed_fix, back.turns, back.free_turn) == (
        Phase.INTERMEDIATE,
        "DALBO",
        True,
        False,
    )
