"""
One utterance, from sound to an accepted report, a question or a refusal: the way that live sound and
recordings both go.

The open decode comes first. Where its reading lies inside what is expected, the limited decode could find
nothing better, since the limited grammar is a part of the open one: it is left out, which halves the wait
after most reports. It is run where the open reading lies outside the windows or makes no sense. What is not
accepted then, or is statements alone, is decoded once more as one statement that fits now
(`language.clarifying`).

A second opinion, where the pilot wants one, is asked for only where these two leave a doubt: it takes longer
than both.
"""

import math
from dataclasses import dataclass, replace

from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.following import Follower
from assistant.adapters.speech_in.recogniser import LIMITED, LONE, OPEN, Decoded, Recogniser
from assistant.adapters.speech_in.second_opinion import SURE, SecondOpinion, Weight, weights
from assistant.adapters.speech_in.spoken_grammar import lone, spoken_grammar
from assistant.engine.events import EngineInput, NotUnderstood, Said
from assistant.language.choice import (
    Candidate,
    Choice,
    Decision,
    Expectation,
    Thresholds,
    choose,
    is_answer,
    is_jumble,
    is_sensible,
    unexpected,
)
from assistant.language.clarifying import Lone, clarified, is_worth_a_look, listened_for
from assistant.language.familiar import EXPECTED_LIMIT, is_inside, is_supported, strangeness_limit
from assistant.language.grammar import Names, grammar
from assistant.language.hearing import hear
from assistant.language.reconsidering import Weighed, is_open, reconsidered
from assistant.language.settling import beginning, settled
from assistant.language.transcript import Transcript

THRESHOLDS = Thresholds(tie=0.0, nonsense=107.0, ask=1500.0)
"""
In pocketsphinx's units; measured on the development voices (docs/hearing.md). Of two numbers the one that is
expected must sound no worse.
"""

STATEMENT_TIE = 40.0
"""By how much a statement heard by itself may sound worse and still be taken for as good."""

SHORTEST_NUMBER_S = 0.12
"""
A word of a number that nothing supports is doubted when it is shorter. Of 47 numbers that people's speech was
heard right for none had one, of 17 heard wrong five (AN4's development speakers).
"""

LONGEST_STATEMENT_S = 3.0
"""What is longer is no lone statement: "executing missed approach" takes a slow voice two seconds."""

UNSURE = 0.0
"""The confidence of words that the dialogue is to ask back, and to take in only once they are affirmed."""

_SHORTEST_S = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Hearing:
    """
    What was made of one utterance.

    `heard` is what it sounded like by itself, `choice` what was decided; `snr_db` how far the speech stood
    above the noise.
    """

    heard: Decoded
    choice: Choice
    alternatives: tuple[str, ...]
    snr_db: float

    @property
    def text(self) -> str:
        """The accepted words; empty where nothing was accepted."""
        reading = self.choice.reading
        return reading.text if reading is not None and self.choice.decision is Decision.ACCEPT else ""

    @property
    def why(self) -> str:
        """Why it was not accepted, with the words asked about."""
        reading = self.choice.reading
        if self.choice.decision is Decision.ASK and reading is not None:
            return f"{self.choice.why}: {reading.text}?"
        return self.choice.why

    def transcript(self, started_t_s: float, ended_t_s: float) -> Transcript:
        """
        What reaches the dialogue: the words accepted, or those to be asked back, marked as not heard surely.

        What is refused is without words, at which the dialogue says "say again".
        """
        reading, decision = self.choice.reading, self.choice.decision
        return Transcript(
            text="" if reading is None else reading.text,
            started_t_s=started_t_s,
            ended_t_s=ended_t_s,
            confidence=1.0 if decision is Decision.ACCEPT else UNSURE,
        )


