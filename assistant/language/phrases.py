"""
The phrase table: every way of saying something that the assistant understands, and what each means.

One table serves typed text, spoken text and recognisers' grammars.

A phrase is a pattern (see `expressions`) and its meaning. `<slots>` in a pattern are numbers or names; a slot
that is named like a field of an event fills that field. Bare numbers are phrases too, the last in the table,
with the narrowest slots, so that "16.4 4800" is range and altitude and "215" is refused as unclear rather
than guessed at:

    one decimal, below 100         range       "16.4", "one six decimal four"
    whole, at most 60              range       "16", "sixteen"
    three digits, the first zero   radial      "042"
    in hundreds or thousands       altitude    "four eight hundred" (so not: four NM, eight hundred feet)
    whole tens, 370 and above      altitude    "4800", "520"
    100 to 360                     refused     radial, heading or altitude?
    anything else                  refused     "1013", "75"
"""

from dataclasses import dataclass

from assistant.engine.events import Asked, Datum, Said


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberSlot:
    """
    A number wanted in a pattern: the rule by which it is said, how it is typed, its limits of sense.

    `field` is the field of an event that it fills, in that field's unit, after multiplying by `factor`; None
    for a number that is heard and not used (the heading that a turn goes to is no reading).
    """

    rule: str
    typed: str
    lowest: float
    highest: float
    field: str | None
    factor: float = 1.0
    step: float | None = None


@dataclass(frozen=True, slots=True)
class Unclear:
    """A meaning that would be a guess; `reason` says what the pilot would have to add."""

    reason: str


@dataclass(frozen=True, slots=True)
class Reading:
    """Slots fill a position report."""


@dataclass(frozen=True, slots=True)
class Setting:
    """Slots fill the conditions of the day."""


Meaning = Reading | Setting | Said | Asked | Unclear


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """
    One way, or several, of saying one thing. `fields` are those that the words themselves give.

    `stands_apart`: begins with a number or name that nothing announces, so it may not follow directly on a
    spoken number ("four thousand five" must not be 4000 ft and 5 NM).
    """

    pattern: str
    meaning: Meaning
    fields: tuple[tuple[str, object], ...] = ()
    stands_apart: bool = False


_RANGE = r"(?:0|[1-9][0-9]{0,2})(?:\.[0-9]{1,2})?"
_BEARING = r"[0-9]{3}|[1-9][0-9]"
_ALTITUDE = r"[1-9][0-9]{2,4}"
# 1 inHg (at 0 °C) is 33.86389 hPa: ICAO Doc 8400 and the US Standard Atmosphere use this conversion.
HPA_PER_INHG = 33.86389


def _number(
    rule: str, typed: str, lowest: float, highest: float, field: str | None, **more: float
) -> NumberSlot:
    return NumberSlot(rule=rule, typed=typed, lowest=lowest, highest=highest, field=field, **more)


