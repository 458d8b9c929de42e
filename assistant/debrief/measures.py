"""
What was flown against what was due, as marks, and what went wrong, as findings.

A mark is the worst value of one thing in one part of the flight, against the test standard's tolerance or,
where the standard has none, against this program's own (said with the mark). A finding is a mark not met, or
something that has no tolerance at all: a floor broken, a wrong altimeter setting.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from assistant.briefing.words import degrees, miles
from assistant.debrief.content import EventRow, Finding, Mark, Topic
from assistant.debrief.flown import Flown, Reading
from assistant.debrief.rating import WEIGHTS
from assistant.debrief.standards import Standard
from assistant.engine.estimate import course_deviation_deg
from assistant.engine.events import Datum
from assistant.engine.plan import Phase
from assistant.engine.today import altitude_from_indicated_ft

# This program's own: six tenths of a mile at 180 kt, and no finer than readings half a minute apart can tell.
TURN_LATE_S = 12.0
# A level that was called is to be reached before it is judged from above; a reading this near has reached it.
_REACHED_FT = 100.0
# Nearer to the station the needle swings by itself.
_NEEDLE_FROM_NM = 1.0
_SETTLED_S = 30.0
_ALTIMETER_SIZE = 2.0
_SAME_S = 90.0
# As the engine has it (doubting.other_setting): less is a pilot's wandering, not a setting.
_CLEARLY_OFF_FT = 150.0
_NEAR_FT = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Marks and findings of one kind of measure."""

    marks: tuple[Mark, ...] = ()
    findings: tuple[Finding, ...] = ()


def finding(topic: Topic, t_s: float, text: str, size: float) -> Finding:
    """A finding with its topic's weight; size below 1 is raised to it, since it was found wrong."""
    return Finding(topic=topic, t_s=t_s, text=text, size=max(size, 1.0), weight=WEIGHTS[topic])


def where(reading: Reading) -> str:
    """Where a reading was taken, as far as it says."""
    report = reading.report
    parts = [
        "" if report.radial_deg is None else f"R{degrees(report.radial_deg)}",
        "" if report.dme_nm is None else f"{miles(report.dme_nm)} DME",
    ]
    said = " ".join(part for part in parts if part)
    return f"at {said}" if said else f"on {reading.after.stage.title}"


def floors(flown: Flown, standard: Standard) -> Measured:
    """Readings below a floor in force, one finding a stretch; below the minimum counts as its own topic."""
    findings: list[Finding] = []
    worst_ft, worst_s = 0.0, 0.0
    for floor_ft, stretch in _stretches(flown):
        lowest = min(stretch, key=lambda reading: reading.altitude_ft or 0.0)
        below_ft = floor_ft - (lowest.altitude_ft or 0.0)
        topic = Topic.MINIMUM if abs(floor_ft - flown.plan.minimum_ft) < 0.5 else Topic.FLOOR
        what = "minimum" if topic is Topic.MINIMUM else "minimum altitude there"
        findings.append(
            finding(
                topic,
                lowest.t_s,
                f"{below_ft:.0f} ft below the {what}, {floor_ft:.0f} ft QNH, {where(lowest)}",
                below_ft / standard.altitude_ft,
            )
        )
        if topic is Topic.FLOOR and below_ft > worst_ft:
            worst_ft, worst_s = below_ft, lowest.t_s
    if not any(reading.altitude_ft is not None for reading in flown.readings):
        return Measured(findings=tuple(findings))
    mark = Mark(
        topic=Topic.FLOOR,
        what="minimum altitudes",
        worst=-worst_ft if worst_ft else 0.0,
        unit="ft",
        allowed="-0 ft",
        is_met=worst_ft == 0.0,
        is_standard=True,
        t_s=worst_s,
    )
    return Measured(marks=(mark,), findings=tuple(findings))


def _stretches(flown: Flown) -> Iterator[tuple[float, list[Reading]]]:
    """Readings below the same floor, one after the other; a wrong setting is not a wrong height."""
    wrong = {id(reading) for reading, _ in wrong_settings(flown)}
    for floor_ft, group in groupby(flown.readings, key=lambda reading: reading.floor_broken_ft):
        readings = [reading for reading in group if id(reading) not in wrong]
        if floor_ft is not None and readings:
            yield floor_ft, readings


