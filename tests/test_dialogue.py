"""What still waits for the voice when the pilot speaks again."""

from driver import ROOT, Flight

from assistant.adapters.transcript_file import read_transcript
from assistant.conversation import play
from assistant.engine.events import CalloutKind
from assistant.flight_log import Spoken
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


def at_the_minimum():
    """A flight one second after "Minimum, four eight zero QNH. Visual?", and that callout."""
    path = ROOT / "tests" / "golden" / "pellow-calm.txt"
    timed = read_transcript(path.read_text(encoding="utf-8"), path.name)
    conversation = Flight.with_flags(timed.procedure, " ".join(timed.setup)).conversation
    before = [line for line in timed.heard if line.text not in {"visual", "landed"}]
    [*_, minimum] = [
        record.callout for record in play(conversation, before, until_s=1164.0) if isinstance(record, Spoken)
    ]
    assert minimum.kind is CalloutKind.MINIMUM
    return conversation.dialogue, minimum


def test_visual_said_into_the_question_is_answered_and_the_question_not_said_again():
    dialogue, minimum = at_the_minimum()

    dialogue.put_back(minimum)  # the voice was cut short by the pilot, who says:
    pilot(dialogue, "visual", 1165.0)

    [answer] = all_words(dialogue, 1165.0)
    assert answer.startswith("Land. Runway right")


def test_the_question_at_the_minimum_cut_short_by_go_around_is_not_asked_after_it():
    """As a rehearsal aloud did: "Missed approach point. Go around. …", and then "Minimum, … Visual?"."""
    dialogue, minimum = at_the_minimum()

    pilot(dialogue, "go around", 1165.0)
    dialogue.put_back(minimum)

    words = all_words(dialogue, 1165.0)
    assert any(text.startswith("Go around.") for text in words)
    assert not any(text.startswith("Minimum") for text in words)


def test_a_descent_that_waits_while_the_pilot_speaks_is_not_said_when_the_report_shows_the_fix_ahead():
    path = ROOT / "tests" / "golden" / "skarrow-calm.txt"
    timed = read_transcript(path.read_text(encoding="utf-8"), path.name)
    conversation = Flight.with_flags(timed.procedure, " ".join(timed.setup)).conversation
    # 6.3 DME at 22:25: the fix at 6 is surely passed at 22:34.
    list(play(conversation, [line for line in timed.heard if line.ended_t_s < 1350.0], until_s=1350.0))
    dialogue = conversation.dialogue
    dialogue.tick(1357.0)

    dialogue.receive(Transcript(text="6.2 1900", started_t_s=1354.0, ended_t_s=1357.0), 1357.0)

    assert not [text for text in all_words(dialogue, 1357.0) if "Descend" in text]
    unsaid = [unsaid for unsaid in dialogue.take_unsaid() if unsaid.callout.cue == "final descent"]
    assert [each.reason for each in unsaid] == ["a report shows that it would be too soon"]
    dialogue.tick(1362.0)
    assert "Descend" in " ".join(all_words(dialogue, 1362.0))
