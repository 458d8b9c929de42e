"""
A statement that was heard, but not surely: asked back, and taken in once the pilot means it.

    "Say again, heard leaving the hold?"

"Affirm" takes it in and "negative" drops it. The same statement once more is believed, as a number is. Any
other words that are understood show that something else was meant, and end the question; words that are not
understood leave it open.
"""

from dataclasses import dataclass, replace

from assistant.engine.events import EngineInput, NotUnderstood, Said, Statement

ANSWER_WITHIN_S = 30.0
"""How long a question stands: long enough to answer twice, since the answer may not be heard either."""

_ANSWERS = (Said.AFFIRM, Said.NEGATIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A statement that was asked back, and until when an answer to it counts."""

    statement: Statement
    until_s: float

    @property
    def answers(self) -> frozenset[Said]:
        """What the pilot may say to it."""
        return frozenset((*_ANSWERS, self.statement.said))

    def answered_by(
        self, events: tuple[EngineInput, ...], now_s: float, *, is_sure: bool
    ) -> tuple[Statement, ...] | None:
        """
        What is meant, where words answer the question in time: the statement, or nothing. None: no answer.

        Only the statement itself may be heard unsurely, since it is then heard for the second time.
        """
        match events:
            case (Statement(said=said),) if said in self.answers and now_s <= self.until_s:
                if not is_sure and said is not self.statement.said:
                    return None
                return () if said is Said.NEGATIVE else (replace(self.statement, t_s=now_s),)
            case _:
                return None

    def is_open_after(self, events: tuple[EngineInput, ...]) -> bool:
        """Whether words left it open: no others were understood."""
        return all(isinstance(event, NotUnderstood) for event in events)


def doubted(events: tuple[EngineInput, ...]) -> Statement | None:
    """The statement to ask back where words heard unsurely are one and nothing else; an answer is none."""
    match events:
        case (Statement(said=said) as statement,) if said not in _ANSWERS:
            return statement
        case _:
            return None
