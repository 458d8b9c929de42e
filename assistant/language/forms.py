"""How numbers are put into a callout: in words for the voice, in figures for the screen."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from assistant.language.numbers import (
    spoken_altitude,
    spoken_bearing,
    spoken_digits,
    spoken_flight_level,
    spoken_frequency,
    spoken_minimum,
    spoken_tenths,
    spoken_time,
    spoken_whole,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How numbers are put: in words or in figures. `degrees` and `knots` take a number already put so."""

    altitude: Callable[[float], str]
    minimum: Callable[[float], str]
    level: Callable[[float], str]
    tenths: Callable[[float], str]
    whole: Callable[[float], str]
    bearing: Callable[[float], str]
    time: Callable[[float], str]
    frequency: Callable[[float], str]
    text: Callable[[str], str]
    radial_prefix: str
    feet_per_minute: str
    degrees: Callable[[str], str]
    knots: Callable[[str], str]


def _text_in_words(text: str) -> str:
    """A chart's text with its numbers in words; whole hundreds from 1000 up are taken for altitudes."""

    def say(found: re.Match[str]) -> str:
        written = found.group().replace(",", "")
        is_altitude = re.fullmatch("[1-9][0-9]{1,2}00", written)
        words = spoken_altitude(float(written)) if is_altitude else spoken_digits(written)
        before, after = text[: found.start()][-1:], text[found.end() :][:1]
        return f"{' ' if before.isalpha() else ''}{words}{' ' if after.isalpha() else ''}"

    return re.sub(r"[0-9]+(?:,[0-9]{3})*(?:\.[0-9]+)?", say, text)


def _counted(unit: str) -> Callable[[str], str]:
    """The unit after a number in words; `unit` is its singular, which only "one" has."""
    return lambda number: f"{number} {unit}" if number == "one" else f"{number} {unit}s"


def _written_time(time_s: float) -> str:
    minutes, seconds = divmod(round(time_s), 60)
    return f"{minutes}:{seconds:02d}" if minutes else f"{seconds} s"


SPOKEN = Form(
    altitude=spoken_altitude,
    minimum=spoken_minimum,
    level=spoken_flight_level,
    tenths=spoken_tenths,
    whole=spoken_whole,
    bearing=spoken_bearing,
    time=spoken_time,
    frequency=spoken_frequency,
    text=_text_in_words,
    radial_prefix="radial ",
    feet_per_minute=" feet per minute",
    degrees=_counted("degree"),
    knots=_counted("knot"),
)
WRITTEN = Form(
    altitude=lambda altitude_ft: f"{altitude_ft:.0f}",
    minimum=lambda altitude_ft: f"{altitude_ft:.0f}",
    level=lambda level: f"FL{level:.0f}",
    tenths=lambda number: f"{number:.1f}".removesuffix(".0"),
    whole=lambda number: f"{number:.0f}",
    bearing=lambda bearing_deg: f"{round(bearing_deg) % 360 or 360:03d}",
    time=_written_time,
    frequency=lambda frequency_mhz: f"{frequency_mhz:.3f}",
    text=lambda text: text,
    radial_prefix="R",
    feet_per_minute=" fpm",
    degrees=lambda number: f"{number}°",
    knots=lambda number: f"{number} kt",
)
