"""
A briefing aloud, in under two minutes: what must be heard before the approach, in the order flown.

Numbers are said as in radiotelephony (`language`). Where all of it would take longer, what can be looked up
on the way is left out, least needed first; the order of what remains never changes.
"""

import re
from dataclasses import dataclass

from assistant.briefing.content import Brief, Event
from assistant.briefing.words import degrees, miles
from assistant.engine.plan import Phase
from assistant.language.forms import SPOKEN
from assistant.language.numbers import spoken_altitude, spoken_time
from assistant.language.phraseology import spoken_duration_s

LONGEST_S = 118.0
"""Two minutes, less a breath."""

_MUST, _SHOULD, _MAY = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sentence:
    text: str
    need: int


def spoken_brief(brief: Brief) -> str:
    """The words of the briefing, no digit in them."""
    sentences = [_Sentence(text=in_words(one.text), need=one.need) for one in _sentences(brief)]
    for need in (_MAY, _SHOULD):
        while _duration_s(sentences) > LONGEST_S:
            last = next((one for one in reversed(sentences) if one.need == need), None)
            if last is None:
                break
            sentences.remove(last)
    return " ".join(one.text for one in sentences)


def _duration_s(sentences: list[_Sentence]) -> float:
    return sum(spoken_duration_s(one.text) for one in sentences)


def in_words(text: str) -> str:
    """A written sentence with its figures in words, each kind in its way."""
    text = re.sub(r"\bR(\d{3}) (?=\d)", r"radial \1, ", text)
    text = re.sub(r"\bR(\d{3})\b", r"radial \1", text)
    text = re.sub(r"\b(\d{3})/(\d+) kt", r"\1 degrees \2 knots", text)
    text = re.sub(r"\bFL(\d{3})\b", r"flight level \1", text)
    text = re.sub(r"(\d+)(?= (?:QNH|QFE)\b)", lambda found: spoken_altitude(float(found[1])), text)
    text = re.sub(r"(\d+) ft/min", lambda found: f"{spoken_altitude(float(found[1]))} feet per minute", text)
    text = re.sub(r"(\d+) m\b", lambda found: f"{spoken_altitude(float(found[1]))} metres", text)
    text = re.sub(r"(\d+):(\d\d)", lambda found: spoken_time(60.0 * int(found[1]) + int(found[2])), text)
    text = text.replace(" kt", " knots").replace("°", " degrees").replace(" NM", " miles")
    text = re.sub(r"(?<![\d.])1 (degree|knot|mile)s\b", r"1 \1", text)
    spoken = SPOKEN.text(text)
    return spoken[0].upper() + spoken[1:]


def _sentences(brief: Brief) -> list[_Sentence]:
    setting = {item.name: item.text for item in brief.setting_up}
    standard = next(item.detail for item in brief.setting_up if item.name == "Altimeter")
    later = f", {standard.partition(', ')[0]}" if standard.startswith("then") else ""
    found = [
        (_MUST, f"{brief.title}."),
        (_MUST, brief.caution),
        (_MUST, f"{brief.station.partition(', ')[2]}."),
        (_MUST, f"Course {setting['Course']}."),
        (_MUST, f"Altimeter {setting['Altimeter']}{later}."),
        (_SHOULD, f"{brief.conditions[0]}."),
    ]
    found.extend(_hold(brief))
    for event in brief.events:
        if event.elapsed_s is not None and event.phase not in (Phase.MISSED.value, Phase.HOLD.value):
            found.extend(_event(event))
    found.extend(_end(brief))
    found.extend(_missed(brief))
    found.extend((_MAY, f"If {change.condition}: {change.effect}.") for change in brief.changes[2:4])
    return [_Sentence(text=text, need=need) for need, text in found]


def _hold(brief: Brief) -> list[tuple[int, str]]:
    hold = brief.hold
    if hold is None:
        return []
    first, second = (event for event in brief.events if event.phase == Phase.HOLD.value)
    heading = (
        "" if first.heading_called_deg is None else f", outbound heading {degrees(first.heading_called_deg)}"
    )
    limit = f", to {second.place}" if second.dme_nm is not None else f", {second.place}"
    inbound = f"inbound {degrees(hold.inbound_course_mag_deg)}, {hold.turn.value} turns"
    return [(_MUST, f"Hold {hold.fix}, {inbound}{heading}{limit}, not below {hold.minimum}.")]


def _event(event: Event) -> list[tuple[int, str]]:
    """An event in one sentence; step-downs and points on final are said only while there is time."""
    place = _plain(event.place)
    where = place if event.name == "step-down" else f"{event.name}, {place}"
    if event.name == "decision":
        return []
    need = _SHOULD if event.heading_called_deg is None and event.phase == Phase.FINAL.value else _MUST
    if event.name == "visual descent point":
        return [(_MAY, f"{where}.")]
    floor = ""
    if "descend" in event.action and "ft/min" in event.action and event.floor is not None:
        floor, need = f", not below {event.floor}", _MUST
    return [(need, f"{where}: {event.action}{floor}.")]


def _end(brief: Brief) -> list[tuple[int, str]]:
    minima, runway = brief.minima, brief.runway
    side = "ahead" if runway.side == "ahead" else f"{runway.side}, {runway.angle_deg:.0f} degrees"
    visibility = "" if minima.visibility_m is None else f", visibility {minima.visibility_m:.0f} m"
    row = next(
        (row for row in brief.descent.heights if row.due.indicated_ft > minima.decision.indicated_ft + 500.0),
        None,
    )
    check = [] if row is None else [(_MAY, f"At {miles(row.dme_nm)} DME, {row.due}.")]
    cold = (
        [] if minima.cold is None else [(_SHOULD, f"In this cold the minimum is {minima.cold}, corrected.")]
    )
    return [
        *check,
        (_MUST, f"Minimum {minima.minimum}, called at {minima.decision}{visibility}."),
        *cold,
        (_SHOULD, f"Runway {side}."),
    ]


def _missed(brief: Brief) -> list[tuple[int, str]]:
    """The missed approach from the plan, not in the chart's words, which name altitudes without datum."""
    flown = [event for event in brief.events if event.phase == Phase.MISSED.value]
    first, *later = flown
    said = [(_MUST, f"{first.name}, {_plain(first.place)}: {first.action}.")]
    said.extend((_MUST, f"{_plain(event.place)}: {event.action}.") for event in later[:-1])
    if later and later[-1].action.startswith("hold"):
        said.append((_MUST, f"Then {later[-1].action}."))
    return said


def _plain(place: str) -> str:
    """A place without what stands in brackets beside it."""
    return re.sub(r" \([^)]*\)", "", place)
