"""
What a pilot makes of spoken words: the very text that the voice would say, read back into things to do.

Nothing of the engine's figures comes through here, so that a callout whose wording misleads makes a flight
fail. A sentence that begins with "then" or "next" tells of what is to come: of it the pilot keeps the course
to set, and does nothing yet.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from assistant.procedure.model import Datum

_DIGITS: Final = {
    word: digit
    for digit, word in enumerate(
        ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "niner")
    )
}
_NUMBER: Final = rf"((?:(?:{'|'.join(_DIGITS)}|decimal|thousand|hundred)\b ?)+)"
_LEVEL: Final = rf"(flight level )?{_NUMBER}"
_NEXT_COURSE_WORDS: Final = 5
"""Words up to the course in "Next: course two four three, …"."""
_DATUMS: Final = {"qnh": Datum.QNH, "qfe": Datum.QFE, "standard": Datum.STANDARD}


@dataclass(frozen=True, slots=True, kw_only=True)
class Steer:
    """
    Fly a heading; `turn` is the way round that was said, None for the shorter.

    `back_to_course`: said because the needle is off, which who follows the needle sees anyway.
    """

    heading_mag_deg: float
    turn: str | None = None
    back_to_course: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SetCourse:
    """The course to set for the leg to come (`this_leg`: for the one being flown), magnetic."""

    course_mag_deg: float
    this_leg: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeLevel:
    """
    A level to go to, as the altimeter shows it.

    `way` is "descend", "climb", "maintain" or "not below" (a limit of the descent being flown).
    """

    way: str
    indicated_ft: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SinkAt:
    """A rate of descent; `begins` where it starts one, else it changes the one being flown."""

    descent_fpm: float
    begins: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAltimeter:
    """What the altimeter is to be set to."""

    datum: Datum


@dataclass(frozen=True, slots=True, kw_only=True)
class Noticed:
    """
    Something said that asks for no control: "visual?", "report …", "say again …", a phase of the flight.

    `item` is what was asked for, empty where there is nothing to name.
    """

    what: str
    item: str = ""


Meaning = Steer | SetCourse | ChangeLevel | SinkAt | SetAltimeter | Noticed


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """One thing understood, and after how many words of the text it had been heard."""

    meaning: Meaning
    words: int


@lru_cache(maxsize=4096)
def understand(text: str) -> tuple[Understood, ...]:
    """All that a pilot takes from one callout, in the order heard; nothing where it asks for nothing."""
    found: list[Understood] = []
    words, turn = 0, None
    for sentence in re.findall(r"[^.?!]+[.?!]?", text):
        said = sentence.lower().replace(",", "").strip()
        words += len(said.split())
        turned = re.search(r"\bturn (left|right)\b", said)
        turn = turned.group(1) if turned is not None else turn
        for meaning in _meanings(said, turn, text):
            # Told of ahead it comes first in its sentence, and is heard by the fifth word.
            is_early = isinstance(meaning, SetCourse) and said.startswith("next:")
            heard = words - len(said.split()) + _NEXT_COURSE_WORDS if is_early else words
            found.append(Understood(meaning=meaning, words=heard))
    return tuple(found)


def spoken_number(words: str) -> float:
    """The number that radiotelephony words mean; ValueError for words that are none."""
    total, digits, decimals = 0.0, "", ""
    is_decimal = False
    for word in words.split():
        if word == "decimal":
            is_decimal = True
        elif word in ("thousand", "hundred"):
            total += float(digits) * (1000.0 if word == "thousand" else 100.0)
            digits = ""
        elif is_decimal:
            decimals += str(_DIGITS[word])
        else:
            digits += str(_DIGITS[word])
    return total + float(f"{digits or '0'}.{decimals or '0'}")


def _meanings(said: str, turn: str | None, text: str) -> list[Meaning]:
    if re.match(r"then\b|next:", said) or re.search(r"\bin .* seconds?\b|\bin .* minutes?\b", said):
        return _to_come(said)
    asked_back = re.match(r"say again heard (.+)\?", said)
    if asked_back is not None:
        # The pilot's own words: nothing in them is an order.
        return [Noticed(what="heard", item=asked_back.group(1))]
    found: list[Meaning] = []
    for phrase, what in _NOTICED:
        noticed = phrase.search(said)
        if noticed is not None:
            found.append(Noticed(what=what, item=noticed.group(1) if noticed.groups() else ""))
    course = re.search(rf"(?<!of )\bcourse {_NUMBER}", said)
    off = "of course" in text.lower()
    if course is not None:
        found.append(SetCourse(course_mag_deg=spoken_number(course.group(1)), this_leg=off))
    heading = re.search(rf"\bheading {_NUMBER}", said)
    if heading is not None:
        found.append(Steer(heading_mag_deg=spoken_number(heading.group(1)), turn=turn, back_to_course=off))
    elif course is not None:
        # "Course two four three" alone: steered as a heading until the needle shows more.
        found.append(Steer(heading_mag_deg=spoken_number(course.group(1)), turn=turn))
    altimeter = re.search(r"^set (qnh|qfe|standard)", said)
    if altimeter is not None:
        found.append(SetAltimeter(datum=_DATUMS[altimeter.group(1)]))
    return found + _vertical(said)


def _vertical(said: str) -> list[Meaning]:
    rate = re.search(rf"\b(descend )?{_NUMBER}feet per minute", said)
    if rate is not None:
        return [SinkAt(descent_fpm=spoken_number(rate.group(2)), begins=rate.group(1) is not None)]
    level = re.search(rf"\b(descend|climb|maintain|not below) {_LEVEL}", said)
    if level is None:
        return []
    scale = 100.0 if level.group(2) else 1.0
    return [ChangeLevel(way=level.group(1), indicated_ft=spoken_number(level.group(3)) * scale)]


def _to_come(said: str) -> list[Meaning]:
    """What a preparation or the next event tells: the course to set, and how far the approach has come."""
    found: list[Meaning] = []
    course = re.search(rf"\bcourse {_NUMBER}", said)
    if course is not None:
        course_deg = spoken_number(course.group(1))
        found.append(SetCourse(course_mag_deg=course_deg, this_leg=said.startswith("next:")))
    if "final approach fix" in said:
        near = not said.startswith("next:")
        found.append(Noticed(what="final approach fix near" if near else "final approach fix next"))
    elif said.startswith("missed approach point in"):
        found.append(Noticed(what="missed approach point near"))
    elif re.search(r"\bhold\b", said):
        found.append(Noticed(what="hold ahead"))
    return found


_NOTICED: Final = (
    (re.compile(r"\bvisual$|\bvisual\?"), "visual?"),
    (re.compile(r"^report (.+?)\.?$"), "report"),
    (re.compile(r"^say again (.+?)\.?$"), "say again"),
    (re.compile(r"^say again\.?$"), "say again"),
    (re.compile(r"\bgo around\b"), "go around"),
    (re.compile(r"^land\b"), "land"),
    (re.compile(r"\bmile arc\b"), "arc"),
    (re.compile(r"\bof course\b"), "off course"),
    (re.compile(r"^(direct|offset|parallel) entry\b"), "hold entry"),
    (re.compile(r"^inbound heading\b"), "inbound"),
    (re.compile(r"^(leaving at the fix)"), "leaving"),
    (re.compile(r"^check altimeter"), "check altimeter"),
)
