"""What changes if: the same plan in other conditions, and the few figures that then differ."""

from collections.abc import Iterator
from dataclasses import replace

from assistant.briefing.content import Change
from assistant.briefing.descent import final_groundspeed_kt, final_timeline, missed_point_s
from assistant.briefing.levels import Levels
from assistant.briefing.words import clock, degrees
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.plan import Plan, PlanError
from assistant.engine.triggers import RadialReached, TimeElapsed
from assistant.nav.geometry import reciprocal_deg
from assistant.nav.vertical import descent_fpm
from assistant.procedure.model import Category

_STEP_KT = 10.0


def changes(plan: Plan, levels: Levels) -> tuple[Change, ...]:
    """What changes if the wind, the speed, the lights, the category or the altimeter's datum does."""
    return tuple(_changes(plan, levels))


def _changes(plan: Plan, levels: Levels) -> Iterator[Change]:
    day = plan.conditions
    course_deg = plan.procedure.final.course_mag_deg
    if day.wind:
        stronger = tuple(replace(wind, wind_kt=wind.wind_kt + _STEP_KT) for wind in day.wind)
        weaker = tuple(replace(wind, wind_kt=max(wind.wind_kt - _STEP_KT, 0.0)) for wind in day.wind)
        around = tuple(
            replace(wind, wind_from_mag_deg=reciprocal_deg(wind.wind_from_mag_deg)) for wind in day.wind
        )
        yield _flown("wind 10 kt more", plan, replace(day, wind=stronger), levels)
        yield _flown("wind 10 kt less", plan, replace(day, wind=weaker), levels)
        yield _flown("wind reversed", plan, replace(day, wind=around), levels)
    else:
        ahead = (WindAtLevel(wind_from_mag_deg=course_deg, wind_kt=_STEP_KT),)
        behind = (WindAtLevel(wind_from_mag_deg=reciprocal_deg(course_deg), wind_kt=_STEP_KT),)
        yield _flown("10 kt head wind", plan, replace(day, wind=ahead), levels)
        yield _flown("10 kt tail wind", plan, replace(day, wind=behind), levels)
    faster = replace(day, speeds=replace(day.speeds, final_kt=day.speeds.final_kt + _STEP_KT))
    yield _flown("10 kt faster on final", plan, faster, levels)
    minimum = plan.procedure.minimum_for(day.category)
    if not day.lights_out:
        out_m = minimum.lights_out_visibility_m
        text = "the chart prints no visibility for it"
        if out_m is not None:
            text = f"visibility {out_m:.0f} m in place of {minimum.visibility_m:.0f} m"
            if out_m == minimum.visibility_m:
                text = f"visibility stays {out_m:.0f} m"
        yield Change(condition="approach lights out", effect=text)
    else:
        yield Change(condition="approach lights back", effect=f"visibility {minimum.visibility_m:.0f} m")
    yield from _next_category(plan, levels)
    yield Change(
        condition=f"flown on {levels.other_datum.value.upper()}",
        effect=f"minimum {levels.on(plan.minimum_ft, levels.other_datum)}, "
        f"called at {levels.on(plan.decision_ft, levels.other_datum)}",
    )


def _flown(condition: str, plan: Plan, day: Conditions, levels: Levels) -> Change:
    """Recompiled: the figures as called, as far as they differ from today's."""
    try:
        other = compile_plan(plan.procedure, day)
    except PlanError as error:
        return Change(
            condition=condition, effect=f"not to be flown: {str(error).partition(': ')[2] or error}"
        )
    now, then = _figures(plan, levels), _figures(other, levels)
    differing = [f"{name} {value}" for name, value in then.items() if now.get(name) != value]
    return Change(condition=condition, effect=", ".join(differing) or "nothing that is called")


def _figures(plan: Plan, levels: Levels) -> dict[str, str]:
    """The figures that wind and speed move, as they are called."""
    _, timeline = final_timeline(plan)
    rate_fpm = descent_fpm(final_groundspeed_kt(plan), plan.procedure.final.descent_angle_deg)
    figures: dict[str, str] = {}
    if plan.procedure.hold is not None:
        hold = plan.stage("hold_outbound")
        figures["hold outbound"] = degrees(
            levels.called_heading_deg(hold.cues[0].figures.heading_mag_deg or 0.0)
        )
        if isinstance(hold.exits[0].trigger, TimeElapsed):
            figures["outbound time"] = clock(hold.exits[0].trigger.time_s)
    for stage in plan.stages:
        trigger = stage.exits[0].trigger if stage.arc is not None else None
        if isinstance(trigger, RadialReached):
            figures["lead radial"] = degrees(trigger.radial_deg)
    figures["final heading"] = degrees(levels.called_heading_deg(timeline.headings_deg[-1]))
    figures["rate"] = f"{levels.called_rate_fpm(rate_fpm):.0f} ft/min"
    if isinstance(plan.stage("final").exits[0].trigger, TimeElapsed):
        figures["missed approach point"] = clock(missed_point_s(plan))
    return figures


def _next_category(plan: Plan, levels: Levels) -> Iterator[Change]:
    order = tuple(Category)
    place = order.index(plan.conditions.category) + 1
    if place >= len(order):
        return
    category = order[place]
    condition = f"category {category.value}"
    try:
        minimum = plan.procedure.minimum_for(category)
        other = compile_plan(plan.procedure, plan.conditions.for_category(category))
    except LookupError:
        yield Change(condition=condition, effect="no minimum is published")
        return
    except PlanError as error:
        yield Change(condition=condition, effect=str(error).partition(": ")[2] or str(error))
        return
    shown = levels.on(other.minimum_ft, plan.conditions.datum)
    yield Change(condition=condition, effect=f"minimum {shown}, visibility {minimum.visibility_m:.0f} m")
