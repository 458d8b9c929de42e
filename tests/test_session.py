"""The shell keeps time, logs before anything else, lets the urgent interrupt, and ends politely."""

import asyncio

import pytest
from jumping_clock import JumpingClock
from scripted_dialogue import ScriptedDialogue, callout, typed

from assistant.conversation import Conversation, replay
from assistant.engine.events import Priority, Tick
from assistant.flight_log import Heard, NotSpoken, Spoken
from assistant.language.transcript import Transcript
from assistant.session import Session, VoiceLate, VoiceLost


class SlowVoice:
    """Takes three seconds for anything, and keeps what was said to the end and what was cut short."""

    def __init__(self, clock):
        self._clock = clock
        self.heard = []

    async def say(self, words, *, within_s):  # noqa: ARG002  # always in time
        try:
            await self._clock.sleep_until(self._clock.now_s() + 3.0)
        except asyncio.CancelledError:
            self.heard.append(f"{words} --")
            raise
        self.heard.append(words)


class BrokenVoice(SlowVoice):
    """Fails in its first words, one after another, as given."""

    def __init__(self, clock, failures):
        super().__init__(clock)
        self._failures = list(failures)

    async def say(self, words, *, within_s):
        if self._failures:
            raise self._failures.pop()
        await super().say(words, within_s=within_s)


def fly(dialogue, lines, *, slow=False, early_s=0.0, then=None, failures=(), told=None):
    """
    The records of a flight in which lines of (time, text) are typed, and what a slow voice said.

    A line of (time, True) or (time, False) is the pilot beginning or ending to talk.
    """

    async def source(clock):
        async for line in typed(clock, lines):
            yield line
        if then is not None:
            await then(clock)

    async def flight():
        clock = JumpingClock(early_s)
        voice = SlowVoice(clock) if not failures else BrokenVoice(clock, failures)
        records = []
        session = Session(
            Conversation(dialogue),
            sources=[source(clock)],
            clock=clock,
            watch=records.extend,
            voice=voice if slow else None,
            tell=[].append if told is None else told.append,
        )
        running = asyncio.create_task(clock.run())
        try:
            await session.run()
        finally:
            running.cancel()
        return records, voice.heard

    return asyncio.run(flight())


def spoken_in(records):
    return [(record.t_s, record.text) for record in records if isinstance(record, Spoken)]


def test_what_is_due_is_said_when_it_is_due_without_any_input():
    dialogue = ScriptedDialogue(due={5.0: [(Priority.ACTION, "Turn.")], 8.0: [(Priority.ACTION, "Go.")]})

    records, _ = fly(dialogue, [(20.0, "mumble")])

    assert spoken_in(records) == [(5.0, "Turn."), (8.0, "Go.")]


def test_a_report_is_recorded_before_anything_is_made_of_it():
    class Broken(ScriptedDialogue):
        def receive(self, _transcript, _now_s):
            raise ArithmeticError

    records = []

    async def flight():
        async def typed():
            yield Transcript(text="16.4", started_t_s=0.0, ended_t_s=0.0)

        await Session(
            Conversation(Broken()), sources=[typed()], clock=JumpingClock(), watch=records.extend
        ).run()

    with pytest.raises(ArithmeticError):
        asyncio.run(flight())
    assert [record.transcript.text for record in records if isinstance(record, Heard)] == ["16.4"]


def test_a_timer_that_wakes_early_still_brings_the_moment_it_was_set_for():
    dialogue = ScriptedDialogue(due={5.0: [(Priority.ACTION, "Turn.")]})

    records, _ = fly(dialogue, [(20.0, "mumble")], early_s=0.25)

    assert records[0] == Tick(t_s=5.0)
    assert spoken_in(records) == [(5.0, "Turn.")]


def test_more_urgent_words_cut_less_urgent_ones_short():
    dialogue = ScriptedDialogue(
        due={5.0: [(Priority.ANSWER, "A long answer.")], 6.0: [(Priority.SAFETY, "Climb.")]},
    )

    records, heard = fly(dialogue, [(20.0, "mumble")], slow=True)

    assert heard == ["A long answer. --", "Climb."]
    assert spoken_in(records) == [(5.0, "A long answer."), (6.0, "Climb.")]
    cut_short = NotSpoken(
        t_s=6.0,
        callout=callout("A long answer.", 5.0, Priority.ANSWER),
        reason="cut short by something more urgent",
    )
    assert cut_short in records


def test_equally_or_less_urgent_words_wait_for_the_voice():
    dialogue = ScriptedDialogue(due={5.0: [(Priority.ACTION, "Turn.")], 6.0: [(Priority.ACTION, "Descend.")]})

    records, heard = fly(dialogue, [(20.0, "mumble")], slow=True)

    assert heard == ["Turn.", "Descend."]
    assert spoken_in(records) == [(5.0, "Turn."), (8.0, "Descend.")]


def test_what_the_voice_could_not_get_to_in_time_is_not_said():
    dialogue = ScriptedDialogue(due={5.0: [(Priority.ACTION, f"{n}.") for n in range(6)]})

    records, heard = fly(dialogue, [(30.0, "mumble")], slow=True)

    assert heard == [
        "0.",
        "1.",
        "2.",
        "3.",
    ]  # three seconds each; at 17 s what was due at 5 s is older than ten
    assert [record.callout.cue for record in records if isinstance(record, NotSpoken)] == ["4.", "5."]


