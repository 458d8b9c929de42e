"""The grammar of recognisers comes from the phrase table, whole; windows narrow its numbers."""

from collections import defaultdict

import pytest
from hearing_fixtures import NAMES, manifest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.speech_in.spoken_grammar import (
    ONLY_CONFUSED,
    ONLY_WRITTEN,
    SAID_ALIKE,
    SPOKEN_FILLERS,
    lone,
    spoken_grammar,
)
from assistant.adapters.speech_in.windows import within
from assistant.engine.events import Said
from assistant.language.choice import Expectation
from assistant.language.grammar import grammar, vocabulary
from assistant.language.numbers import spoken_altitude, spoken_bearing, spoken_tenths

TABLE = grammar(NAMES)
OPEN = spoken_grammar(TABLE)


def accepts(spoken, text):
    """Follow a grammar's arcs by hand, as a recogniser would."""
    arcs = defaultdict(list)
    for start, end, word in spoken.arcs:
        arcs[(start, word)].append(end)

    def closed(states):
        seen, waiting = set(states), list(states)
        while waiting:
            for end in arcs[(waiting.pop(), "")]:
                if end not in seen:
                    seen.add(end)
                    waiting.append(end)
        return seen

    states = closed({0})
    for word in text.replace(",", "").split():
        said = SAID_ALIKE.get(word, word)
        states = closed({end for state in states for end in arcs[(state, said)]})
    return spoken.final in states


def test_every_recorded_report_can_be_said_in_it():
    said = {entry["words"] for entry in manifest() if entry["kind"] not in ("negative", "approach")}

    assert len(said) > 300
    assert [words for words in sorted(said) if not accepts(OPEN, words)] == []


def test_every_word_of_the_table_can_be_said_or_is_left_out_by_name():
    """One source of truth: a phrase added to the table is a phrase that is listened for."""
    left_out = ONLY_WRITTEN | ONLY_CONFUSED | set(SAID_ALIKE) | (TABLE.fillers - SPOKEN_FILLERS)

    assert vocabulary(NAMES) - OPEN.words - left_out == set()


@pytest.mark.parametrize(
    "text", ["the weather is lovely", "range", "one six decimal", "tarno one six decimal"]
)
def test_what_is_no_phrase_cannot_be_said(text):
    assert not accepts(OPEN, text)


@pytest.mark.parametrize(
    ("text", "is_inside"),
    [
        ("range one six decimal four", True),
        ("range one five decimal niner", True),
        ("range one seven decimal two", False),
        ("passing four thousand eight hundred", True),
        ("passing four eight hundred", True),
        ("passing four thousand two hundred", False),
        ("radial zero zero three", True),
        ("radial three five eight", True),
        ("radial zero one five", False),
        ("going around", True),
        ("heading two one five", True),
    ],
)
def test_windows_limit_the_numbers_that_can_be_said_and_no_other_report(text, is_inside):
    """16.4 NM give or take 0.7, 4800 ft give or take 300, radial 360 give or take 8."""
    expected = Expectation(dme_nm=(15.7, 17.1), indicated_ft=(4500.0, 5100.0), radial_deg=(352.0, 368.0))

    assert accepts(spoken_grammar(TABLE, expected), text) == is_inside


@pytest.mark.parametrize(
    ("text", "is_expected"),
    [
        ("leaving the hold", True),
        ("range one six decimal four established", True),
        ("landed", False),
        # "DME two eight two zero" was heard for this.
        ("qfe eight two zero", False),
        ("range one six decimal four qfe eight two zero", False),
        ("range one six decimal four yes", False),
        ("minimum", False),
        ("say again", False),
        ("correction range one six decimal four", True),
    ],
)
def test_in_what_is_expected_are_statements_that_fit_and_no_settings_or_questions(text, is_expected):
    expected = Expectation(dme_nm=(15.7, 17.1), statements=frozenset((Said.LEAVING, Said.ESTABLISHED)))

    assert accepts(spoken_grammar(TABLE, expected), text) == is_expected
    assert accepts(OPEN, text) or text.startswith("correction")


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("leaving", True),
        ("exiting the hold", True),
        ("another turn", True),
        # One, and not of a fix, nor of another kind, nor beside a number.
        ("leaving another turn", False),
        ("leaving tarno", False),
        ("leaving the tarno", False),
        ("established", False),
        ("leaving four thousand", False),
    ],
)
def test_a_lone_statement_is_one_of_those_listened_for_and_nothing_beside_it(text, is_one):
    assert accepts(lone(frozenset((Said.LEAVING, Said.ONE_MORE)), TABLE), text) == is_one


def ways(rule, low, high, **more):
    return {" ".join(word.text for word in way.parts) for way in within(rule, low, high, **more).options}


@given(st.integers(1, 1999))
def test_a_range_is_in_the_window_about_it(tenths):
    spoken = spoken_tenths(tenths / 10).replace("niner", "nine")

    assert spoken in ways("range", tenths / 10 - 0.05, tenths / 10 + 0.05)


@given(st.integers(10, 595))
def test_an_altitude_is_in_the_window_about_it(hundreds):
    spoken = spoken_altitude(100.0 * hundreds).replace("niner", "nine")

    assert spoken in ways("altitude", 100.0 * hundreds - 10, 100.0 * hundreds + 10)


@given(st.integers(1, 360))
def test_a_bearing_is_in_the_window_about_it_and_opposite_it_is_not(bearing):
    spoken = spoken_bearing(float(bearing)).replace("niner", "nine")

    assert spoken in ways("bearing", bearing - 3.0, bearing + 3.0, is_bearing=True)
    assert spoken not in ways("bearing", bearing + 177.0, bearing + 183.0, is_bearing=True)
