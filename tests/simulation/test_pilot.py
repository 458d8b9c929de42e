"""When the scripted pilot says that the runway is in sight: soon after the question, or before it unasked."""

from dataclasses import replace
from random import Random

import pytest
from driver import ROOT

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Datum
from assistant.simulation.aircraft import Controls
from assistant.simulation.case import crew_of, draw
from assistant.simulation.habits import STEADY
from assistant.simulation.hands import Hands
from assistant.simulation.panel import Panel
from assistant.simulation.understanding import ChangeLevel, Steer

ASKED = "Minimum, five hundred QNH. Visual?"  # six words, 2.3 s at the 2.6 words a second of a voice
NEAR = "Missed approach point in two five seconds. Then climb four thousand QNH."
GOING_AROUND = "Missed approach point. Go around. Climb four thousand QNH."


def said_by(ending, *heard, for_s=30):
    """What a steady pilot says, second by second, who hears texts at moments, from ten miles out."""
    name = "teskel-vortac-06"
    procedure = load_procedure((ROOT / f"procedures/{name}.yaml").read_text(encoding="utf-8"), name)
    case = draw(procedure, Conditions(), 1, wind_is_random=False, any_category=False)
    case = replace(case, habits=STEADY, ending=ending)
    plan = compile_plan(procedure, case.conditions)
    crew = crew_of(plan, case)
    panel = Panel(motion=crew.aircraft.motion, procedure=procedure, datum=Datum.QNH, qnh_hpa=1013.25)
    said = []
    for t_s in range(1, for_s):
        for text, begun_s in heard:
            if begun_s == t_s:
                crew.pilot.hear(text, t_s)
        crew.pilot.advance(t_s, panel)
        words = crew.pilot.speak(t_s, panel)
        if words is not None and "DME" not in words:
            said.append((t_s, words))
    return said


@pytest.mark.parametrize(("ending", "answer"), [("land", "visual"), ("go around", "going around")])
def test_the_question_at_the_minimum_is_answered_a_reaction_after_its_last_word(ending, answer):
    # Two seconds' reaction, times 0.8 to 1.3, after 2.3 s of words, at the next whole second.
    ((t_s, words),) = said_by(ending, (ASKED, 5))

    assert words == answer
    assert 5 + 2.3 + 1.6 <= t_s <= 5 + 2.3 + 2.6 + 1.0


@pytest.mark.parametrize(("ending", "answer"), [("land", "visual"), ("go around", "going around")])
def test_so_is_the_request_to_report_visual(ending, answer):
    ((t_s, words),) = said_by(ending, ("Report visual.", 5))

    assert words == answer
    assert 5 + 0.7 + 1.6 <= t_s <= 5 + 0.8 + 2.6 + 1.0  # two words, 0.8 s


def test_a_course_named_for_the_leg_being_flown_is_set_whatever_the_needle_was_left_at():
    controls = Controls(
        heading_mag_deg=40.0, turn=None, bank_deg=25.0, altitude_ft=3500.0, vertical_fpm=0.0, ias_kt=110.0
    )
    random = Random(1)  # noqa: S311 - repeatable, not secret
    hands = Hands(controls, STEADY, random, sink_fpm=700.0, climb_fpm=700.0)
    hands.set_course(280.0, this_leg=False)
    hands.turn(Steer(heading_mag_deg=285.0, turn="right"))
    assert hands.course_mag_deg == 280.0
    # Straight on out of the hold, to a heading only, and then the course of that leg.
    hands.turn(Steer(heading_mag_deg=250.0))
    hands.set_course(269.0, this_leg=True)
    assert hands.course_mag_deg == 269.0
    # Of a course that the heading has nothing to do with, nothing is set.
    hands.set_course(100.0, this_leg=True)
    assert hands.course_mag_deg == 269.0