def test_the_end_of_input_lets_the_last_words_be_finished():
    dialogue = ScriptedDialogue(answers={"next": [(Priority.ANSWER, "Next: arc.")]})

    _, heard = fly(dialogue, [(2.0, "next")], slow=True)

    assert heard == ["Next: arc."]


def test_the_end_of_input_does_not_wait_for_what_is_not_due():
    dialogue = ScriptedDialogue(due={5000.0: [(Priority.ACTION, "Turn.")]})

    records, _ = fly(dialogue, [(2.0, "mumble")])

    assert spoken_in(records) == []


def test_a_source_that_fails_is_no_quiet_end():
    async def fail(_clock):
        raise ConnectionError("the keyboard is gone")

    with pytest.raises(ConnectionError):
        fly(ScriptedDialogue(), [(2.0, "mumble")], then=fail)


def test_a_live_flight_replays_from_its_log():
    def dialogue():
        return ScriptedDialogue(
            due={
                5.0: [(Priority.ACTION, "Turn.")],
                8.0: [(Priority.ACTION, "Go."), (Priority.SAFETY, "Climb.")],
            },
            answers={"next": [(Priority.ANSWER, "Next: arc.")]},
        )

    records, _ = fly(dialogue(), [(2.0, "next"), (5.0, "next"), (20.0, "mumble")])

    assert list(replay(Conversation(dialogue()), records)) == records


def test_while_the_pilot_talks_only_safety_is_said():
    dialogue = ScriptedDialogue(
        due={5.0: [(Priority.ACTION, "Turn.")], 6.0: [(Priority.SAFETY, "Climb.")]},
    )

    records, heard = fly(dialogue, [(4.0, True), (12.0, False), (20.0, "mumble")], slow=True)

    assert heard == ["Climb.", "Turn."]
    assert spoken_in(records) == [(6.0, "Climb."), (12.0, "Turn.")]


def test_a_pilot_who_begins_to_talk_cuts_the_voice_short_but_never_safety():
    dialogue = ScriptedDialogue(
        due={5.0: [(Priority.PREPARATION, "Soon.")], 10.0: [(Priority.SAFETY, "Climb.")]},
    )

    _, heard = fly(dialogue, [(6.0, True), (7.0, False), (11.0, True), (14.0, False)], slow=True)

    assert heard == ["Soon. --", "Climb."]


def test_an_action_that_was_cut_short_is_said_again_while_its_moment_lasts():
    dialogue = ScriptedDialogue(due={5.0: [(Priority.ACTION, "Turn.")], 6.0: [(Priority.SAFETY, "Climb.")]})

    _, heard = fly(dialogue, [(20.0, "mumble")], slow=True)

    assert heard == ["Turn. --", "Climb.", "Turn."]


def test_an_action_cut_short_whose_moment_has_passed_is_not_said_again():
    dialogue = ScriptedDialogue(due={5.0: [(Priority.ACTION, "Turn.")]})

    records, heard = fly(dialogue, [(6.0, True), (16.0, False)], slow=True)

    assert heard == ["Turn. --"]
    assert [record.reason for record in records if isinstance(record, NotSpoken)] == [
        "cut short by the pilot, who began to talk",
        "expired",
    ]


def test_a_voice_lost_and_back_is_told_of_once_each_and_meanwhile_it_goes_on_in_text():
    due = {t_s: [(Priority.ACTION, f"At {t_s}.")] for t_s in (5.0, 8.0, 11.0, 15.0)}
    gone, told = VoiceLost("The loudspeaker is gone."), []

    records, heard = fly(
        ScriptedDialogue(due=due), [(20.0, "mumble")], slow=True, failures=[gone, gone], told=told
    )

    assert told == ["The loudspeaker is gone.", "The voice is back."]
    assert heard == ["At 11.0.", "At 15.0."]
    assert spoken_in(records) == [(t_s, f"At {t_s}.") for t_s in due]


def test_words_that_the_voice_is_too_late_for_are_logged_as_unspoken_and_the_next_are_said():
    dialogue = ScriptedDialogue(due={5.0: [(Priority.ACTION, "Turn."), (Priority.ACTION, "Go.")]})

    records, heard = fly(dialogue, [(20.0, "mumble")], slow=True, failures=[VoiceLate()])

    assert heard == ["Go."]
    assert [(r.callout.cue, r.reason) for r in records if isinstance(r, NotSpoken)] == [
        ("Turn.", "the voice came to it too late")
    ]


@pytest.mark.parametrize("failures", [[], [VoiceLate()]])
def test_a_flight_with_a_slow_voice_replays_from_its_log(failures):
    def dialogue():
        return ScriptedDialogue(
            due={
                5.0: [(Priority.ACTION, f"{n}.") for n in range(6)],
                8.0: [(Priority.ACTION, "Go."), (Priority.SAFETY, "Climb.")],
                30.0: [(Priority.ACTION, "Turn.")],
            },
            answers={"next": [(Priority.ANSWER, "Next: arc.")]},
        )

    lines = [(2.0, "next"), (5.0, "next"), (9.5, True), (11.0, False), (31.0, True), (32.0, False)]
    records, _ = fly(dialogue(), [*lines, (50.0, "mumble")], slow=True, failures=failures)

    assert list(replay(Conversation(dialogue()), records)) == records
