"""The final descent and its end: heights, rates, minima, missed approach point, runway."""

from collections.abc import Iterator

from assistant.briefing.content import (
    Descent,
    HeightRow,
    Minima,
    MinimumRow,
    RateRow,
    RunwayBrief,
    Vertical,
)
from assistant.briefing.levels import Levels
from assistant.briefing.words import clock, miles, trigger_place
from assistant.engine.advice import threshold_point
from assistant.engine.plan import Plan, Stage
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import DmeReached, TimeElapsed
from assistant.nav.geometry import PlanePoint
from assistant.nav.vertical import descent_fpm, leg_time_s, slope_from_minimum_deg, visual_descent_point_nm
from assistant.nav.visual import runway_view
from assistant.procedure.model import Datum, Minimum

_RATE_STEPS_KT = (-20.0, -10.0, 0.0, 10.0, 20.0)
_SLOWEST_KT = 40.0
# From here to the threshold there is no descent left to speak of, and no slope to work out.
_AT_THRESHOLD_NM = 0.1


def final_timeline(plan: Plan) -> tuple[Stage, Timeline]:
    """The final approach and its nominal flight, which every plan has."""
    stage = plan.stage("final")
    if stage.timeline is None:
        raise ValueError("the final approach of a plan has a timeline")
    return stage, stage.timeline


def final_groundspeed_kt(plan: Plan) -> float:
    """Today's groundspeed on final."""
    _, timeline = final_timeline(plan)
    return timeline.at(plan.threshold_s).groundspeed_kt


def missed_point_s(plan: Plan) -> float:
    """From the final approach fix to the missed approach point, s."""
    stage, timeline = final_timeline(plan)
    at_s = stage.exits[0].at_s
    return timeline.duration_s if at_s is None else at_s


def descent_brief(plan: Plan, levels: Levels) -> Descent:
    """The final descent at today's groundspeed."""
    _, timeline = final_timeline(plan)
    final = plan.procedure.final
    groundspeed_kt = final_groundspeed_kt(plan)
    return Descent(
        course_mag_deg=final.course_mag_deg,
        final_heading_mag_deg=timeline.headings_deg[-1],
        angle_deg=final.descent_angle_deg,
        gradient_ft_per_nm=plan.final_gradient_ft_per_nm,
        groundspeed_kt=groundspeed_kt,
        descent_fpm=descent_fpm(groundspeed_kt, final.descent_angle_deg),
        heights=tuple(_heights(plan, levels)),
        has_published_heights=bool(final.heights),
        rates=tuple(_rates(plan, groundspeed_kt)),
    )


def _heights(plan: Plan, levels: Levels) -> Iterator[HeightRow]:
    """The chart's rows, or whole miles where it has none, in the order flown."""
    stage, timeline = final_timeline(plan)
    heights = plan.procedure.final.heights
    last_nm = timeline.at(missed_point_s(plan)).dme_nm
    first_nm = timeline.dmes_nm[0]
    ranges = [row.dme_nm for row in heights]
    if not ranges:
        low_nm, high_nm = sorted((first_nm, last_nm))
        ranges = [float(mile) for mile in range(int(low_nm) + 1, int(high_nm) + 1)]
    closing = last_nm < first_nm
    for dme_nm in sorted(ranges, reverse=closing):
        due_ft = plan.altitude_due_ft(dme_nm)
        if due_ft is None:
            continue
        at_s = timeline.when(DmeReached(dme_nm=dme_nm, closing=closing))
        in_force = [floor.altitude_ft for floor in stage.floors if at_s is None or floor.until_s > at_s]
        due_ft = max(due_ft, plan.minimum_ft, *in_force[:1])
        yield HeightRow(
            dme_nm=dme_nm,
            due=levels.shown(due_ft),
            other=levels.on(due_ft, levels.other_datum),
            cold=levels.cold(due_ft),
        )


def _rates(plan: Plan, today_kt: float) -> Iterator[RateRow]:
    """Around today's groundspeed, itself in the middle to the nearest knot."""
    final_nm = missed_point_s(plan) * today_kt / 3600.0
    for step_kt in _RATE_STEPS_KT:
        groundspeed_kt = round(today_kt) + step_kt
        if groundspeed_kt >= _SLOWEST_KT:
            yield RateRow(
                groundspeed_kt=groundspeed_kt,
                descent_fpm=descent_fpm(groundspeed_kt, plan.procedure.final.descent_angle_deg),
                final_time_s=leg_time_s(final_nm, groundspeed_kt),
                is_today=step_kt == 0.0,
            )


