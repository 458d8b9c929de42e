"""
Things to say: an utterance of every kind that the phrase table has, with numbers drawn anew.

For recordings: a synthetic voice's, a pilot's own, an enrolment's. The same chance gives the same utterances.
What an utterance means is made from the numbers that were drawn, and not by hearing its words.
"""

import random
from dataclasses import dataclass
from typing import Any

from assistant.engine.events import (
    Asked,
    ConditionsGiven,
    Datum,
    EngineInput,
    PositionReport,
    Request,
    Said,
    Statement,
)
from assistant.language.grammar import Names
from assistant.language.numbers import (
    spoken_altitude,
    spoken_bearing,
    spoken_digits,
    spoken_tenths,
    spoken_whole,
)
from assistant.language.phrases import HPA_PER_INHG

NAMES = Names(fixes=("TARNO",), frequencies=("tower",))
"""The names that are said in some of them; one procedure has both."""

# Ways of saying a thing, of which one is drawn; the order is that of the recordings that were made by a seed.
_Said = tuple[tuple[str, Said], ...]
_Asked = tuple[tuple[str, Asked], ...]
_STATEMENTS: tuple[_Said, ...] = (
    tuple(
        (words, Said.ENTERING_HOLD)
        for words in ("entering hold", "entering the hold", "joining the holding pattern")
    ),
    (
        ("leaving the hold", Said.LEAVING),
        ("one more turn", Said.ONE_MORE),
        ("turning inbound", Said.TURNING),
    ),
    (
        ("established", Said.ESTABLISHED),
        ("established inbound", Said.ESTABLISHED),
        ("established on the arc", Said.ON_ARC),
    ),
    tuple((words, Said.NEEDLE_MOVING) for words in ("needle moving", "course bar coming in", "needle alive")),
    tuple((words, Said.VISUAL) for words in ("visual", "runway in sight", "lights in sight")),
    tuple((words, Said.NOT_VISUAL) for words in ("not visual", "negative contact", "nothing seen")),
    tuple((words, Said.GOING_AROUND) for words in ("going around", "going missed")),
)
_ANSWERS: _Said = (
    ("affirm", Said.AFFIRM),
    ("negative", Said.NEGATIVE),
    ("disregard", Said.DISREGARD),
    ("landed", Said.LANDED),
)
_FIRST_QUESTIONS: _Asked = (
    ("next", Asked.NEXT),
    ("what next", Asked.NEXT),
    ("say next heading", Asked.HEADING),
)
_QUESTIONS: tuple[_Asked, ...] = (
    (
        ("say again", Asked.SAY_AGAIN),
        ("minimum", Asked.MINIMUM),
        ("say position", Asked.POSITION),
        ("how low", Asked.FLOOR),
    ),
    (
        ("missed approach procedure", Asked.MISSED_APPROACH),
        ("wind check", Asked.WIND),
        ("rate of descent", Asked.RATE),
    ),
)
_RARER_STATEMENTS: tuple[_Said, ...] = (
    tuple((words, Said.INBOUND) for words in ("inbound", "inbound leg", "inbound to tarno")),
    tuple((words, Said.OUTBOUND) for words in ("outbound", "established outbound", "outbound leg")),
    (("on the arc", Said.ON_ARC), ("level", Said.LEVEL), ("descending", Said.DESCENDING)),
    tuple((words, Said.AFFIRM) for words in ("affirm", "affirmative", "confirmed")),
    tuple((words, Said.LANDED) for words in ("touchdown", "down and stopped", "on the ground")),
)
_RARER_QUESTIONS: tuple[_Asked, ...] = (
    tuple((words, Asked.ALTIMETER) for words in ("say altimeter setting", "what is the qnh", "altimeter")),
    tuple((words, Asked.NOTES) for words in ("chart notes", "any notes", "read chart notes")),
    tuple(
        (words, Asked.SECTOR_ALTITUDE)
        for words in ("sector altitude", "minimum safe altitude", "say sector safe altitude")
    ),
    (
        ("say heading", Asked.HEADING),
        ("what is the vertical speed", Asked.RATE),
        ("descent rate", Asked.RATE),
    ),
    (("where am i", Asked.POSITION), ("say minima", Asked.MINIMUM), ("safe altitude", Asked.FLOOR)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompt:
    """
    Words to say, as the phrase table has them, with a plain name for what they are about.

    `means` are the events to come of them, at no time: t_s is 0.
    """

    kind: str
    words: str
    means: tuple[EngineInput, ...]


def prompts(chance: random.Random) -> tuple[Prompt, ...]:
    """Utterances of every kind, those with numbers first; values are invented and hang together in none."""
    # Recordings were made of the first part by a seed: what is added draws after it.
    return (*_common(chance), *_rarer(chance))


def _common(chance: random.Random) -> list[Prompt]:
    tenths_nm = chance.randint(15, 289) / 10
    whole_nm = float(chance.randint(3, 30))
    altitude_ft = 100.0 * chance.randint(8, 69)
    tens_ft = 10.0 * chance.randint(50, 340)
    bearing_deg = float(chance.randint(1, 360))
    low_deg = float(chance.randint(1, 99))
    heading_deg = 5.0 * chance.randint(1, 72)
    setting_hpa = float(chance.randint(980, 1035))
    from_deg, wind_kt = 10.0 * chance.randint(1, 36), float(chance.randint(12, 45))
    level = chance.randint(50, 245)
    minus_c = chance.randint(1, 29)
    tenths, whole = spoken_tenths(tenths_nm), spoken_tenths(whole_nm)
    altitude, bearing = spoken_altitude(altitude_ft), spoken_bearing(bearing_deg)
    heading, setting = spoken_bearing(heading_deg), spoken_digits(f"{setting_hpa:.0f}")
    wind = f"{spoken_bearing(from_deg)} at {spoken_whole(wind_kt)} knots"
    readings: list[tuple[str, str, dict[str, Any]]] = [
        ("range", f"range {tenths}", {"dme_nm": tenths_nm}),
        ("range", f"{tenths} dme", {"dme_nm": tenths_nm}),
        ("range", f"{whole} miles", {"dme_nm": whole_nm}),
        ("radial", f"radial {bearing}", {"radial_deg": bearing_deg}),
        ("radial", f"passing radial {bearing}", {"radial_deg": bearing_deg}),
        ("radial", spoken_bearing(low_deg), {"radial_deg": low_deg}),
        ("altitude", f"passing {altitude}", {"indicated_ft": altitude_ft}),
        ("altitude", f"{altitude} feet", {"indicated_ft": altitude_ft}),
        ("altitude", f"altitude {spoken_altitude(tens_ft)}", {"indicated_ft": tens_ft}),
        *(
            ("range and altitude", words, {"dme_nm": tenths_nm, "indicated_ft": altitude_ft})
            for words in (
                f"range {tenths}, {altitude}",
                f"{tenths} dme, {altitude} feet",
                f"{tenths}, {altitude}",
            )
        ),
        (
            "radial and range",
            f"radial {bearing}, range {tenths}",
            {"radial_deg": bearing_deg, "dme_nm": tenths_nm},
        ),
        (
            "position",
            f"radial {bearing}, {tenths} dme, {altitude}",
            {"radial_deg": bearing_deg, "dme_nm": tenths_nm, "indicated_ft": altitude_ft},
        ),
        ("heading", f"heading {heading}", {"heading_mag_deg": heading_deg}),
        (
            "position",
            f"radial {bearing}, {whole} dme, {altitude}, heading {heading}",
            {
                "radial_deg": bearing_deg,
                "dme_nm": whole_nm,
                "indicated_ft": altitude_ft,
                "heading_mag_deg": heading_deg,
            },
        ),
        (
            "flight level",
            f"flight level {spoken_digits(str(level))}",
            {"indicated_ft": 100.0 * level, "datum": Datum.STANDARD},
        ),
    ]
    settings: list[tuple[str, dict[str, Any]]] = [
        (f"qnh {setting}", {"qnh_hpa": setting_hpa}),
        (f"set qfe {setting}", {"qfe_hpa": setting_hpa, "datum": Datum.QFE}),
        (f"wind {wind}", {"wind_from_mag_deg": from_deg, "wind_kt": wind_kt}),
        (f"temperature minus {spoken_digits(str(minus_c))}", {"temperature_c": -float(minus_c)}),
    ]
    statements = [_statement(*chance.choice(ways)) for ways in _STATEMENTS]
    return [
        *(_report(kind, words, **fields) for kind, words, fields in readings),
        *(_setting(words, **fields) for words, fields in settings),
        _report("fix", "passing tarno", fix="TARNO"),
        *statements,
        _statement(f"level {altitude}", Said.LEVEL, indicated_ft=altitude_ft),
        _statement(f"descending to {altitude} feet", Said.DESCENDING),
        _statement(*chance.choice(_ANSWERS)),
        _question(*chance.choice(_FIRST_QUESTIONS)),
        _question(f"altitude at {whole} miles", Asked.ALTITUDE_DUE, dme_nm=whole_nm),
        *(_question(*chance.choice(ways)) for ways in _QUESTIONS),
    ]


def _rarer(chance: random.Random) -> list[Prompt]:
    groundspeed_kt = float(chance.randint(90, 260))
    inches = f"{chance.randint(2890, 3050) / 100:.2f}"
    level = chance.randint(50, 245)
    return [
        _report(
            "speed",
            f"ground speed {spoken_digits(f'{groundspeed_kt:.0f}')}",
            groundspeed_kt=groundspeed_kt,
        ),
        _setting(f"altimeter {spoken_digits(inches)}", qnh_hpa=round(float(inches) * HPA_PER_INHG, 1)),
        _setting("set standard", datum=Datum.STANDARD),
        _setting("wind calm", wind_from_mag_deg=360.0, wind_kt=0.0),
        _statement(
            f"maintaining flight level {spoken_digits(str(level))}",
            Said.LEVEL,
            indicated_ft=100.0 * level,
            datum=Datum.STANDARD,
        ),
        *(_statement(*chance.choice(ways)) for ways in _RARER_STATEMENTS),
        _question(chance.choice(("tower frequency", "frequency for tower")), Asked.FREQUENCY, name="tower"),
        *(_question(*chance.choice(ways)) for ways in _RARER_QUESTIONS),
    ]


def _report(kind: str, words: str, **fields: Any) -> Prompt:  # noqa: ANN401  # a field each, of its own type
    return Prompt(kind=kind, words=words, means=(PositionReport(t_s=0.0, observed_t_s=0.0, **fields),))


def _setting(words: str, **fields: Any) -> Prompt:  # noqa: ANN401  # see _report
    return Prompt(kind="settings", words=words, means=(ConditionsGiven(t_s=0.0, **fields),))


def _statement(words: str, said: Said, **fields: Any) -> Prompt:  # noqa: ANN401  # see _report
    """A statement, with what was read off where it says that too."""
    read = (PositionReport(t_s=0.0, observed_t_s=0.0, **fields),) if fields else ()
    return Prompt(kind="statement", words=words, means=(*read, Statement(t_s=0.0, said=said)))


def _question(words: str, asked: Asked, **fields: Any) -> Prompt:  # noqa: ANN401  # see _report
    return Prompt(kind="question", words=words, means=(Request(t_s=0.0, asked=asked, **fields),))