class Listener:
    """A recogniser with a procedure's names, and what is expected at the moment."""

    def __init__(self, recogniser: Recogniser, names: Names, opinion: SecondOpinion | None = None) -> None:
        self._recogniser = recogniser
        self._follower = Follower(recogniser)
        self._opinion = opinion
        self._names = names
        self._table = grammar(names)
        self._expectation: Expectation | None = None
        self._compiled: Expectation | None = None
        self._listened_for: frozenset[Said] = frozenset()
        # Those before this utterance, and with it: it may be heard more than once.
        self._contradictions = self._with_this = 0
        self._unclear_before: Said | None = None
        self._unclear: Said | None = None
        everything = spoken_grammar(self._table)
        recogniser.prepare(OPEN, everything)
        if opinion is not None:
            opinion.prepare(everything.words)

    def expect(self, expectation: Expectation | None) -> None:
        """Begin an utterance: the limited grammar is made ready while the pilot speaks, in some 0.2 s."""
        self._contradictions = self._with_this
        self._unclear_before = self._unclear
        self._expectation = expectation
        if expectation is None:
            return
        if expectation.is_limiting and expectation != self._compiled:
            self._recogniser.prepare(LIMITED, spoken_grammar(self._table, expectation))
            self._compiled = expectation
        if (statements := listened_for(expectation)) != self._listened_for:
            self._recogniser.prepare(LONE, lone(statements, self._table))
            self._listened_for = statements

    def follow(self, number: int, at: int, sound: Samples, before_s: float) -> None:
        """A piece of an utterance that is being spoken; see `Follower.take`."""
        self._follower.take(number, at, sound, before_s)

    def understand(self, sound: Samples, before_s: float = 0.0, number: int | None = None) -> Hearing:
        """
        Decide about one utterance at 16 kHz whose first `before_s` are from before the press.

        number: where it was followed. The quiet after it makes no difference. Decided about more than once
        since `expect`, the last counts.
        """
        clean = self._follower.over(number, sound, before_s)
        is_sound = len(clean.sound) >= _SHORTEST_S * RATE_HZ and bool(clean.sound.any())
        heard = self._recogniser.decode(OPEN, clean.sound) if is_sound else Decoded(text="", score=0.0)
        said = [heard.text]
        opened = self._candidate(heard)
        limited: Candidate | None = None
        expectation = self._expectation
        if is_sound and expectation is not None and expectation.is_limiting:
            limited = opened
            if not _is_as_expected(opened, expectation):
                again = self._recogniser.decode(LIMITED, clean.sound)
                said.append(again.text)
                limited = self._candidate(again)
                if not is_supported(limited.events, expectation):
                    # What has no number in a window is no likelier for the windows.
                    limited = replace(limited, text="", events=())
        choice = choose(opened, limited, expectation, THRESHOLDS, self._contradictions)
        texts = [opened.text, limited.text if limited is not None else ""]
        if choice.decision is Decision.REFUSE and (start := self._beginning(opened)) is not None:
            choice = Choice(decision=Decision.ASK, reading=start, why="only its beginning was understood")
        is_talk = not opened.is_understood or is_jumble(opened.events)
        if choice.reading is not None and self._is_strange(choice.reading, clean.sound, is_talk=is_talk):
            choice = Choice(decision=Decision.REFUSE, reading=None, why="not a report or a question")
            texts = texts[1:]
        self._unclear = None
        is_short = len(clean.sound) <= LONGEST_STATEMENT_S * RATE_HZ
        if heard.text and is_short and expectation is not None and is_worth_a_look(choice):
            alone = self._as_lone_statement(clean.sound)
            texts.append(alone.reading.text)
            choice = clarified(choice, opened, alone, expectation, STATEMENT_TIE, self._unclear_before)
            self._unclear = alone.said if choice.decision is not Decision.ACCEPT else None
        if self._opinion is not None and is_open(choice, opened, limited):
            weighed = tuple(weights(self._opinion, self._recogniser, clean.sound, said))
            choice = reconsidered(choice, map(self._weighed, weighed), SURE)
            texts += [weight.text for weight in weighed]
        self._with_this = self._contradictions + 1 if choice.is_contradiction else 0
        return Hearing(
            heard=heard,
            choice=choice,
            alternatives=tuple(text for text in dict.fromkeys(texts) if text),
            snr_db=clean.snr_db,
        )

    def _beginning(self, opened: Candidate) -> Candidate | None:
        """The beginning of a report whose end was not understood, to be asked about where one is expected."""
        expected = self._expectation
        if expected is None or not any(isinstance(event, NotUnderstood) for event in opened.events):
            return None
        text = beginning(opened.text, self._names, expected)
        return replace(opened, text=text, events=meaning(text, self._names)) if text else None

    def _as_lone_statement(self, sound: Samples) -> Lone:
        decoded = self._recogniser.decode(LONE, sound)
        strangeness = self._recogniser.strangeness(sound, decoded.score) if decoded.text else math.inf
        return Lone(reading=self._candidate(decoded), strangeness=strangeness)

    def _candidate(self, decoded: Decoded) -> Candidate:
        text = settled(decoded.text, self._names, self._expectation)
        events, expected = meaning(text, self._names), self._expectation
        is_hasty = decoded.shortest_number_s < SHORTEST_NUMBER_S and (
            expected is None or not is_supported(events, expected)
        )
        return Candidate(text=text, events=events, score=decoded.score, is_hasty=is_hasty)

    def _weighed(self, weight: Weight) -> Weighed:
        reading = self._candidate(Decoded(text=weight.text, score=weight.together))
        expected = self._expectation
        fits = expected is None or (
            is_inside(reading.events, expected) and unexpected(reading, expected) is None
        )
        return Weighed(reading=reading, opinion=weight.opinion, fits=fits)

    def _is_strange(self, reading: Candidate, sound: Samples, *, is_talk: bool) -> bool:
        """`is_talk`: the open reading may be what talk to others becomes."""
        limit = strangeness_limit(reading.text, reading.events, self._expectation)
        if is_talk:
            limit = min(limit, EXPECTED_LIMIT)
        return limit < math.inf and self._recogniser.strangeness(sound, reading.score) > limit


def _is_as_expected(opened: Candidate, expected: Expectation) -> bool:
    """Whether the limited decode could find nothing better than the open one's reading."""
    if is_answer(opened.text, expected):
        return True
    return is_sensible(opened, expected) and is_inside(opened.events, expected)


def meaning(text: str, names: Names) -> tuple[EngineInput, ...]:
    """What words mean, out of time; empty where they are none."""
    if not text:
        return ()
    return hear(Transcript(text=text, started_t_s=0.0, ended_t_s=0.0), names, 0.0)
