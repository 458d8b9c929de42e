"""
The settings one by one: the name of each, the form in which it is written, and what it means.

A flag `--lights-out` and a key `lights_out` of a YAML file are the same setting in the same form, so there is
one table.
"""

import re
from collections.abc import Callable
from typing import Final

from assistant.dialogue import Prompting
from assistant.engine.conditions import WindAtLevel
from assistant.nav.altimetry import hpa_from_inhg
from assistant.procedure.model import Category, Datum

PHASES: Final = ("hold", "initial", "intermediate", "final", "missed")
"""The phases whose speed can be given."""

_WIND = re.compile(
    r"(?:(?P<level>\d{1,5}):)?(?P<direction>\d{1,3})/(?P<speed>\d{1,3}(?:\.\d)?)(?:kt)?", re.ASCII
)
_NUMBER = re.compile(r"[-+]?\d{1,5}(?:\.\d{1,4})?", re.ASCII)


class SettingError(ValueError):
    """A setting that cannot be read; `problem` and `remedy` are without their full stops."""

    def __init__(self, problem: str, remedy: str) -> None:
        super().__init__(f"{problem}; {remedy}.")
        self.problem = problem
        self.remedy = remedy


def wind_at_level(text: str) -> WindAtLevel:
    """`250/15`, `5000:260/25` at 5000 ft, or `calm`: magnetic direction it blows from, knots."""
    if text.strip().lower() == "calm":
        return WindAtLevel(wind_from_mag_deg=360.0, wind_kt=0.0)
    match = _WIND.fullmatch(text.strip().lower())
    remedy = "write direction/knots, for example 250/15, or 5000:260/25 at 5000 ft"
    if match is None:
        raise SettingError(f"{text!r} is no wind", remedy)
    direction_deg = float(match["direction"])
    wind_kt = float(match["speed"])
    if direction_deg > 360.0:
        raise SettingError(f"{text!r}: wind blows from no more than 360 degrees", remedy)
    if wind_kt > 250.0:
        raise SettingError(f"{text!r}: {wind_kt:g} kt is more wind than there is", remedy)
    # 000 is how weather reports write calm and how some write north; both are spoken 360.
    return WindAtLevel(
        wind_from_mag_deg=direction_deg or 360.0, wind_kt=wind_kt, altitude_ft=float(match["level"] or 0.0)
    )


def setting_hpa(text: str) -> float:
    """An altimeter setting: hPa (`996`), or inches of mercury, known by its size (`29.42`, `2942`)."""
    value = _number(text)
    if 25.0 <= value <= 32.0:
        return hpa_from_inhg(value)
    if 2500.0 <= value <= 3200.0:
        return hpa_from_inhg(value / 100.0)
    # Bounds as for QNH ever recorded (about 870 to 1085 hPa), with QFE of the highest aerodromes below them.
    if 500.0 <= value <= 1090.0:
        return value
    raise SettingError(
        f"{text} is no altimeter setting",
        "give hPa, for example 996, or inches of mercury, for example 29.42",
    )


def temperature_c(text: str) -> float:
    """Degrees Celsius at the aerodrome."""
    return _within(text, -80.0, 60.0, "degrees Celsius", "-5")


def bank_deg(text: str) -> float:
    """The most bank used in turns, degrees."""
    return _within(text, 5.0, 45.0, "degrees of bank", "25")


def addon_ft(text: str) -> float:
    """Feet added to the minimum where it is called."""
    return _within(text, 0.0, 500.0, "feet", "50")


def phase_speed(text: str) -> tuple[str, float]:
    """`final=140`: a phase of flight and its indicated airspeed, kt."""
    phase, equals, speed = text.partition("=")
    phase = phase.strip().lower()
    if not equals or phase not in PHASES:
        raise SettingError(
            f"{text!r} names no phase of flight", f"write {_listed(PHASES)} and =knots, for example final=140"
        )
    return phase, _within(speed, 40.0, 400.0, "knots", "140")


def datum(text: str) -> Datum:
    """What the pilot sets below the transition altitude: `qnh` or `qfe`."""
    return Datum(_one_of(text.lower(), (Datum.QNH, Datum.QFE), "datum"))


def category(text: str) -> Category:
    """The aircraft approach category, A to E."""
    return Category(_one_of(text.upper(), tuple(Category), "approach category"))


def prompting(text: str) -> Prompting:
    """How much is said."""
    return Prompting(_one_of(text.lower(), tuple(Prompting), "amount of prompting"))


def switch(text: str) -> bool:
    """`true` or `false`."""
    return _one_of(text.lower(), ("true", "false"), "switch") == "true"


READERS: Final[dict[str, Callable[[str], object]]] = {
    "wind": wind_at_level,
    "qnh": setting_hpa,
    "qfe": setting_hpa,
    "temperature": temperature_c,
    "datum": datum,
    "category": category,
    "speed": phase_speed,
    "bank": bank_deg,
    "minimum_addon": addon_ft,
    "lights_out": switch,
    "cold": switch,
    "prompting": prompting,
}
"""Each setting by name, and what reads it."""

REPEATED: Final = frozenset({"wind", "speed"})
"""Settings of which there can be several."""

SWITCHES: Final = frozenset({"lights_out", "cold"})
"""Settings that are on when named as a flag."""


def _number(text: str) -> float:
    if not _NUMBER.fullmatch(text.strip()):
        raise SettingError(f"{text!r} is no number", "write digits, with a point where needed")
    return float(text)


def _within(text: str, least: float, most: float, unit: str, example: str) -> float:
    value = _number(text)
    if not least <= value <= most:
        raise SettingError(
            f"{text} is not between {least:g} and {most:g} {unit}", f"write for example {example}"
        )
    return value


def _one_of(text: str, choices: tuple[str, ...], what: str) -> str:
    if text.strip() not in choices:
        raise SettingError(f"{text!r} is no {what}", f"write {_listed(choices)}")
    return text.strip()


def _listed(choices: tuple[str, ...]) -> str:
    return ", ".join(choices[:-1]) + " or " + choices[-1]
