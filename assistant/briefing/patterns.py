"""The hold and the arcs in today's wind: entries, outbound headings, reference headings, lead radials."""

from collections.abc import Iterator

from assistant.briefing.content import ArcBrief, ArcRow, Entry, HoldBrief, Outbound
from assistant.briefing.levels import Levels
from assistant.briefing.words import clock, fix_place, miles, trigger_place
from assistant.engine.circuit import Circuit, hold_circuit
from assistant.engine.plan import Plan, Stage
from assistant.engine.today import Today
from assistant.engine.triggers import RadialReached
from assistant.nav import holding
from assistant.nav.arcs import arc_heading, pointer_on_arc
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import PlanePoint, normalize_deg, reciprocal_deg, turn_through_deg
from assistant.procedure.model import ArcDirection, ArcLeg, EntrySector, Hold, Turn

# An inbound turn that ends this near the course is on it; the needle does not show less.
ON_COURSE_NM = 0.05
_RADIALS_DEG = 10.0


def hold_brief(plan: Plan, levels: Levels) -> HoldBrief | None:
    """The hold as it is flown today, None where the procedure has none."""
    hold = plan.procedure.hold
    if hold is None:
        return None
    today = Today(procedure=plan.procedure, conditions=plan.conditions)
    circuit = hold_circuit(today, hold)
    solved = circuit.outbound if abs(circuit.outbound.across_error_nm) <= ON_COURSE_NM else None
    return HoldBrief(
        fix=hold.fix,
        place=fix_place(plan.procedure.fix(hold.fix)),
        inbound_course_mag_deg=hold.inbound_course_mag_deg,
        inbound_heading_mag_deg=circuit.inbound.heading_deg,
        turn=hold.turn,
        minimum=levels.charted(hold.minimum, circuit.altitude_ft),
        maximum=None
        if hold.maximum is None
        else levels.charted(hold.maximum, today.altitude_ft(hold.maximum)),
        ias_kt=circuit.ias_kt,
        speed_limit_kt=hold.speed_limit_kt,
        limit=_limit(hold),
        solved=None if solved is None else _outbound(solved),
        rule=_by_rule(circuit, hold, today),
        entries=tuple(_entries(plan, hold, levels)),
        note=hold.entry_note,
    )


def _limit(hold: Hold) -> str:
    if hold.outbound_dme_nm is not None:
        return f"to {miles(hold.outbound_dme_nm)} DME"
    return f"{clock(hold.outbound_time_s or 60.0)} still air"


def _outbound(leg: holding.Outbound) -> Outbound:
    return Outbound(
        heading_mag_deg=leg.heading_deg,
        time_s=leg.time_s,
        across_error_nm=leg.across_error_nm,
        inbound_time_s=leg.inbound_time_s,
    )


def _by_rule(circuit: Circuit, hold: Hold, today: Today) -> Outbound | None:
    """What the triple-drift rule gives, None where its heading never comes to the range limit."""
    limit = None
    if hold.outbound_dme_nm is not None:
        station = PlanePoint(-circuit.fix.east_nm, -circuit.fix.north_nm)
        limit = holding.RangeLimit(station, today.ground_nm(hold.outbound_dme_nm, circuit.altitude_ft))
    try:
        leg = holding.outbound_by_rule(
            circuit.inbound_course_deg,
            circuit.turn.value,
            circuit.tas_kt,
            circuit.bank_deg,
            circuit.wind_from_deg,
            circuit.wind_kt,
            nominal_time_s=hold.outbound_time_s or 60.0,
            range_limit=limit,
        )
    except NoSolution:
        return None
    return _outbound(leg)


def _entries(plan: Plan, hold: Hold, levels: Levels) -> Iterator[Entry]:
    """The three entries with the headings at the fix for which each is meant (5 degrees about: either)."""
    out_deg = reciprocal_deg(hold.inbound_course_mag_deg)
    side = 1.0 if hold.turn is Turn.RIGHT else -1.0
    bounds = {
        EntrySector.DIRECT: (70.0, 250.0),
        EntrySector.PARALLEL: (-110.0, 0.0),
        EntrySector.OFFSET: (0.0, 70.0),
    }
    for sector, (low_deg, high_deg) in bounds.items():
        ends = (normalize_deg(out_deg + side * low_deg), normalize_deg(out_deg + side * high_deg))
        stage = plan.stage(f"hold_entry_{sector.value}")
        figures = stage.cues[0].figures
        heading_deg = figures.heading_mag_deg
        yield Entry(
            sector=sector,
            is_permitted=sector in hold.permitted_entries,
            from_heading_mag_deg=ends[0] if side > 0.0 else ends[1],
            to_heading_mag_deg=ends[1] if side > 0.0 else ends[0],
            heading_called_deg=levels.called_heading_deg(out_deg if heading_deg is None else heading_deg),
            turn=figures.turn,
            limit=trigger_place(stage.exits[0].trigger),
        )


def arc_briefs(plan: Plan) -> tuple[ArcBrief, ...]:
    """Every arc of the plan, in the order flown."""
    legs = iter([leg for leg in plan.procedure.legs if isinstance(leg, ArcLeg)])
    return tuple(_arc(plan, stage, next(legs)) for stage in plan.stages if stage.arc is not None)


def _arc(plan: Plan, stage: Stage, leg: ArcLeg) -> ArcBrief:
    timeline, leaving = stage.timeline, stage.exits[0]
    if timeline is None or not isinstance(leaving.trigger, RadialReached):
        raise ValueError("an arc has a timeline and ends at its lead radial")
    lead_deg = leaving.trigger.radial_deg
    action = plan.stage(leaving.to).cues[0].figures
    return ArcBrief(
        arc_dme_nm=leg.arc_dme_nm,
        direction=leg.direction,
        rows=tuple(_rows(stage, leg, timeline.at(timeline.turn_end_s).radial_deg, lead_deg)),
        published_lead_radial_deg=leg.lead_radial_deg,
        lead_radial_deg=lead_deg,
        turn=action.turn,
        course_mag_deg=action.course_mag_deg,
    )


def _rows(stage: Stage, leg: ArcLeg, start_deg: float, lead_deg: float) -> Iterator[ArcRow]:
    way = Turn.RIGHT if leg.direction is ArcDirection.CLOCKWISE else Turn.LEFT
    sign = 1.0 if way is Turn.RIGHT else -1.0
    length_deg = turn_through_deg(start_deg, lead_deg, way.value)
    gone_deg = (-start_deg * sign) % _RADIALS_DEG
    while gone_deg <= length_deg:
        radial_deg = normalize_deg(start_deg + sign * gone_deg)
        flown = arc_heading(
            radial_deg, leg.direction.value, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt
        )
        pointer = pointer_on_arc(radial_deg, leg.direction.value, flown.heading_deg)
        yield ArcRow(
            radial_deg=radial_deg,
            heading_mag_deg=flown.heading_deg,
            pointer_deg=pointer.relative_deg,
            ahead_deg=pointer.ahead_deg,
        )
        gone_deg += _RADIALS_DEG
