"""A figure shows what its name says, and nothing that is asked within the bounds ends in a traceback."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.cli.sums_shown import _as_json, _table
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.wind import Wind
from assistant.sums.answer import Figure
from assistant.sums.question import Choice, Range, Written
from assistant.sums.questions import QUESTIONS


def figure(name, exact, rule=None):
    return Figure(name=name, quantity="q", exact=exact, rule=rule)


def test_two_directions_either_side_of_north_are_two_degrees_apart():
    assert figure("heading_mag_deg", 359.0, 1.0).difference == pytest.approx(2.0)
    assert figure("heading_mag_deg", 1.0, 359.0).difference_shown == "-2.0°"


def test_angles_that_are_no_directions_are_subtracted():
    assert figure("drift_deg", -9.0, 1.0).difference == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("name", "value", "shown"),
    [
        ("heading_mag_deg", 0.0, "360.0°"),
        ("heading_mag_deg", 359.96, "360.0°"),
        ("lead_radial_deg", 53.04, "053.0°"),
        ("drift_deg", -0.04, "0.0°"),
        ("rate_fpm", 743.02, "743 ft/min"),
        ("gradient_ft_per_nm", 318.4, "318 ft/NM"),
        ("lead_nm", 0.766, "0.77 NM"),
        ("flight_level", 44.7, "44.7"),
        ("transition_level", 55.0, "55"),
        ("time_s", 188.0, "188 s"),
        ("rate_deg_s", 3.0, "3.00°/s"),
    ],
)
def test_the_name_says_how_it_is_shown(name, value, shown):
    assert figure(name, value).shown(value) == shown


def test_without_a_rule_there_is_a_dash():
    assert figure("lead_nm", 1.0).shown(None) == "-"
    assert figure("lead_nm", 1.0).difference_shown == "-"


def test_names_of_questions_options_and_parameters_are_each_given_once():
    assert len({question.name for question in QUESTIONS}) == len(QUESTIONS)
    for question in QUESTIONS:
        assert len({item.option for item in question.inputs}) == len(question.inputs)
        assert len({item.parameter for item in question.inputs}) == len(question.inputs)


def values_of(item):
    if isinstance(item.kind, Range):
        numbers = st.floats(item.kind.low, item.kind.high) | st.integers(
            round(item.kind.low + 0.5), int(item.kind.high)
        ).map(float)
    elif isinstance(item.kind, Choice):
        numbers = st.sampled_from(item.kind.words)
    elif item.kind is Written.WIND:
        numbers = st.builds(Wind, st.floats(0.0, 360.0), st.floats(0.0, 250.0))
    else:
        numbers = st.floats(500.0, 1090.0)
    return numbers


def inputs_of(question):
    needed = {item.parameter: values_of(item) for item in question.inputs if item.wanted}
    others = {item.parameter: values_of(item) for item in question.inputs if not item.wanted}
    return st.fixed_dictionaries(needed, optional=others)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
def test_within_the_bounds_there_is_an_answer_or_one_sentence(question):
    @settings(max_examples=40, deadline=None)
    @given(inputs_of(question))
    def ask(values):
        try:
            answer = question.answer(**values)
        except (NoSolution, OutsideValidity) as error:
            refusal = str(error)
        else:
            refusal = ""
        if refusal:
            assert "\n" not in refusal
            assert refusal.endswith(".")
            return
        assert answer.source.endswith(".")
        assert "Source: " in _table(answer)[-1]
        json.dumps(_as_json(question, values, answer), allow_nan=False)

    ask()