NUMBER_SLOTS: dict[str, NumberSlot] = {
    "dme_nm": _number("range", _RANGE, 0.1, 200, "dme_nm"),
    "radial_deg": _number("bearing", _BEARING, 0, 360, "radial_deg"),
    "whole_radial_deg": _number("bearing_in_full", "[0-9]{3}", 0, 360, "radial_deg"),
    "short_radial_deg": _number("bearing_in_short", "[1-9][0-9]", 10, 99, None),
    "heading_mag_deg": _number("bearing", _BEARING, 0, 360, "heading_mag_deg"),
    "target_bearing_deg": _number("bearing", _BEARING, 0, 360, None),
    "indicated_ft": _number("altitude", _ALTITUDE, 100, 60_000, "indicated_ft"),
    "target_ft": _number("altitude", _ALTITUDE, 100, 60_000, None),
    "flight_level": _number("level", "0?[1-9][0-9]|[1-5][0-9]{2}", 10, 600, "indicated_ft", factor=100),
    "target_level": _number("level", "0?[1-9][0-9]|[1-5][0-9]{2}", 10, 600, None),
    "groundspeed_kt": _number("speed", "[1-9][0-9]{1,2}", 10, 999, "groundspeed_kt"),
    "wind_from_mag_deg": _number("bearing", "[0-9]{3}", 0, 360, "wind_from_mag_deg"),
    "wind_kt": _number("wind_speed", "[0-9]{2,3}", 0, 199, "wind_kt"),
    "gust_kt": _number("wind_speed", "[0-9]{2,3}", 0, 199, None),
    "qnh_hpa": _number("high_hectopascals", r"[0-9]{3,4}(?:\.[0-9]{1,2})?", 800, 1099, "qnh_hpa"),
    "qfe_hpa": _number("hectopascals", r"[0-9]{3,4}(?:\.[0-9]{1,2})?", 500, 1099, "qfe_hpa"),
    "bare_setting_hpa": _number("hectopascals", "[0-9]{3,4}", 500, 1099, None),
    "inches_hpa": _number(
        "inches", r"(?:2[5-9]|3[01])\.?[0-9]{2}", 25, 31.99, "qnh_hpa", factor=HPA_PER_INHG
    ),
    "temperature_c": _number("celsius", "[0-9]{1,2}", -60, 60, "temperature_c"),
    "bare_tenths_nm": _number("tenths", r"(?:0|[1-9][0-9]?)\.[0-9]{1,2}", 0.1, 99.99, "dme_nm"),
    "bare_whole_nm": _number("whole", "[1-9][0-9]?", 1, 60, "dme_nm"),
    "bare_radial_deg": _number("bearing_from_zero", "0[0-9]{2}", 1, 99, "radial_deg"),
    "bare_scaled_ft": _number("altitude_words", "(?!)", 100, 29_999, "indicated_ft", step=10),
    "bare_digits_ft": _number("altitude_digits", _ALTITUDE, 370, 60_000, "indicated_ft", step=10),
    "bare_far_nm": _number("hundred_and_tenths", r"1[0-9]{2}\.[0-9]{1,2}", 100, 199.99, None),
    "bare_high_ft": _number("altitude_past_bare", "(?!)", 30_000, 59_900, None),
    "bare_unclear": _number("bearing_or_not", "[1-3][0-9]{2}", 100, 360, None),
}
"""Field names in events, or what a bare number could be. Limits are those of sense, not of any procedure."""

WORD_SLOTS: dict[str, tuple[tuple[str, object], ...]] = {
    "datum": (
        ("qnh", Datum.QNH),
        ("qfe", Datum.QFE),
        ("standard", Datum.STANDARD),
    ),
}
"""
Slots that take words. Fixes and frequencies (`fix`, `passed_fix`, `frequency`) come with the procedure,
events (`event`) with practice, which asks for them.
"""

# fmt: off
FILLERS = frozenset((
    "a", "an", "and", "at", "on", "of", "the", "this", "that", "with", "over", "so", "then", "just",
    "now", "still", "we", "are", "were", "i", "am", "im", "our", "my", "has", "have", "got", "here",
    "currently", "about", "approximately", "please", "ok", "okay", "roger", "copied", "wilco",
    "right", "thanks", "thank", "you", "sir", "check", "reading", "indicating", "showing",
))
# fmt: on
"""Words that carry nothing. "Not", "to", "is", "until", "approach" change sense: they are not here."""

_ASK = "[say | what [is | was] [the | my | our] | whats [the | my | our] | give me [the | my | our]]"
_SEEN = "(runway | lights | approach lights | field | airfield | aerodrome | airport | threshold | papi)"
_FEET = "[feet | foot | ft]"
_MILES = "(dme | miles | mile | nautical miles | nautical mile | nm | nmi)"
_DATUM = "[[on] <datum>]"
_THROUGH = "(passing | through | passing through | out of | leaving)"

_READINGS = (
    (f"(range | distance | dme | d) [is | reads] <dme_nm> [{_MILES}]", ()),
    (f"<dme_nm> {_MILES} [dme | out | range]", ()),
    ("[passing | crossing | on] [the] (radial | r | rad | qdr) [is] <radial_deg> [degrees]", ()),
    ("[passing | crossing | on] [the] <whole_radial_deg> [degrees] radial", ()),
    ("(heading | hdg | steering) [is | now] <heading_mag_deg> [degrees] [magnetic]", ()),
    (
        f"(altitude | alt | height | {_THROUGH}) [is] [altitude] <indicated_ft> {_FEET} {_DATUM}",
        (),
    ),
    (f"<indicated_ft> (feet | foot | ft) {_DATUM}", ()),
    ("<indicated_ft> [on] <datum>", ()),
    (
        f"[{_THROUGH}] (flight level | fl) <flight_level>",
        (("datum", Datum.STANDARD),),
    ),
    ("(groundspeed | ground speed | gs | speed) [is] <groundspeed_kt> [knots | kt | kts]", ()),
    ("(passing | overhead | over | crossing) [the] <fix>", ()),
)

