"""A debrief's figures as they are written on screen and page: the same everywhere."""

from assistant.briefing.words import clock
from assistant.debrief.content import Debrief, EventRow, Mark

NOT_KNOWN = "-"


def worst(mark: Mark) -> str:
    """The worst value of a mark, signed where a side is meant."""
    match mark.unit:
        case "ft":
            return f"{mark.worst:+.0f} ft" if abs(mark.worst) >= 0.5 else "0 ft"
        case "NM":
            return f"{_tenths(mark.worst)} NM"
        case "°":
            return f"{_tenths(mark.worst)}°"
        case "wrong":
            return f"{mark.worst:.0f} wrong" if mark.worst else "none wrong"
        case _:
            return f"{mark.worst:.0f} {mark.unit}"


def _tenths(value: float) -> str:
    return f"{value:+.1f}" if abs(value) >= 0.05 else "0.0"


def event_cells(row: EventRow) -> tuple[str, str, str, str, str, str]:
    """Number and name, place, due, called, reported, acted on."""
    called = NOT_KNOWN if row.called_s is None else clock(row.called_s)
    acted = NOT_KNOWN
    if row.late_s is not None:
        acted = "on time" if row.late_s < LATE_FROM_S else f"{row.late_s:.0f} s late"
    place = row.place or (f"{row.altitude_ft:.0f} ft" if row.altitude_ft is not None else "")
    reported = NOT_KNOWN if row.reported_s is None else f"+{max(row.reported_s - row.due_s, 0.0):.0f} s"
    return f"{row.number} {row.name}", place, clock(row.due_s), called, reported, acted


LATE_FROM_S = 5.0
"""Less than this is a pilot's hand reaching for the bank."""

EVENT_COLUMNS = ("Event", "Where", "Due", "Called", "Reported", "Acted on")


def headline(made: Debrief) -> str:
    """The rating in one line."""
    return f"{made.marks_met} of {len(made.marks)} marks met ({made.standard}); {made.ended}"


def talk_lines(made: Debrief) -> tuple[str, ...]:
    """How the two talked, a line each, only what there is."""
    talked = made.conduct
    lines = [
        f"{talked.reports} reports" + (f", {talked.samples} samples of a feed" if talked.samples else "")
    ]
    if talked.silences:
        lines.append(
            "longest silences: "
            + ", ".join(f"{s.lasted_s:.0f} s from {clock(s.from_s)}" for s in talked.silences)
        )
    if talked.challenges:
        lines.append(
            "not believed: " + "; ".join(f"{clock(t_s)} {reason}" for t_s, reason in talked.challenges[:5])
        )
    if talked.misunderstood:
        lines.append(
            "not understood: "
            + "; ".join(f"{clock(t_s)} “{_plain(text)}”" for t_s, text in talked.misunderstood[:5])
        )
    if talked.asked_for:
        lines.append("asked for: " + "; ".join(f"{clock(t_s)} {item}" for t_s, item in talked.asked_for[:5]))
    return tuple(lines)


def _plain(text: str) -> str:
    """What was typed, without what would move a cursor."""
    return "".join(character if character.isprintable() else "?" for character in text[:30])


def end_lines(made: Debrief) -> tuple[str, ...]:
    """The final descent and the minimum, a line each, only what there is."""
    lines: list[str] = []
    if made.descent is not None:
        held = made.descent
        lines.append(f"rate of descent: {held.held_fpm:.0f} ft/min held, {held.planned_fpm:.0f} planned")
        if held.off_slope_ft:
            lines.append(
                "off the slope: "
                + ", ".join(f"{off_ft:+.0f} ft at {dme_nm:.1f} DME" for dme_nm, off_ft in held.off_slope_ft)
            )
    if made.decision is not None:
        decided = made.decision
        called = "" if decided.called_s is None else f" at {clock(decided.called_s)}"
        waited = ""
        if decided.called_s is not None and decided.decided_s is not None:
            waited = f" after {max(decided.decided_s - decided.called_s, 0.0):.0f} s"
        lines.append(f"minimum {decided.minimum_ft:.0f} ft QNH{called}: {decided.decided}{waited}")
    return tuple(lines)
