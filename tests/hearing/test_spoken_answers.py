"""What practice asks is answered by voice: names of events are heard while they are asked for, and marked."""

import pytest
from driver import Flight
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.audio import read_audio
from assistant.adapters.speech_in.listener import Listener
from assistant.conversation import hear_and_speak
from assistant.dialogue import Prompting
from assistant.flight_log import Spoken

VOICES = ("flite-slt", "espeak-us")


class Practised:
    """A flight in practice whose pilot answers by recordings."""

    def __init__(self, recogniser):
        self.flight = Flight("procedures/skarrow-tacan-24.yaml", prompting=Prompting.PRACTICE)
        self.flight.pilot("radial 338, 26.6 DME, 4400, heading 145")
        self.dialogue = self.flight.conversation.dialogue
        self.listener = Listener(recogniser, self.dialogue.names)

    def wait_for(self, question):
        while self.flight.last != question:
            self.flight.wait_s(5)

    def answer(self, voice, words):
        """Play an answer; what is said to it."""
        now_s = self.flight.now_s
        self.listener.expect(self.dialogue.expectation(now_s))
        sound = read_audio(FOLDER / "answers" / f"{voice}-{words.replace(' ', '-')}.flac")
        transcript = self.listener.understand(sound).transcript(now_s, now_s)
        records = hear_and_speak(self.flight.conversation, transcript, now_s)
        return [record.text for record in records if isinstance(record, Spoken)]


@pytest.fixture
def practised(recogniser):
    return Practised(recogniser)


def test_the_right_event_is_right(practised):
    """By one voice: of the other the recogniser makes "over TARNO" (docs/voice.md)."""
    practised.wait_for("Next event?")

    assert practised.answer("flite-slt", "hold tarno") == ["Correct."]


@pytest.mark.parametrize("words", ["lead radial", "final approach fix", "inbound turn"])
@pytest.mark.parametrize("voice", VOICES)
def test_another_event_of_the_plan_is_wrong(practised, voice, words):
    practised.wait_for("Next event?")

    (mark,) = practised.answer(voice, words)

    assert mark.startswith("No. Next: hold TARNO")


@pytest.mark.parametrize(("words", "mark"), [("four thousand", "Correct."), ("three thousand", "No. Next:")])
@pytest.mark.parametrize("voice", VOICES)
def test_an_altitude_is_right_or_wrong(practised, voice, words, mark):
    """The hold at TARNO is flown at 4000 ft; 3000 ft lies far outside what the needle could show."""
    practised.wait_for("Next event?")
    practised.answer("flite-slt", "hold tarno")
    practised.flight.wait_s(130)
    practised.flight.pilot("radial 344, 18.1 DME, 4000, heading 151")
    practised.wait_for("Altitude due?")

    (said,) = practised.answer(voice, words)

    assert said.startswith(mark)


@pytest.mark.parametrize("voice", VOICES)
def test_the_name_of_an_event_that_nobody_asked_for_is_said_again(practised, voice):
    practised.wait_for("Next event?")
    practised.answer("flite-slt", "hold tarno")

    assert practised.answer(voice, "lead radial") == ["Say again."]
