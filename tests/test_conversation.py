"""A conversation ticks, hears and speaks in order of time, and a log of it plays the same."""

from scripted_dialogue import ScriptedDialogue, callout

from assistant.conversation import Conversation, first_difference, play, replay
from assistant.engine.events import NotUnderstood, Priority, Tick
from assistant.flight_log import Heard, NotSpoken, Resumed, Spoken
from assistant.language.transcript import Transcript

NEXT = Transcript(text="next", started_t_s=9.0, ended_t_s=10.0)
LATER = Transcript(text="mumble", started_t_s=20.0, ended_t_s=20.0)


def conversation():
    return Conversation(
        ScriptedDialogue(
            due={
                5.0: [(Priority.ACTION, "Turn.")],
                10.0: [(Priority.PREPARATION, "Prepare.")],
                30.0: [(Priority.ACTION, "Go.")],
            },
            answers={"next": [(Priority.ANSWER, "Next: arc."), (Priority.SAFETY, "Climb.")]},
        )
    )


def spoken(words, t_s, priority):
    return Spoken(t_s=t_s, text=words, callout=callout(words, t_s, priority))


def test_time_passes_before_a_report_of_the_same_moment_and_the_urgent_is_said_first():
    assert list(play(conversation(), [NEXT, LATER])) == [
        Tick(t_s=5.0),
        callout("Turn.", 5.0),
        spoken("Turn.", 5.0, Priority.ACTION),
        Tick(t_s=10.0),
        callout("Prepare.", 10.0, Priority.PREPARATION),
        spoken("Prepare.", 10.0, Priority.PREPARATION),
        Heard(t_s=10.0, transcript=NEXT),
        callout("Next: arc.", 10.0, Priority.ANSWER),
        callout("Climb.", 10.0, Priority.SAFETY),
        spoken("Climb.", 10.0, Priority.SAFETY),
        spoken("Next: arc.", 10.0, Priority.ANSWER),
        Heard(t_s=20.0, transcript=LATER),
        NotUnderstood(t_s=20.0, text="mumble", reason="not in the script"),
    ]


def test_time_runs_on_to_the_end_and_no_further():
    played = list(play(conversation(), [], until_s=10.0))

    assert [record.text for record in played if isinstance(record, Spoken)] == ["Turn.", "Prepare."]


def test_what_came_due_too_late_to_be_said_is_recorded_as_not_spoken():
    late = Conversation(ScriptedDialogue(due={5.0: [(Priority.ACTION, "Turn.")]}))

    assert list(replay(late, [Tick(t_s=40.0)])) == [
        Tick(t_s=40.0),
        callout("Turn.", 5.0),
        NotSpoken(t_s=40.0, callout=callout("Turn.", 5.0), reason="expired"),
    ]


def test_a_log_replays_as_it_was_played():
    played = list(play(conversation(), [NEXT, LATER], until_s=40.0))

    replayed = list(replay(conversation(), played))

    assert replayed == played
    assert first_difference(played, replayed) is None


def test_a_log_that_ends_between_a_report_and_its_answer_agrees_as_far_as_it_goes():
    played = list(play(conversation(), [NEXT]))
    logged = played[: played.index(Heard(t_s=10.0, transcript=NEXT)) + 1]

    replayed = list(replay(conversation(), logged))

    assert first_difference(logged, replayed) is None
    assert replayed == played


def test_the_first_difference_is_found():
    assert first_difference([Tick(t_s=1.0), Tick(t_s=2.0)], [Tick(t_s=1.0), Tick(t_s=3.0)]) == 1
    assert first_difference([Tick(t_s=1.0), Tick(t_s=2.0)], [Tick(t_s=1.0)]) == 1
    assert list(replay(conversation(), [Resumed(t_s=3.0)])) == []
