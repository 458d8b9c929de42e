"""The briefing on the screen."""

from io import StringIO

from rich.console import Console

from assistant.briefing.screen import print_brief
from assistant.caution import CAUTION


def shown(brief, **options):
    out = StringIO()
    print_brief(brief, Console(file=out, width=80, highlight=False, **options))
    return out.getvalue()


def test_it_fits_into_80_columns_with_the_caution(made, demonstration, wind):
    text = shown(made(demonstration, wind=wind).brief)

    assert max(len(line) for line in text.splitlines()) <= 80
    assert CAUTION in " ".join(text.split())


def test_nothing_is_cut_off(made, demonstration):
    """Every altitude due and floor of the events stands on it whole."""
    brief = made(demonstration).brief
    text = shown(brief)

    assert "…" not in text
    for event in brief.events:
        for vertical in (event.due, event.floor):
            assert vertical is None or str(vertical) in text


def test_it_is_plain_where_there_is_no_terminal(skarrow):
    assert "\x1b" not in shown(skarrow)


def test_it_comes_in_the_order_of_flight(skarrow):
    text = shown(skarrow)
    heads = [
        "SET UP",
        "HOLD TARNO",
        "IN THE ORDER FLOWN",
        "12 DME ARC",
        "HEIGHTS",
        "MINIMA",
        "MISSED APPROACH\n",
    ]
    places = [text.index(head) for head in heads]

    assert places == sorted(places)