def altimeter(flown: Flown) -> Measured:
    """Readings that fit another altimeter setting than the one in use; one finding a stretch."""
    findings: list[Finding] = []
    last: tuple[Datum | None, float] = (None, -_SAME_S)
    for reading, datum in wrong_settings(flown):
        again = datum is last[0] and reading.t_s - last[1] < _SAME_S
        last = datum, reading.t_s
        if again:
            continue
        used = reading.before.datum
        off_ft = abs(_as_if_on(reading, datum) - (reading.altitude_ft or 0.0))
        findings.append(
            finding(
                Topic.ALTIMETER,
                reading.t_s,
                f"altimeter on {_datum(datum)} where {_datum(used)} was in use: "
                f"{reading.report.indicated_ft:.0f} ft read {where(reading)}, {off_ft:.0f} ft off",
                _ALTIMETER_SIZE,
            )
        )
    if not any(reading.report.indicated_ft is not None for reading in flown.readings):
        return Measured()
    mark = Mark(
        topic=Topic.ALTIMETER,
        what="altimeter setting",
        worst=float(len(findings)),
        unit="wrong",
        allowed="none",
        is_met=not findings,
        is_standard=False,
        t_s=findings[0].t_s if findings else 0.0,
    )
    return Measured(marks=(mark,), findings=tuple(findings))


def wrong_settings(flown: Flown) -> Iterator[tuple[Reading, Datum]]:
    """
    Readings taken on another setting than the one in use, and that setting.

    In level flight one reading shows it. On the final approach a dive can look like a wrong setting for a
    moment, so there two readings in a row must lie on the slope on the other setting and off it on their own.
    """
    final = [reading for reading in flown.readings if reading.before.stage.phase is Phase.FINAL]
    on_slope = [_fits_slope(reading) for reading in final]
    for place, reading in enumerate(final):
        beside = {*on_slope[max(place - 1, 0) : place], *on_slope[place + 1 : place + 2]}
        found = on_slope[place]
        if found is not None and found in beside:
            yield reading, found
    for reading in flown.readings:
        if reading.fits is not None and reading.before.stage.phase is not Phase.FINAL:
            yield reading, reading.fits


def _fits_slope(reading: Reading) -> Datum | None:
    """The other setting on which a reading on final would be the height due at its range."""
    report, plan = reading.report, reading.before.plan
    due_ft = None if report.dme_nm is None else plan.altitude_due_ft(report.dme_nm)
    if due_ft is None or reading.altitude_ft is None or report.datum is not None:
        return None
    if abs(reading.altitude_ft - due_ft) < _CLEARLY_OFF_FT:
        return None
    others = [datum for datum in Datum if datum is not reading.before.datum]
    return next((d for d in others if abs(_as_if_on(reading, d) - due_ft) <= _NEAR_FT), None)


def _as_if_on(reading: Reading, datum: Datum) -> float:
    """The altitude that a reading means if the altimeter stood on another setting."""
    plan = reading.before.plan
    return altitude_from_indicated_ft(
        reading.report.indicated_ft or 0.0, datum, procedure=plan.procedure, qnh_hpa=plan.conditions.qnh_hpa
    )


def _datum(datum: Datum) -> str:
    return "standard" if datum is Datum.STANDARD else datum.value.upper()


def levels(flown: Flown, standard: Standard) -> Measured:
    """
    Altitudes held, by part of the flight before the final approach.

    Judged once the level called for has been reached. Readings on a wrong setting, and below a floor, are
    findings of their own.
    """
    worst: dict[str, tuple[float, Reading, float]] = {}
    wrong = {id(reading) for reading, _ in wrong_settings(flown)}
    reached: tuple[float | None, bool] = (None, False)
    for reading in flown.accepted:
        state = reading.before
        level_ft = state.target_ft if state.target_ft is not None else state.stage.target_ft
        phase = state.stage.phase
        if level_ft is None or reading.altitude_ft is None or phase not in _LEVEL_PHASES:
            continue
        off_ft = reading.altitude_ft - level_ft
        was_reached = reached == (level_ft, True)
        reached = level_ft, was_reached or abs(off_ft) <= _REACHED_FT
        if (
            not (was_reached or off_ft < 0.0)
            or id(reading) in wrong
            or reading.after.target_ft != state.target_ft
        ):
            continue
        so_far = worst.get(phase.value)
        if so_far is None or abs(off_ft) > abs(so_far[0]):
            worst[phase.value] = off_ft, reading, level_ft
    marks, findings = [], []
    for name, (off_ft, reading, level_ft) in worst.items():
        met = abs(off_ft) <= standard.altitude_ft
        marks.append(
            Mark(
                topic=Topic.ALTITUDE,
                what=f"altitude, {name}",
                worst=off_ft,
                unit="ft",
                allowed=f"±{standard.altitude_ft:.0f} ft",
                is_met=met,
                is_standard=True,
                t_s=reading.t_s,
            )
        )
        if not met and reading.floor_broken_ft is None:
            side = "above" if off_ft > 0.0 else "below"
            text = f"{abs(off_ft):.0f} ft {side} {level_ft:.0f} ft QNH {where(reading)}"
            findings.append(finding(Topic.ALTITUDE, reading.t_s, text, abs(off_ft) / standard.altitude_ft))
    return Measured(marks=tuple(marks), findings=tuple(findings))


