"""An altitude as a person types it from a chart (`at 2500 QFE`, `FL80`, `max 8000`) to the keys of a file."""

import re

_KINDS = {
    "": "at_or_above",
    "min": "at_or_above",
    "above": "at_or_above",
    "at": "at",
    "max": "at_or_below",
    "below": "at_or_below",
    "about": "recommended",
    "recommended": "recommended",
}
_ALTITUDE = re.compile(
    r"(?:(?!fl\b)(?P<kind>[a-z]+)\s+)?(?:fl\s*(?P<level>\d{2,3})|(?P<feet>\d{2,5})\s*(?:ft)?\s*(?P<datum>qnh|qfe)?)\Z"
)


def altitude_from_words(text: str) -> dict[str, object]:
    """
    The keys of an `Altitude`: kind, and one of altitude_ft, height_ft (QFE) and flight_level.

    Without a word before it a value is a floor, without a datum it is on QNH. ValueError says what is wanted.
    """
    match = _ALTITUDE.match(text.strip().lower())
    kind = _KINDS.get(match["kind"] or "") if match else None
    if match is None or kind is None:
        raise ValueError(
            f"{text!r} is no altitude; write 3000, 2500 QFE or FL80, with at, max or about before it"
        )
    if match["level"] is not None:
        return {"kind": kind, "flight_level": int(match["level"])}
    return {"kind": kind, "height_ft" if match["datum"] == "qfe" else "altitude_ft": int(match["feet"])}
