"""One channel, as in a cockpit: who may speak when, and what of it is heard."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from driver import ROOT

from assistant.conversation import Conversation
from assistant.dialogue import Dialogue, Utterance
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.events import Callout, CalloutKind, Figures, Priority
from assistant.language.phraseology import spoken_duration_s
from assistant.procedure.load import load_procedure
from assistant.simulation.case import crew_of, draw
from assistant.simulation.flight import Channel, as_typed, fly
from assistant.simulation.reading import saying_s

LONG = "Next: course two four three, final approach fix at six DME, two thousand QNH."


def utterance(text, priority):
    callout = Callout(
        t_s=0.0, expires_t_s=1e6, kind=CalloutKind.NEXT, priority=priority, cue="any", figures=Figures()
    )
    return Utterance(t_s=0.0, text=text, short=text, callout=callout)


class Script:
    """A conversation that has been given what is to be said, and a pilot that notes what is heard."""

    def __init__(self):
        self.waiting, self.received, self.ticked = [], [], []
        self.heard, self.cut = [], []
        self.wake_at_s = None
        pilot = SimpleNamespace(
            hear=lambda text, t_s: self.heard.append((t_s, text)), cut_off=self.cut.append
        )
        self.channel = Channel(self, pilot, [], as_typed)

    def is_waiting_above(self, priority, _):
        return any(each.callout.priority < priority for each in self.waiting)

    def next_words(self, _):
        self.waiting.sort(key=lambda each: each.callout.priority)
        return (self.waiting.pop(0) if self.waiting else None), ()

    def hear(self, transcript, now_s):
        self.received.append((now_s, transcript.text, transcript.started_t_s))
        return ()

    def pass_time(self, now_s):
        self.ticked.append(now_s)
        self.wake_at_s = None
        return ()

    def say(self, text, priority, at_s):
        """Something comes due at a moment."""
        self.waiting.append(utterance(text, priority))
        self.wake_at_s = at_s


def test_words_take_their_time_and_the_next_wait_for_their_end():
    script = Script()
    script.say(LONG, Priority.PREPARATION, 1.0)
    script.say("Check needle.", Priority.PREPARATION, 1.0)
    for t_s in range(1, 12):
        script.channel.advance(float(t_s))

    (first_s, first), (second_s, second) = script.heard
    assert (first_s, first, second) == (1.0, LONG, "Check needle.")
    assert spoken_duration_s(LONG) <= second_s - first_s < spoken_duration_s(LONG) + 1.0
    assert script.cut == []


def test_an_action_cuts_a_preparation_short_and_what_was_not_said_is_not_heard():
    script = Script()
    script.say(LONG, Priority.PREPARATION, 1.0)
    script.channel.advance(1.0)
    script.say("Turn right heading two four zero.", Priority.ACTION, 3.0)
    script.channel.advance(3.0)

    assert script.cut == [3.0]
    assert script.heard[-1] == (3.0, "Turn right heading two four zero.")


@pytest.mark.parametrize(("priority", "is_said"), [(Priority.ACTION, False), (Priority.SAFETY, True)])
def test_while_the_pilot_speaks_only_safety_is_said(priority, is_said):
    script = Script()
    script.channel.begin("radial 042 12.1 DME 4800", 1.0)  # 4.8 s
    script.say("Go around.", priority, 2.0)
    script.channel.advance(2.0)

    assert bool(script.heard) is is_said


def test_a_report_arrives_when_it_was_said_and_is_as_of_when_it_was_begun():
    script, words = Script(), "range 12.1 passing 4800"
    script.channel.begin(words, 10.0)
    over_s = 10.0 + saying_s(words)
    for t_s in range(11, 17):
        script.channel.advance(float(t_s))

    assert script.received == [(over_s, words, 10.0)]
    assert not Script().received


def test_nobody_else_is_free_to_speak_before_the_words_are_over():
    script = Script()
    script.say(LONG, Priority.PREPARATION, 1.0)
    script.channel.advance(1.0)
    over_s = 1.0 + spoken_duration_s(LONG)

    assert not script.channel.is_free(over_s - 0.1)
    assert script.channel.is_free(over_s)


def test_a_flight_is_over_on_the_runway_though_nobody_heard_landed():
    name = "teskel-vortac-06"
    procedure = load_procedure((ROOT / f"procedures/{name}.yaml").read_text(encoding="utf-8"), name)
    case = replace(draw(procedure, Conditions(), 3, wind_is_random=True, any_category=True), ending="land")

    def deaf_to_landed(text, started_s, ended_s):
        return as_typed("wind" if text == "landed" else text, started_s, ended_s)

    plan = compile_plan(procedure, case.conditions)
    crew = crew_of(plan, case)
    flown = fly(Conversation(Dialogue(plan)), crew.aircraft, crew.pilot, crew.first_fix, ears=deaf_to_landed)

    on_runway_s = sum(sample.altitude_ft <= 512.0 + 30.0 for sample in flown.samples)
    assert flown.ended == "landed"
    assert on_runway_s <= 32  # half a minute, second by second
