"""Whatever comes due, however a pilot talks and slow a voice is: one voice, in time, safety at once."""

import asyncio
import itertools
from types import SimpleNamespace

from driver import Flight
from hypothesis import given, settings
from hypothesis import strategies as st
from jumping_clock import JumpingClock

from assistant.conversation import Conversation, replay
from assistant.dialogue import Dialogue
from assistant.engine.events import Callout, CalloutKind, Figures, Priority
from assistant.flight_log import NotSpoken
from assistant.language.phraseology import words as words_of
from assistant.session import Session, Talking, VoiceLate

PLAN = Flight("procedures/skarrow-tacan-24.yaml").plan
END_S = 120.0


class DueEngine:
    """Decides each callout at its moment, so that the queue, not the flying, is what a scene is made of."""

    def __init__(self, callouts):
        self._left = sorted(callouts, key=lambda callout: callout.t_s)
        self.state = SimpleNamespace(reached_s=-1.0)

    @property
    def wake_at_s(self):
        return self._left[0].t_s if self._left else None

    def handle(self, event):
        self.state.reached_s = event.t_s
        due = tuple(callout for callout in self._left if callout.t_s <= event.t_s)
        self._left = self._left[len(due) :]
        return due


class UnevenVoice:
    """Needs some time to begin and some to speak, anew for each callout; keeps when what sounded."""

    def __init__(self, clock, paces):
        self._clock = clock
        self._paces = paces
        self.asked = 0
        self.sounded = []

    async def say(self, words, *, within_s):
        to_begin_s, to_speak_s = self._paces[self.asked % len(self._paces)]
        self.asked += 1
        await self._clock.sleep_until(self._clock.now_s() + to_begin_s)
        if to_begin_s > within_s:
            raise VoiceLate
        begin_s, is_whole = self._clock.now_s(), False
        try:
            await self._clock.sleep_until(begin_s + to_speak_s)
            is_whole = True
        finally:
            self.sounded.append((words, begin_s, self._clock.now_s(), is_whole))


def tenths(most):
    return st.integers(0, most).map(lambda tenth: tenth / 10)


@st.composite
def scenes(draw):
    callouts = [
        Callout(
            t_s=1.0 + t_s,
            expires_t_s=1.0 + t_s + shelf_s,
            kind=CalloutKind.TEXT,
            priority=priority,
            cue="scene",
            figures=Figures(text=f"Number {number}."),
        )
        for number, (t_s, shelf_s, priority) in enumerate(
            draw(
                st.lists(
                    st.tuples(tenths(400), tenths(100), st.sampled_from(Priority)), min_size=2, max_size=14
                )
            )
        )
    ]
    # Off the tenths on which callouts are due, so that which of two comes first is never a matter of chance.
    changes = draw(st.lists(tenths(450), max_size=8, unique=True).map(sorted))
    talks = [(t_s + 0.05, number % 2 == 0) for number, t_s in enumerate(changes)]
    if len(talks) % 2:
        talks.append((50.05, False))
    paces = draw(st.lists(st.tuples(tenths(8), tenths(60).map(lambda s: s + 0.33)), min_size=1, max_size=5))
    return callouts, talks, paces


def flown(callouts, talks, paces):
    """What sounded when, and the records."""

    async def pilot(clock):
        for t_s, is_talking in talks:
            await clock.sleep_until(t_s)
            yield Talking(is_talking=is_talking)
        await clock.sleep_until(END_S)

    async def flight():
        clock = JumpingClock()
        voice, records = UnevenVoice(clock, paces), []
        session = Session(
            Conversation(dialogue(callouts)),
            sources=[pilot(clock)],
            clock=clock,
            watch=records.extend,
            voice=voice,
        )
        running = asyncio.create_task(clock.run())
        try:
            await session.run()
        finally:
            running.cancel()
        return voice.sounded, records

    return asyncio.run(flight())


def dialogue(callouts):
    made = Dialogue(PLAN)
    made._engine = DueEngine(callouts)
    return made


@settings(deadline=None, max_examples=100)
@given(scenes())
def test_one_voice_in_time_safety_at_once_and_nothing_lost(scene):
    callouts, talks, paces = scene
    by_words = {words_of(callout): callout for callout in callouts}

    sounded, records = flown(callouts, talks, paces)

    for (_, _, end_s, _), (_, begin_s, _, _) in itertools.pairwise(sounded):
        assert end_s <= begin_s, "two sounded at once"
    for words, begin_s, end_s, _ in sounded:
        callout = by_words[words]
        assert callout.t_s <= begin_s <= callout.expires_t_s + 1e-6, "spoken outside its moment"
        if callout.priority is Priority.SAFETY:
            continue
        for safety in callouts:
            is_during = safety.priority is Priority.SAFETY and begin_s < safety.t_s < end_s
            assert not is_during, "safety did not cut it off"
        for (from_s, _), (to_s, _) in zip(talks[::2], talks[1::2], strict=True):
            assert end_s <= from_s or begin_s >= to_s, "spoken while the pilot talks"
    # Each was said to its end once, or the log says why not; what was cut short may be both.
    whole = [words for words, _, _, is_whole in sounded if is_whole]
    unspoken = {words_of(record.callout) for record in records if isinstance(record, NotSpoken)}
    assert len(whole) == len(set(whole))
    assert set(whole) | unspoken == set(by_words)
    assert list(replay(Conversation(dialogue(callouts)), records)) == records


def test_safety_whose_moment_has_passed_does_not_open_the_way_for_less_while_the_pilot_talks():
    """Found by the property: three callouts at 1.0 s, of which two are of safety and for that moment only."""

    def due(number, priority, shelf_s):
        return Callout(
            t_s=1.0,
            expires_t_s=1.0 + shelf_s,
            kind=CalloutKind.TEXT,
            priority=priority,
            cue="scene",
            figures=Figures(text=f"Number {number}."),
        )

    callouts = [due(0, Priority.SAFETY, 0.0), due(1, Priority.SAFETY, 0.0), due(2, Priority.ACTION, 10.0)]

    sounded, _ = flown(callouts, [(0.05, True), (50.05, False)], [(0.0, 0.33)])

    assert [words for words, *_ in sounded] == ["Number zero."]