def minima_brief(plan: Plan, levels: Levels) -> Minima:
    """The minimum of the category flown, and every one that the chart prints."""
    conditions = plan.conditions
    published = plan.procedure.minimum_for(conditions.category)
    cold_ft = levels.cold_corrected_ft(plan.minimum_ft)
    return Minima(
        category=conditions.category,
        minimum=levels.on(plan.minimum_ft, conditions.datum),
        other=levels.on(plan.minimum_ft, levels.other_datum),
        addon_ft=conditions.minimum_addon_ft,
        decision=levels.on(plan.decision_ft, conditions.datum),
        cold=levels.cold(plan.minimum_ft),
        cold_decision=None
        if cold_ft is None
        else levels.on(cold_ft + conditions.minimum_addon_ft, conditions.datum),
        cold_correction_ft=None if cold_ft is None else cold_ft - plan.minimum_ft,
        visibility_m=published.lights_out_visibility_m if conditions.lights_out else published.visibility_m,
        published=tuple(
            MinimumRow(
                category=minimum.category,
                line=minimum.line.replace("_", "-"),
                minimum=_on(minimum, conditions.datum, plan, levels),
                other=_on(minimum, levels.other_datum, plan, levels),
                visibility_m=minimum.visibility_m,
                lights_out_visibility_m=minimum.lights_out_visibility_m,
            )
            for minimum in plan.procedure.minima
        ),
    )


def _on(minimum: Minimum, datum: Datum, plan: Plan, levels: Levels) -> Vertical:
    if minimum.mda_ft is not None:
        return levels.on(minimum.mda_ft, datum)
    return levels.on((minimum.mdh_ft or 0.0) + plan.procedure.qfe_elevation_ft, datum)


def runway_brief(plan: Plan) -> RunwayBrief:
    """Where the runway stands when the minimum is called, and what the missed approach point leaves to it."""
    stage, timeline = final_timeline(plan)
    runway, final = plan.procedure.runway, plan.procedure.final
    groundspeed_kt = final_groundspeed_kt(plan)
    missed_s = missed_point_s(plan)
    over_ft = runway.threshold_elevation_ft + runway.threshold_crossing_height_ft
    before_nm = (plan.decision_ft - over_ft) / plan.final_gradient_ft_per_nm
    called_s = min(plan.threshold_s - before_nm / groundspeed_kt * 3600.0, missed_s)
    threshold, here = threshold_point(plan), timeline.at(called_s).point
    view = runway_view(
        PlanePoint(here.east_nm - threshold.east_nm, here.north_nm - threshold.north_nm),
        timeline.headings_deg[-1],
        runway.course_mag_deg,
        plan.decision_ft - runway.threshold_elevation_ft,
    )
    vdp_nm = visual_descent_point_nm(
        plan.minimum_ft,
        runway.threshold_elevation_ft,
        runway.threshold_crossing_height_ft,
        final.descent_angle_deg,
    )
    vdp_s = plan.threshold_s - vdp_nm / groundspeed_kt * 3600.0
    left_nm = (plan.threshold_s - missed_s) * groundspeed_kt / 3600.0
    slope_deg = None
    if left_nm > _AT_THRESHOLD_NM:
        slope_deg = slope_from_minimum_deg(
            plan.minimum_ft, runway.threshold_elevation_ft, runway.threshold_crossing_height_ft, left_nm
        )
    return RunwayBrief(
        ident=runway.ident,
        course_mag_deg=runway.course_mag_deg,
        side=view.side,
        angle_deg=abs(view.angle_deg),
        ground_nm=view.ground_nm,
        vdp_dme_nm=timeline.at(vdp_s).dme_nm if 0.0 < vdp_s < missed_s else None,
        vdp_to_threshold_nm=vdp_nm,
        missed_point=_missed_point(plan, stage),
        missed_point_to_threshold_nm=left_nm,
        missed_point_slope_deg=slope_deg,
        lights=runway.lights,
        length_m=runway.length_m,
    )


def _missed_point(plan: Plan, stage: Stage) -> str:
    point, trigger = plan.procedure.final.missed_approach_point, stage.exits[0].trigger
    if isinstance(trigger, TimeElapsed):
        length_nm = point.timed_distance_nm or 0.0
        return f"{clock(trigger.time_s)} from {plan.procedure.final.from_fix} ({miles(length_nm)} NM)"
    if point.fix is not None:
        overhead = plan.procedure.fix(point.fix).radial_deg is None
        return f"{point.fix}, overhead" if overhead else f"{point.fix}, {trigger_place(trigger)}"
    return trigger_place(trigger)
