"""What a listener does with a recogniser's readings, by a recogniser that says what the test wants."""

import math

import numpy as np
import pytest
from hearing_fixtures import FOLDER, NAMES

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.listener import SHORTEST_NUMBER_S, Listener
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.language.choice import Decision, expectation_around

SOUND = np.sin(np.arange(RATE_HZ) / 20.0).astype(np.float32)
HASTY_S, SLOW_S = SHORTEST_NUMBER_S - 0.01, SHORTEST_NUMBER_S


class SaysSo:
    """A recogniser that says the same to everything, as clearly in one grammar as in another."""

    name = "says so"

    def __init__(self, text, shortest_number_s=math.inf):
        self._decoded = Decoded(text=text, score=0.0, shortest_number_s=shortest_number_s)

    def prepare(self, *_):
        pass

    def decode(self, *_):
        return self._decoded

    def strangeness(self, *_):
        return -1000.0


def decision(text, shortest_number_s, **windows):
    listener = Listener(SaysSo(text, shortest_number_s), NAMES)
    listener.expect(expectation_around(**windows) if windows else None)
    return listener.understand(SOUND).choice.decision


@pytest.mark.parametrize(
    ("text", "shortest_number_s", "windows", "expected"),
    [
        ("range two eight", HASTY_S, {}, Decision.ASK),
        ("range two eight", SLOW_S, {}, Decision.ACCEPT),
        # A window supports the number: then it may be said as fast as one likes.
        ("range two eight", HASTY_S, {"dme_nm": 28.0}, Decision.ACCEPT),
        # One about another measure does not.
        ("range two eight", HASTY_S, {"indicated_ft": 5000.0}, Decision.ASK),
        ("established", math.inf, {}, Decision.ACCEPT),
    ],
)
def test_a_number_said_faster_than_anybody_says_one_is_asked_back_where_no_window_holds_it(
    text, shortest_number_s, windows, expected
):
    assert decision(text, shortest_number_s, **windows) is expected


def test_an_utterance_that_is_heard_more_than_once_contradicts_once():
    """After two that contradict what is expected the reckoning is doubted: the third is believed."""
    listener = Listener(SaysSo("range two eight"), NAMES)
    decisions = []
    for _ in range(3):
        listener.expect(expectation_around(dme_nm=12.0))
        # By the first pause, then with what follows it.
        decisions.append([listener.understand(SOUND).choice.decision for _ in range(2)])

    assert decisions == [[Decision.ASK] * 2, [Decision.ASK] * 2, [Decision.ACCEPT] * 2]


def test_the_recogniser_tells_how_long_the_shortest_word_of_a_number_took(recogniser):
    """Two, five, decimal, eight, three, thousand: of a report that takes 2.5 s, a tenth to half a second."""
    listener = Listener(recogniser, NAMES)
    heard = listener.understand(read_audio(FOLDER / "festival-kal/09.flac")).heard

    assert heard.text == "range two five decimal eight three thousand"
    assert 0.1 <= heard.shortest_number_s <= 0.5


def test_words_without_a_number_have_none_that_is_short(recogniser):
    listener = Listener(recogniser, NAMES)
    heard = listener.understand(np.zeros(RATE_HZ, dtype=np.float32)).heard

    assert heard.shortest_number_s == math.inf
