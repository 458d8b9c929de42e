"""What must never happen, whatever is said."""

import pytest
from conftest_events import events, plans
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.dialogue import Dialogue, Prompting
from assistant.engine import core
from assistant.engine.core import Engine, begin, step
from assistant.engine.estimate import floor_ft, obeyed_after_s
from assistant.engine.events import Callout, CalloutKind, Priority, Tick
from assistant.engine.outbox import Outbox
from assistant.language.phraseology import words
from assistant.language.transcript import Transcript

SLOW = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)

# Kinds that send the aircraft to an altitude, or hold it there.
GOES_TO = {
    CalloutKind.DESCEND,
    CalloutKind.FINAL_DESCENT,
    CalloutKind.MAINTAIN,
    CalloutKind.LEVEL_OFF,
    CalloutKind.MINIMUM,
    CalloutKind.NEAR_MINIMUM,
    CalloutKind.FLOOR,
    CalloutKind.HEIGHT_CHECK,
}


@SLOW
@given(st.data())
def test_no_sequence_of_events_raises_and_every_callout_can_be_said(data):
    plan = data.draw(plans())
    engine = Engine(plan)

    for event in data.draw(events(plan)):
        for output in engine.handle(event):
            if isinstance(output, Callout):
                assert words(output)


def floors_of(state):
    """Every altitude that may bind in the stage that the flight is in."""
    stage = state.stage
    sectors = {sector.minimum_altitude_ft for sector in state.plan.procedure.sectors}
    before = state.confirmed.stage.floors if state.confirmed is not None else ()
    return (
        {floor.altitude_ft for floor in (*stage.floors, *before)}
        | {stage.floor_until_established_ft, state.floor_carried_ft}
        | sectors
    )


class WatchedOutbox(Outbox):
    """Compares every altitude called with the floor in force at that moment, before the state moves on."""

    def say(self, state, t_s, kind, priority, cue, figures=None, **waits):
        super().say(state, t_s, kind, priority, cue, figures, **waits)
        called_ft = self.outputs[-1].figures.altitude_ft
        if kind is CalloutKind.BELOW_FLOOR:
            # Judged by the report's own place, so it names a floor of the stage, not the one of dead
            # reckoning.
            assert called_ft in floors_of(state)
        if kind not in GOES_TO or called_ft is None:
            return
        # A report's own moment may be a few seconds before it arrived: what held then is what it is
        # answered by. A descent is obeyed when its words are over.
        descends = kind in (CalloutKind.DESCEND, CalloutKind.FINAL_DESCENT, CalloutKind.FLOOR)
        moments = {t_s, state.observed_s if state.observed_s is not None else t_s}
        floors = [floor_ft(state, moment + descends * obeyed_after_s(kind)) for moment in moments]
        if None not in floors:
            assert called_ft >= min(floors) - 0.5, (kind, cue, called_ft, floors, state.stage_name)


@SLOW
@given(st.data())
def test_no_callout_names_an_altitude_below_the_floor_in_force(data):
    plan = data.draw(plans())
    state = begin(plan)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(core, "Outbox", WatchedOutbox)
        for event in data.draw(events(plan)):
            state, _ = step(state, event)


@SLOW
@given(st.data())
def test_extra_ticks_change_nothing(data):
    plan = data.draw(plans())
    flight = data.draw(events(plan, most=12))
    shares = data.draw(st.lists(st.floats(0.0, 1.0), max_size=4))
    plain, ticked = Engine(plan), Engine(plan)
    said_plain, said_ticked = [], []
    reached_s = 0.0

    for event in flight:
        said_plain.extend(plain.handle(event))
        for share in sorted(shares):
            said_ticked.extend(ticked.handle(Tick(t_s=reached_s + share * (event.t_s - reached_s))))
        said_ticked.extend(ticked.handle(event))
        reached_s = event.t_s

    assert said_ticked == said_plain


@SLOW
@given(st.data())
def test_handling_the_same_events_again_says_the_same(data):
    plan = data.draw(plans())
    flight = data.draw(events(plan, most=12))
    first, second = Engine(plan), Engine(plan)

    assert [first.handle(event) for event in flight] == [second.handle(event) for event in flight]


@SLOW
@given(st.data())
def test_nothing_is_spoken_after_its_moment_and_what_is_not_said_is_noted(data):
    plan = data.draw(plans())
    dialogue = Dialogue(plan)
    now_s, decided, spoken, unsaid = 0.0, 0, 0, 0

    for _ in range(data.draw(st.integers(1, 20))):
        now_s += data.draw(st.floats(0.0, 40.0))
        text = data.draw(
            st.sampled_from(
                ["16.4 4800", "R345 20.0 DME 4000", "established", "next", "visual", "mumble", "12"]
            )
        )
        heard = Transcript(text=text, started_t_s=now_s, ended_t_s=now_s)
        decided += sum(isinstance(happening, Callout) for happening in dialogue.receive(heard, now_s))
        now_s += data.draw(st.floats(0.0, 15.0))
        decided += sum(isinstance(happening, Callout) for happening in dialogue.tick(now_s))
        while (utterance := dialogue.next_words(now_s)) is not None:
            assert utterance.callout.expires_t_s >= now_s
            spoken += 1
        unsaid += len(dialogue.take_unsaid())

    assert spoken + unsaid == decided


@SLOW
@given(st.data())
def test_safety_is_said_at_every_prompting(data):
    plan = data.draw(plans())
    flight = data.draw(events(plan))
    for prompting in Prompting:
        dialogue = Dialogue(plan, prompting)
        for event in flight:
            outputs = dialogue.engine.handle(event)
            for output in outputs:
                if isinstance(output, Callout) and output.priority is Priority.SAFETY:
                    assert dialogue._is_wanted(output)


@SLOW
@given(st.data())
def test_every_callout_that_names_a_level_carries_its_datum(data):
    plan = data.draw(plans())
    engine = Engine(plan)

    for event in data.draw(events(plan)):
        for output in engine.handle(event):
            if isinstance(output, Callout) and (
                output.figures.indicated_ft is not None or output.figures.altitude_ft is not None
            ):
                assert output.figures.datum is not None


@SLOW
@given(st.data())
def test_the_wake_up_time_is_ahead_and_waking_then_makes_progress(data):
    plan = data.draw(plans())
    engine = Engine(plan)

    for event in data.draw(events(plan)):
        engine.handle(event)
        wake_s = engine.wake_at_s
        assert wake_s is None or wake_s > event.t_s
