"""How lines are cut up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.language.tokens import DASH, UNKNOWN, is_numeral, tokens_of


@pytest.mark.parametrize(
    ("text", "tokens"),
    [
        ("16.4/4800", ("16.4", ",", "4800")),
        ("4,800", ("4800",)),
        ("16.4,4800", ("16.4", ",", "4800")),
        ("16,4", ("16", ",", "four")),
        ("R-042", ("r", "042")),
        ("16.4-4800", ("16.4", ",", "4800")),
        ("temp -5", ("temp", "minus", "five")),
        ("temp-5", ("temp", "minus", "five")),
        ("temp - 5", ("temp", DASH, "five")),
        ("temp --5", ("temp", DASH, DASH, "five")),
        ("FL-80 go-around", ("fl", "80", "go", "around")),
        ("What's next?", ("whats", "next", ",")),
        ("er sixteen", ("sixteen",)),
        ("1 6 decimal 4", ("one", "six", "decimal", "four")),
        ("12 thousand 500", ("one", "two", "thousand", "five", "hundred")),
        ("16²", ("16", UNKNOWN)),
        ("\N{MINUS SIGN}12", ("minus", "12")),
    ],
)
def test_line_is_cut_into(text, tokens):
    assert tokens_of(text) == tokens


@given(st.from_regex(r"[1-9][0-9]{1,4}(\.[0-9])?", fullmatch=True))
def test_a_typed_number_stays_whole(text):
    """Two digits or more; a single one becomes its word."""
    assert tokens_of(f"range {text}.") == ("range", text, ",")


@given(st.text(max_size=300))
def test_tokens_are_never_empty_nor_more_than_the_line_is_long(text):
    tokens = tokens_of(text)

    assert all(tokens)
    assert len(tokens) <= 2 * len(text)
    assert not any(is_numeral(token) and "," in token for token in tokens)
