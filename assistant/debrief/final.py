"""The end of the approach: the descent that was held, and what was made of the minimum."""

from assistant.briefing.descent import final_groundspeed_kt
from assistant.briefing.words import miles
from assistant.debrief.content import Decision, DescentHeld, Finding, Mark, Topic
from assistant.debrief.flown import Flown, Reading
from assistant.debrief.measures import Measured, finding, where
from assistant.debrief.standards import Standard
from assistant.engine.events import CalloutKind, Said, Statement
from assistant.engine.plan import Phase
from assistant.flight_log import NotSpoken, Spoken

# This program's own: half of what the slope loses in a mile; and how long "minimum" may stand unanswered.
SLOPE_FT = 150.0
DECIDE_WITHIN_S = 8.0
SETTLING_S = 30.0
"""After the final approach fix the rate is still being set, and heights do not yet show it."""
_DECIDES = (Said.VISUAL, Said.NOT_VISUAL, Said.GOING_AROUND)
_LONG_S = 20.0


def descent_held(flown: Flown) -> DescentHeld | None:
    """The final descent as read; None where fewer than two readings show it."""
    plan = flown.plan
    on_final = [
        reading
        for reading in flown.accepted
        if reading.before.stage.phase is Phase.FINAL
        and "final descent" in reading.before.fired
        and reading.altitude_ft is not None
        and reading.report.dme_nm is not None
    ]
    above = [reading for reading in on_final if (reading.altitude_ft or 0.0) > plan.minimum_ft]
    if len(above) < 2 or above[-1].t_s - above[0].t_s < _LONG_S:
        return None
    first, last = above[0], above[-1]
    held_fpm = ((first.altitude_ft or 0.0) - (last.altitude_ft or 0.0)) / (last.t_s - first.t_s) * 60.0
    off = [
        (reading.report.dme_nm, (reading.altitude_ft or 0.0) - due_ft)
        for reading in above
        if reading.report.dme_nm is not None
        and reading.t_s - reading.before.entered_s >= SETTLING_S
        and (due_ft := plan.altitude_due_ft(reading.report.dme_nm)) is not None
        and due_ft > plan.decision_ft
    ]
    return DescentHeld(
        planned_fpm=plan.final_gradient_ft_per_nm * final_groundspeed_kt(plan) / 60.0,
        held_fpm=held_fpm,
        from_s=first.t_s,
        to_s=last.t_s,
        off_slope_ft=tuple(off),
    )


def slope(held: DescentHeld | None) -> Measured:
    """Heights on the final descent against the altitude due at the range."""
    if held is None or not held.off_slope_ft:
        return Measured()
    dme_nm, off_ft = max(held.off_slope_ft, key=lambda pair: abs(pair[1]))
    met = abs(off_ft) <= SLOPE_FT
    mark = Mark(
        topic=Topic.SLOPE,
        what="heights on final",
        worst=off_ft,
        unit="ft",
        allowed=f"±{SLOPE_FT:.0f} ft",
        is_met=met,
        is_standard=False,
        t_s=held.to_s,
    )
    if met:
        return Measured(marks=(mark,))
    side = "above" if off_ft > 0.0 else "below"
    text = (
        f"{abs(off_ft):.0f} ft {side} the slope at {miles(dme_nm)} DME; held {held.held_fpm:.0f} ft/min, "
        f"planned {held.planned_fpm:.0f}"
    )
    return Measured(marks=(mark,), findings=(finding(Topic.SLOPE, held.to_s, text, abs(off_ft) / SLOPE_FT),))


def decision(flown: Flown) -> Decision | None:
    """What came of the minimum; None where the flight never came to it."""
    called = [
        record
        for record in flown.records
        if isinstance(record, Spoken | NotSpoken) and record.callout.kind is CalloutKind.MINIMUM
    ]
    said = [record for record in flown.records if isinstance(record, Statement) and record.said in _DECIDES]
    if not called and not said:
        return None
    called_s = called[0].t_s if called else None
    answer = next((record for record in said if called_s is None or record.t_s >= called_s - _LONG_S), None)
    until_s = answer.t_s if answer is not None else flown.end_s
    lowest = _lowest(flown, until_s)
    return Decision(
        called_s=called_s,
        decided_s=None if answer is None else answer.t_s,
        decided="nothing said" if answer is None else answer.said.value.replace("_", " "),
        lowest_ft=None if lowest is None else lowest.altitude_ft,
        minimum_ft=flown.plan.minimum_ft,
    )


def _lowest(flown: Flown, until_s: float) -> Reading | None:
    """The lowest reading on final before it was decided."""
    on_final = [
        reading
        for reading in flown.accepted
        if reading.t_s <= until_s
        and reading.before.stage.phase is Phase.FINAL
        and reading.altitude_ft is not None
    ]
    return min(on_final, key=lambda reading: reading.altitude_ft or 0.0, default=None)


def at_minimum(flown: Flown, decided: Decision | None, standard: Standard) -> Measured:
    """Not below the minimum before it was decided, and decided in time."""
    if decided is None or decided.lowest_ft is None:
        return Measured()
    off_ft = decided.lowest_ft - decided.minimum_ft
    below = off_ft < -standard.minimum_below_ft
    mark = Mark(
        topic=Topic.MINIMUM,
        what="lowest, from the minimum",
        worst=off_ft,
        unit="ft",
        allowed=f"-{standard.minimum_below_ft:.0f} ft",
        is_met=not below,
        is_standard=True,
        t_s=decided.decided_s or decided.called_s or flown.end_s,
    )
    findings: list[Finding] = []
    if decided.called_s is not None:
        waited_s = (decided.decided_s if decided.decided_s is not None else flown.end_s) - decided.called_s
        if waited_s > DECIDE_WITHIN_S:
            said = "nothing said" if decided.decided_s is None else f"{waited_s:.0f} s to decide"
            text = f"{said} after the minimum was called"
            findings.append(finding(Topic.MINIMUM, decided.called_s, text, waited_s / DECIDE_WITHIN_S / 2.0))
    return Measured(marks=(mark,), findings=tuple(findings) + _level_at_minimum(flown, standard))


def _level_at_minimum(flown: Flown, standard: Standard) -> tuple[Finding, ...]:
    """Above the band after the minimum was once reached: ballooned, or climbed without going around."""
    reached = False
    for reading in flown.accepted:
        if (
            reading.before.stage.phase is not Phase.FINAL
            or reading.altitude_ft is None
            or reading.before.visual
        ):
            continue
        off_ft = reading.altitude_ft - flown.plan.minimum_ft
        if reached and off_ft > standard.minimum_above_ft + flown.plan.conditions.minimum_addon_ft:
            text = f"{off_ft:.0f} ft above the minimum after it was reached, {where(reading)}"
            return (finding(Topic.MINIMUM, reading.t_s, text, off_ft / standard.minimum_above_ft / 2.0),)
        reached = reached or off_ft <= flown.plan.conditions.minimum_addon_ft
    return ()
