"""What a listener does with a recogniser's readings, by a recogniser that says what the test wants."""

import math

import numpy as np
import pytest
from hearing_fixtures import FOLDER, NAMES

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.listener import LONGEST_STATEMENT_S, SHORTEST_NUMBER_S, THRESHOLDS, Listener
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar
from assistant.engine.events import Said
from assistant.language.choice import Decision, Expectation, expectation_around

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


class ByGrammar:
    """Says one thing in the widest grammar and others in narrower ones, each with its score."""

    name = "by grammar"

    def __init__(self, opened, *, limited=("", 0.0), alone=("", 0.0), sounds=0.0):
        self._opened, self._limited, self._alone, self._sounds = opened, limited, alone, sounds
        self._grammars: dict[str, SpokenGrammar] = {}

    def prepare(self, key, grammar):
        self._grammars[key] = grammar

    def decode(self, key, _):
        words = self._grammars[key].words
        # Only the widest has questions, and only that of lone statements has no ranges.
        said = self._opened if "whats" in words else self._limited if "range" in words else self._alone
        return Decoded(text=said[0], score=said[1])

    def strangeness(self, _, score):
        return self._sounds - score


HOLDING = Expectation(
    dme_nm=(15.7, 17.1),
    statements=frozenset((Said.LEAVING, Said.ONE_MORE, Said.ESTABLISHED)),
    awaited=frozenset((Said.LEAVING,)),
)


def decided(recogniser, times=1, sound=SOUND):
    listener = Listener(recogniser, NAMES)
    for _ in range(times):
        listener.expect(HOLDING)
        hearing = listener.understand(sound)
    reading = hearing.choice.reading
    return hearing.choice.decision, None if reading is None else reading.text


def misheard(statement, score=30.0):
    """Heard as a setting, too strange to be one (710), and as a statement that scores better by so much."""
    return ByGrammar(("wind calm", 0.0), alone=(statement, score), sounds=710.0)


def test_a_statement_awaited_that_was_heard_as_something_too_strange_is_asked_about():
    assert decided(misheard("leaving")) == (Decision.ASK, "leaving")
    assert decided(misheard("leaving", 0.0)) == (Decision.REFUSE, None)  # 710 strange itself


def test_one_that_is_not_awaited_is_asked_about_when_it_is_heard_twice_running():
    assert decided(misheard("one more")) == (Decision.REFUSE, None)
    assert decided(misheard("one more"), times=2) == (Decision.ASK, "one more")


def test_what_is_too_long_for_a_statement_is_not_taken_for_one():
    long = np.resize(SOUND, round((LONGEST_STATEMENT_S + 1.0) * RATE_HZ))

    assert decided(misheard("leaving"), sound=long) == (Decision.REFUSE, None)


def test_a_report_heard_as_a_jumble_is_taken_or_asked_about_as_it_is_expected():
    jumble = ("range one six decimal four qfe eight two zero", 0.0)
    words = "range one six decimal four passing two eight two zero"

    def heard(behind, sounds=-500.0):
        return decided(ByGrammar(jumble, limited=(words, -behind), sounds=sounds))

    assert heard(THRESHOLDS.nonsense) == (Decision.ACCEPT, words)
    assert heard(THRESHOLDS.nonsense + 1.0) == (Decision.ASK, words)
    # Talk to others is stranger than that, and then it is nothing.
    assert heard(THRESHOLDS.nonsense, sounds=700.0) == (Decision.REFUSE, None)


def test_of_a_report_whose_end_is_not_understood_the_beginning_is_asked_about():
    heard = ByGrammar(("range one six decimal four two thousand level three five nine", 0.0), sounds=-500.0)

    assert decided(heard) == (Decision.ASK, "range one six decimal four two thousand")