_WIND_KT = "<wind_kt> [knots | kt | kts] [(gusting | gusts) <gust_kt> [knots | kt | kts]]"
_SETTINGS = (
    (f"wind [is] [from] <wind_from_mag_deg> [degrees] [at] {_WIND_KT}", ()),
    ("wind [is] calm", (("wind_from_mag_deg", 360.0), ("wind_kt", 0.0))),
    ("qnh [is] (<qnh_hpa> [hectopascals | hpa | millibars] | <inches_hpa>)", ()),
    ("qfe [is] <qfe_hpa> [hectopascals | hpa | millibars]", ()),
    ("altimeter [setting] [is] <inches_hpa> [inches]", ()),
    ("set [altimeter] (qnh <qnh_hpa> | [qnh] <inches_hpa>)", (("datum", Datum.QNH),)),
    ("[altimeter] qnh (<qnh_hpa> | <inches_hpa>) set", (("datum", Datum.QNH),)),
    ("set [altimeter] qfe <qfe_hpa>", (("datum", Datum.QFE),)),
    ("qfe <qfe_hpa> set", (("datum", Datum.QFE),)),
    ("set [altimeter] <datum>", ()),
    ("(altimeter | altimeter on) <datum>", ()),
    ("<datum> set", ()),
    ("(temperature | temp | oat) [is] <temperature_c> [degrees] [celsius | c]", ()),
)

_STATEMENTS = {
    Said.ENTERING_HOLD: "(entering | joining | entered | in) [the] (hold | holding | holding pattern)",
    Said.ONE_MORE: "(one more | another [one]) [circuit | turn | hold | lap | time | round]",
    Said.LEAVING: "(leaving | exiting | departing) [[the] (hold | holding | holding pattern) | [the] <fix>]",
    Said.TURNING: "turning [left | right] [inbound | outbound | base | final | in"
    " | [to] [heading] <target_bearing_deg>]",
    Said.OUTBOUND: "[established] outbound [leg] [[from] <passed_fix>]",
    Said.INBOUND: "inbound [leg] [[to] <passed_fix>]",
    Said.ON_ARC: "[established] on [the] [dme] arc",
    Said.ESTABLISHED: "[fully] established [inbound | [on] [the] [inbound | final | final approach]"
    " (course | track | radial | localizer) | on final]",
    Said.NEEDLE_MOVING: "(needle | course needle | bar | deviation bar | course bar | cdi | course) [is]"
    " (moving | alive | coming [in] | centering | centring)",
    Said.LEVEL: "(level | levelled | leveled | levelled off | leveled off)",
    Said.DESCENDING: "(descending | starting descent | starting down | going down)"
    f" [to (<target_ft> {_FEET} {_DATUM} | (flight level | fl) <target_level>)]",
    Said.VISUAL: f"(visual | i have the (runway | lights) | {_SEEN} (in sight | visual))",
    Said.NOT_VISUAL: "(not visual | (no | negative) (contact | visual) | nothing (in sight | seen)"
    f" | (no | negative) (runway | lights) [in sight] | {_SEEN} not in sight)",
    Said.GOING_AROUND: "(going around | go around | going missed | on the go | executing missed approach"
    " | flying [the] missed approach | going for the missed approach)",
    Said.LANDED: "(landed | on the ground | touchdown | down and stopped)",
    Said.AFFIRM: "(affirm | affirmative | yes | correct | thats correct | confirmed)",
    Said.NEGATIVE: "(negative | no)",
}