def test_who_is_late_with_a_heading_does_not_turn_back_for_it_once_a_later_one_is_flown():
    name = "teskel-vortac-06"
    procedure = load_procedure((ROOT / f"procedures/{name}.yaml").read_text(encoding="utf-8"), name)
    case = replace(draw(procedure, Conditions(), 1, wind_is_random=False, any_category=False), habits=STEADY)
    crew = crew_of(compile_plan(procedure, case.conditions), case)
    panel = Panel(motion=crew.aircraft.motion, procedure=procedure, datum=Datum.QNH, qnh_hpa=1013.25)
    # The first is turned to eight seconds late, after the second.
    late = replace(STEADY, turns_late=1.0)
    crew.pilot.habits = late
    crew.pilot.hear("Turn left heading two eight zero.", 1)
    crew.pilot.habits = STEADY
    crew.pilot.hear("Turn right heading one three five.", 2)
    for t_s in range(1, 30):
        crew.pilot.advance(t_s, panel)

    assert crew.pilot.controls.heading_mag_deg == pytest.approx(135.0, abs=8.0)


def test_a_pilot_who_sees_the_runway_says_so_before_the_missed_approach_point_without_being_asked():
    ((t_s, words),) = said_by("land", (NEAR, 1))

    assert words == "visual"
    assert t_s < 1 + 25 - 5  # and five seconds are left for the words and for being understood


@pytest.mark.parametrize("ending", ["go around", "nothing"])
def test_a_pilot_who_sees_nothing_does_not_say_so(ending):
    assert said_by(ending, (NEAR, 1)) == []


def test_one_who_is_asked_after_having_been_told_answers_once():
    assert [words for _, words in said_by("land", (NEAR, 1), (ASKED, 4))] == ["visual"]


def test_the_missed_approach_itself_is_not_the_news_that_it_is_near():
    assert said_by("land", (GOING_AROUND, 1)) == []


@pytest.mark.parametrize(
    ("asked_back", "answer"),
    [
        ("Say again, heard visual?", "affirm"),
        ("Say again, heard runway in sight?", "affirm"),
        ("Say again, heard going around?", "visual"),
    ],
)
def test_a_statement_asked_back_is_affirmed_if_it_was_meant_and_said_again_if_not(asked_back, answer):
    said = said_by("land", (ASKED, 5), (asked_back, 12))

    assert [words for _, words in said] == ["visual", answer]


HOLD_AHEAD = "Hold KEBRA in two zero seconds. Then direct entry."
INBOUND = "Inbound heading zero seven zero."
LEAVING = "Leaving at the fix."


@pytest.mark.parametrize(
    ("acknowledged", "times"), [(((LEAVING, 30),), 1), ((), 2)], ids=["acknowledged", "unheard"]
)
def test_leaving_is_said_on_every_inbound_leg_until_it_is_acknowledged(acknowledged, times):
    said = said_by("land", (HOLD_AHEAD, 2), (INBOUND, 15), *acknowledged, (INBOUND, 45), for_s=70)

    assert [words for _, words in said].count("leaving") == times


@pytest.mark.parametrize(("told_ft", "rate_fpm"), [(2900.0, 0.0), (3500.0, 700.0)])
def test_who_is_told_to_climb_to_a_level_below_does_not_go_down_to_it(told_ft, rate_fpm):
    name = "teskel-vortac-06"
    procedure = load_procedure((ROOT / f"procedures/{name}.yaml").read_text(encoding="utf-8"), name)
    case = draw(procedure, Conditions(), 1, wind_is_random=False, any_category=False)
    motion = replace(
        crew_of(compile_plan(procedure, case.conditions), case).aircraft.motion, altitude_ft=3200.0
    )
    panel = Panel(motion=motion, procedure=procedure, datum=Datum.QNH, qnh_hpa=1013.25)
    controls = Controls(
        heading_mag_deg=40.0, turn=None, bank_deg=25.0, altitude_ft=3200.0, vertical_fpm=0.0, ias_kt=110.0
    )
    random = Random(1)  # noqa: S311 - repeatable, not secret
    hands = Hands(controls, STEADY, random, sink_fpm=700.0, climb_fpm=700.0)
    hands.change_level(ChangeLevel(way="climb", indicated_ft=told_ft), panel)
    hands.keep_level(panel)

    assert controls.vertical_fpm == rate_fpm
    assert controls.altitude_ft == pytest.approx(max(told_ft, 3200.0), abs=60.0)