_LEVEL_PHASES = (Phase.HOLD, Phase.INITIAL, Phase.INTERMEDIATE)


def arcs(flown: Flown, standard: Standard) -> Measured:
    """Range held on each arc, after the turn on to it; nothing where the standard says nothing."""
    if standard.arc_nm is None:
        return Measured()
    marks, findings = [], []
    for name, group in groupby(flown.accepted, key=lambda reading: reading.after.stage_name):
        stage = flown.plan.stage(name) if name in flown.plan.index else None
        if stage is None or stage.arc is None or stage.timeline is None:
            continue
        off = [
            (reading.report.dme_nm - stage.arc.arc_dme_nm, reading)
            for reading in group
            if reading.report.dme_nm is not None
            and reading.after.progress_s(reading.t_s) >= stage.timeline.turn_end_s
        ]
        if not off:
            continue
        off_nm, reading = max(off, key=lambda pair: abs(pair[0]))
        met = abs(off_nm) <= standard.arc_nm
        marks.append(
            Mark(
                topic=Topic.ARC,
                what=f"{miles(stage.arc.arc_dme_nm)} DME arc",
                worst=off_nm,
                unit="NM",
                allowed=f"±{standard.arc_nm:.0f} NM",
                is_met=met,
                is_standard=True,
                t_s=reading.t_s,
            )
        )
        if not met:
            side = "outside" if off_nm > 0.0 else "inside"
            text = f"{abs(off_nm):.1f} NM {side} the {miles(stage.arc.arc_dme_nm)} DME arc {where(reading)}"
            findings.append(finding(Topic.ARC, reading.t_s, text, abs(off_nm) / standard.arc_nm))
    return Measured(marks=tuple(marks), findings=tuple(findings))


def courses(flown: Flown, standard: Standard) -> Measured:
    """How far the needle was off, on every course, once established or half a minute after the turn."""
    worst: dict[str, tuple[float, Reading]] = {}
    for reading in flown.accepted:
        stage, after = reading.after.stage, reading.after
        if stage.course is None or stage.timeline is None or reading.report.radial_deg is None:
            continue
        if reading.point is None or stage.phase in (Phase.ARRIVAL, Phase.LANDING, Phase.MISSED):
            continue
        settled = after.progress_s(reading.t_s) >= stage.timeline.turn_end_s + _SETTLED_S
        if not (settled or after.established) or (reading.report.dme_nm or _NEEDLE_FROM_NM) < _NEEDLE_FROM_NM:
            continue
        off_deg = course_deviation_deg(after, reading.point)
        so_far = worst.get(stage.title)
        if so_far is None or abs(off_deg) > abs(so_far[0]):
            worst[stage.title] = off_deg, reading
    marks, findings = [], []
    for title, (off_deg, reading) in worst.items():
        met = abs(off_deg) <= standard.course_deg
        marks.append(
            Mark(
                topic=Topic.COURSE,
                what=title[0].lower() + title[1:],
                worst=off_deg,
                unit="°",
                allowed=f"±{standard.course_deg:.1f}°",
                is_met=met,
                is_standard=True,
                t_s=reading.t_s,
            )
        )
        if not met:
            side = "right" if off_deg > 0.0 else "left"
            text = f"{abs(off_deg):.0f}° {side} of the course {where(reading)}, {title}"
            findings.append(finding(Topic.COURSE, reading.t_s, text, abs(off_deg) / standard.course_deg))
    return Measured(marks=tuple(marks), findings=tuple(findings))


def turns(rows: Iterable[EventRow]) -> Measured:
    """Turns begun late, by what the readings after them show."""
    known = [row for row in rows if row.late_s is not None and not row.name.startswith("descend")]
    if not known:
        return Measured()
    late = [row for row in known if (row.late_s or 0.0) > TURN_LATE_S]
    worst = max(known, key=lambda row: row.late_s or 0.0)
    mark = Mark(
        topic=Topic.TURN,
        what=f"{len(known)} turns, latest",
        worst=worst.late_s or 0.0,
        unit="s late",
        allowed=f"{TURN_LATE_S:.0f} s",
        is_met=not late,
        is_standard=False,
        t_s=worst.due_s,
    )
    findings = []
    for row in late:
        seconds = round((row.late_s or 0.0) / 5.0) * 5
        place = f" at {row.place}" if row.place else ""
        text = f"turned about {seconds} s late at the {row.name.removeprefix('turn on to ')}{place}".replace(
            "at the the ", "at the "
        )
        findings.append(finding(Topic.TURN, row.due_s, text, (row.late_s or 0.0) / TURN_LATE_S))
    return Measured(marks=(mark,), findings=tuple(findings))