_REQUESTS = {
    Asked.NEXT: f"({_ASK} next [event] | what next | what [do i | do we] do next)",
    Asked.SAY_AGAIN: "(say again [all | last | that | all after | your last] | repeat [that | last])",
    Asked.MINIMUM: f"{_ASK} (minimum | minima | minimums | mda | mdh | minimum descent altitude"
    " | minimum descent height)",
    Asked.FLOOR: f"({_ASK} (floor | lowest [altitude] | minimum altitude | safe altitude) [here] | how low)",
    Asked.ALTITUDE_DUE: f"({_ASK} (altitude | height) (at | for) <dme_nm> [{_MILES}]"
    f" | {_ASK} (altitude | height) due [(at | for) <dme_nm> [{_MILES}]]"
    f" | how high [at <dme_nm> [{_MILES}]] | due [(at | for) <dme_nm> [{_MILES}]])",
    Asked.HEADING: f"{_ASK} [next] heading [to (steer | fly)]",
    Asked.RATE: f"{_ASK} (rate [of descent] | descent rate | rate required | required rate | vertical speed)",
    # Asked, not stated, since asking changes nothing in the flight; "going missed" states it.
    Asked.MISSED_APPROACH: f"{_ASK} missed [approach] [procedure | instructions]",
    Asked.SECTOR_ALTITUDE: f"{_ASK} (sector [safe] altitude | minimum (sector | safe) altitude | msa)",
    Asked.POSITION: f"({_ASK} position | where am i | where are we)",
    Asked.ALTIMETER: f"({_ASK} altimeter [setting] | (say | whats | what is) [the] (qnh | qfe))",
    Asked.WIND: f"({_ASK} wind | wind check)",
    Asked.FREQUENCY: f"{_ASK} ([<frequency>] frequency | frequency (for | of) [the] <frequency>)",
    Asked.NOTES: f"({_ASK} | any | read) [chart] notes",
}

_CLIMBING = f"(descending | climbing) (passing | through | passing through) <indicated_ft> {_FEET} {_DATUM}"
_BARE = (
    ("<bare_tenths_nm>", Reading(), False),
    ("<bare_whole_nm>", Reading(), True),
    ("<bare_radial_deg>", Reading(), True),
    ("<bare_scaled_ft>", Reading(), False),
    ("<bare_digits_ft>", Reading(), True),
    # Refused, lest their words be parted: 38.4 from the one before it, 42,000 ft into 40 NM and 2000 ft.
    ("<bare_far_nm>", Unclear("range or frequency?"), False),
    ("<bare_high_ft>", Unclear("altitude, or range and altitude?"), False),
    ("<bare_unclear>", Unclear("radial, heading or altitude?"), True),
    ("<fix>", Reading(), True),
)

AWAITS_NUMBER: frozenset[Meaning] = frozenset(
    (*Asked, Said.LEVEL, Said.DESCENDING, Said.TURNING, Said.LEAVING)
)
"""
A number right behind one of these belongs to it: "heading two five" is a broken heading, not a question and
25 NM.
"""

PHRASES: tuple[Phrase, ...] = (
    *(Phrase(pattern=pattern, meaning=Reading(), fields=fields) for pattern, fields in _READINGS),
    Phrase(pattern=_CLIMBING, meaning=Reading()),
    *(Phrase(pattern=pattern, meaning=Setting(), fields=fields) for pattern, fields in _SETTINGS),
    *(Phrase(pattern=pattern, meaning=said) for said, pattern in _STATEMENTS.items()),
    *(Phrase(pattern=pattern, meaning=asked) for asked, pattern in _REQUESTS.items()),
    Phrase(pattern=f"(level [at] | maintaining) <indicated_ft> {_FEET} {_DATUM}", meaning=Said.LEVEL),
    Phrase(
        pattern="(level [at] | maintaining) (flight level | fl) <flight_level>",
        meaning=Said.LEVEL,
        fields=(("datum", Datum.STANDARD),),
    ),
    Phrase(pattern="(set | altimeter | set altimeter) <bare_setting_hpa>", meaning=Unclear("QNH or QFE?")),
    Phrase(
        pattern=f"descending [now] <target_ft> {_FEET}", meaning=Unclear("passing that altitude, or to it?")
    ),
    # "Range seven two seventy radial": 72 and 070, or 7 and 270.
    Phrase(pattern="<short_radial_deg> [degrees] radial", meaning=Unclear("radial in three digits?")),
    Phrase(
        pattern="(overhead | abeam [<passed_fix>])",
        meaning=Unclear("at which fix, or by what range and radial?"),
    ),
    # An answer in practice. By itself it is no report: it must not move the flight.
    Phrase(pattern="[next [event] [is]] <event>", meaning=Unclear("nothing was asked"), stands_apart=True),
    *(Phrase(pattern=pattern, meaning=meaning, stands_apart=apart) for pattern, meaning, apart in _BARE),
)
