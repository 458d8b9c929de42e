"""
A whole approach as it was spoken, and the end of another, against the same flights typed: the same events and
callouts.

Each report is heard with what the flight expects at that moment, as in the cockpit, and flown as heard.
One that is refused is said again, here as it is typed, so that the flight goes on; how many may be stands
beside each flight. Of the second one only the end is heard, from the turn to final, for the sake of time.
"""

import pytest
from driver import ROOT, Flight
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.audio import read_audio
from assistant.adapters.speech_in.listener import Listener
from assistant.adapters.speech_in.recordings import recordings
from assistant.adapters.transcript_file import read_transcript
from assistant.conversation import hear_and_speak, run_until
from assistant.flight_log import Heard
from assistant.language.transcript import Transcript


def flown(timed, said):
    """What came of a flight, without the words that were heard; `said` gives those of each report."""
    conversation = Flight.with_flags(timed.procedure, " ".join(timed.setup)).conversation
    records = []
    for number, typed in enumerate(timed.heard):
        records += run_until(conversation, typed.ended_t_s)
        words = said(number, typed, conversation.dialogue)
        spoken = Transcript(text=words, started_t_s=typed.started_t_s, ended_t_s=typed.ended_t_s)
        records += hear_and_speak(conversation, spoken, typed.ended_t_s)
    records += run_until(conversation, timed.until_s or timed.heard[-1].ended_t_s)
    return [record for record in records if not isinstance(record, Heard)]


@pytest.mark.parametrize(
    ("flight", "first_heard", "most_refused"), [("pellow-calm", 0, 5), ("skarrow-calm", 40, 7)]
)
def test_an_approach_as_sound_gives_the_events_and_callouts_of_its_transcript_but_for_reports_said_again(
    recogniser, flight, first_heard, most_refused
):
    golden = ROOT / "tests" / "golden" / f"{flight}.txt"
    timed = read_transcript(golden.read_text(encoding="utf-8"), golden.name)
    sounds = [each.file for each in recordings(FOLDER) if each.file.startswith(f"{flight}/")]
    assert len(sounds) == len(timed.heard)
    listeners = []
    refused = []

    def heard(number, typed, dialogue):
        if number < first_heard:
            return typed.text
        if not listeners:
            listeners.append(Listener(recogniser, dialogue.names))
        listeners[0].expect(dialogue.expectation(typed.started_t_s))
        text = listeners[0].understand(read_audio(FOLDER / sounds[number])).text
        if not text:
            refused.append(sounds[number])
        return text or typed.text

    by_sound = flown(timed, heard)

    assert by_sound == flown(timed, lambda _number, typed, _dialogue: typed.text)
    assert len(refused) <= most_refused, refused
