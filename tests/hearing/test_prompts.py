"""Things to say: of every kind that can be understood, and meaning the numbers of which they were made."""

import random
from dataclasses import fields

import pytest

from assistant.adapters.speech_in.listener import meaning
from assistant.adapters.speech_in.prompts import NAMES, prompts
from assistant.engine.events import Asked, ConditionsGiven, PositionReport, Request, Said, Statement

NO_READINGS = {"t_s", "observed_t_s", "confidence"}


def chance(seed):
    return random.Random(seed)  # noqa: S311  # no secret


def kinds(means):
    """What events say, each thing by itself: a statement, a question, a field of a report or a setting."""
    for event in means:
        match event:
            case Statement(said=said):
                yield said
            case Request(asked=asked):
                yield asked
            case _:
                yield from (
                    (type(event), field.name)
                    for field in fields(event)
                    if getattr(event, field.name) is not None and field.name not in NO_READINGS
                )


@pytest.mark.parametrize("seed", range(40))
def test_what_is_said_is_heard_as_the_numbers_that_were_drawn(seed):
    for prompt in prompts(chance(seed)):
        assert meaning(prompt.words, NAMES) == prompt.means


def test_among_them_is_everything_that_a_pilot_can_report_set_state_or_ask():
    said = {kind for seed in range(40) for prompt in prompts(chance(seed)) for kind in kinds(prompt.means)}
    events = {
        (event, field.name)
        for event in (PositionReport, ConditionsGiven)
        for field in fields(event)
        if field.name not in NO_READINGS
    }

    assert said == events | set(Said) | set(Asked)


def test_the_same_chance_gives_the_same_phrases_and_another_gives_others():
    assert prompts(chance(1)) == prompts(chance(1))
    assert prompts(chance(1)) != prompts(chance(2))
