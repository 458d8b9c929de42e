"""What still waits for the voice when the pilot speaks again."""

from driver import Flight

from assistant.engine.events import CalloutKind
from assistant.language.transcript import Transcript

TACAN = "procedures/skarrow-tacan-24.yaml"


def pilot(dialogue, text, t_s):
    dialogue.receive(Transcript(text=text, started_t_s=t_s, ended_t_s=t_s), t_s)


def all_words(dialogue, t_s):
    said = iter(lambda: dialogue.next_words(t_s), None)
    return [utterance.text for utterance in said]


def test_say_again_is_not_said_any_more_once_the_pilot_has_said_something_that_is_understood():
    """While a long callout sounds, so that neither could be answered at once."""
    dialogue = Flight(TACAN).conversation.dialogue
    pilot(dialogue, "", 5.0)
    pilot(dialogue, "minimum", 8.0)

    assert all_words(dialogue, 9.0) == ["Minimum five hundred QNH."]
    assert [(unsaid.callout.kind, unsaid.reason) for unsaid in dialogue.take_unsaid()] == [
        (CalloutKind.SAY_AGAIN, "the pilot has said it since")
    ]


def test_say_again_is_said_when_nothing_was_understood_since():
    dialogue = Flight(TACAN).conversation.dialogue
    pilot(dialogue, "minimum", 5.0)
    pilot(dialogue, "", 8.0)

    assert all_words(dialogue, 9.0) == ["Minimum five hundred QNH.", "Say again."]
