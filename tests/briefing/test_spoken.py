"""The aloud briefing: short enough, in words, with the caution and the datum."""

import re

from assistant.briefing.spoken import in_words, spoken_brief
from assistant.procedure.model import Datum

WORDS_A_MINUTE = 155


def test_it_takes_less_than_two_minutes(made, demonstration, wind):
    """On QFE, where odd heights take the most words."""
    words = spoken_brief(made(demonstration, wind=wind, datum=Datum.QFE).brief).split()

    assert len(words) < 2 * WORDS_A_MINUTE


def test_it_has_no_digit_and_every_part(made, demonstration, wind):
    text = spoken_brief(made(demonstration, wind=wind).brief)

    assert not re.search(r"[0-9/°]", text.replace("VOR/DME", ""))
    assert "Simulation and training only." in text
    for part in ("Course ", "Altimeter ", "inal approach fix", "Minimum ", "Missed approach point"):
        assert part in text, part


def test_heights_are_said_with_their_datum(made):
    text = spoken_brief(made("skarrow-tacan-24", datum=Datum.QFE, qnh_hpa=996.0).brief)

    assert "Minimum four zero four QFE, called at four six zero QFE" in text
    assert "Altimeter QFE niner niner two." in text


def test_figures_in_words():
    """Radiotelephony (ICAO Annex 10 Volume II, 5.2.1.4): digits, whole hundreds and thousands as such."""
    said = {
        "R345 17 DME": "Radial three four five, one seven DME",
        "climb 4000 QNH": "Climb four thousand QNH",
        "not below 500 QNH": "Not below five hundred QNH",
        "descend 750 ft/min": "Descend seven five zero feet per minute",
        "descend FL140": "Descend flight level one four zero",
        "1:30 from QRL": "One minute three zero seconds from QRL",
        "wind 250/15 kt": "Wind two five zero degrees one five knots",
        "wind 001/1 kt": "Wind zero zero one degrees one knot",
        "runway right, 1 degrees": "Runway right, one degree",
        "offset 1°": "Offset one degree",
        "radius 1 NM": "Radius one mile",
        "radius 2.1 NM, course 11 degrees": "Radius two decimal one miles, course one one degrees",
        "visibility 1700 m": "Visibility one thousand seven hundred metres",
    }

    assert {text: in_words(text) for text in said} == said
