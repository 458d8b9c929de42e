"""
From what was said to what it means: one utterance in, engine inputs out.

An utterance is cut into phrases of the table (`phrases`) and fillers so that every word is accounted for
(`parsing`). If two readings that mean different things remain, or a single word is left over, the whole line
is `NotUnderstood`: a number that is wrong and silently accepted is worse than any number of repeats. For the
same reason a line that gives one reading two values is refused.

`correction` drops what was said before it in the line; so does `disregard` (at the end of a line nothing is
left and nothing happens). A line that begins with `disregard` means the last report. A line of fillers alone
("roger") means nothing. Outputs come in the order settings, position, statements, questions.
"""

from typing import Any

from assistant.engine.events import (
    Asked,
    ConditionsGiven,
    EngineInput,
    NotUnderstood,
    PositionReport,
    Request,
    Said,
    Statement,
)
from assistant.language.grammar import Grammar, Names, grammar, vocabulary
from assistant.language.parsing import Item, items_of
from assistant.language.phrases import FILLERS, Reading, Setting, Unclear
from assistant.language.tokens import DASH, SEPARATOR, tokens_of
from assistant.language.transcript import Transcript

__all__ = ["Grammar", "Names", "grammar", "hear", "vocabulary"]

LONGEST_LINE = 300
"""
Characters. The longest sensible report is about a hundred; a line beyond this is a paste or a cat on the
keyboard.
"""


_CARRIES_NOTHING = FILLERS | {SEPARATOR, DASH}
_WHAT_TO_DISREGARD = frozenset({"that", "my", "the", "last", "previous", "report", "transmission"})


def hear(transcript: Transcript, names: Names, t_s: float) -> tuple[EngineInput, ...]:
    """
    What an utterance means, as inputs stamped `t_s`.

    Readings carry the moment at which the pilot began to speak. Empty for an empty line; one `NotUnderstood`
    for a line that is not understood whole. Raises nothing on any text.
    """
    text = transcript.text
    if len(text) > LONGEST_LINE:
        return (NotUnderstood(t_s=t_s, text=text, reason=f"longer than {LONGEST_LINE} characters"),)
    is_undone, tokens = _after_correction(tokens_of(text))
    found = items_of(tokens, names)
    if isinstance(found, str):
        return (NotUnderstood(t_s=t_s, text=text, reason=found),)
    undone = (Statement(t_s=t_s, said=Said.DISREGARD),) if is_undone else ()
    return undone + _inputs(found, transcript, t_s)


def _after_correction(tokens: tuple[str, ...]) -> tuple[bool, tuple[str, ...]]:
    """Whether the line begins by undoing the last report, and the tokens that still stand."""
    is_undone = False
    kept = tokens
    for index, word in enumerate(tokens):
        if word == "disregard":
            is_undone = is_undone or all(said in _CARRIES_NOTHING for said in tokens[:index])
            after = index + 1
            while tokens[after : after + 1] and tokens[after] in _WHAT_TO_DISREGARD:
                after += 1
            kept = tokens[after:]
        elif word == "correction":
            # A correction to nothing is not understood: the word itself stays.
            kept = tokens[index + 1 :] or tokens[index:]
    return is_undone, kept


def _inputs(items: tuple[Item, ...], transcript: Transcript, t_s: float) -> tuple[EngineInput, ...]:
    """The items as engine inputs: settings, then the position, then statements, then questions."""
    settings: dict[str, Any] = {}
    readings: dict[str, Any] = {}
    statements: list[EngineInput] = []
    requests: list[EngineInput] = []
    for item in items:
        match item.meaning:
            case Setting():
                settings |= dict(item.fields)
            case Asked():
                requests.append(Request(t_s=t_s, asked=item.meaning, **dict(item.fields)))
            case Said():
                statements.append(Statement(t_s=t_s, said=item.meaning))
                readings |= dict(item.fields)
            case Reading() | Unclear():
                readings |= dict(item.fields)
    inputs: list[EngineInput] = []
    if settings:
        inputs.append(ConditionsGiven(t_s=t_s, **settings))
    if readings:
        inputs.append(
            PositionReport(
                t_s=t_s,
                observed_t_s=transcript.started_t_s,
                confidence=transcript.confidence,
                **readings,
            )
        )
    return tuple(dict.fromkeys(inputs + statements + requests))
