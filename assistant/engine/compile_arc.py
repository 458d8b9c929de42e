"""A DME arc as a stage: straight pieces along it, a heading for each, off it at today's lead radial."""

from assistant.engine.arc_lead import lead_radial
from assistant.engine.compile_legs import descent_cue, step_cues, steps_on
from assistant.engine.draft import Draft, entry_turn, floors_along, position_figures
from assistant.engine.entering import HEADING_CALL_S
from assistant.engine.events import CalloutKind, Figures, Priority, Said
from assistant.engine.plan import ArcFacts, Cue, Exit, Phase, Stage, When
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import RadialReached
from assistant.nav.arcs import arc_heading
from assistant.nav.geometry import difference_deg, normalize_deg, polar_from_plane, turn_through_deg
from assistant.procedure.model import ArcDirection, ArcLeg, CourseLeg, Turn

# An arc is flown in straight pieces, a new heading each so many radials (FAA-H-8083-15B ch. 9 names ten).
CHORD_DEG = 10.0
# No new heading this near the lead radial: its preparation is spoken then.
_BEFORE_LEAD_S = 30.0


def arc_stage(draft: Draft, leg: ArcLeg, number: int, course: CourseLeg, following_name: str) -> None:
    """A DME arc: the turn on to it, a heading each ten radials, off it at today's lead radial."""
    today = draft.today
    target_ft = today.altitude_ft(leg.altitude)
    tas_kt = today.tas_kt(today.conditions.speeds.initial_kt, target_ft)
    wind = today.wind(target_ft)
    lead = lead_radial(draft, leg, course, target_ft, tas_kt)
    flight = draft.flight(target_ft)
    joining = _joining_heading_deg(draft, leg, lead.radial_deg, target_ft, tas_kt)
    turn = entry_turn(draft, flight, joining, tas_kt)
    flight.follow_arc(today.ground_nm(leg.arc_dme_nm, target_ft), leg.direction, lead.radial_deg, tas_kt)
    timeline = flight.timeline()
    floor_ft = draft.floor_of(leg.altitude, draft.floor_ft)
    steps = steps_on(draft, timeline, leg.step_downs, floor_ft)
    trigger = RadialReached(radial_deg=lead.radial_deg)
    headings = _chord_cues(leg, timeline, lead.radial_deg, tas_kt, (wind.from_deg, wind.speed_kt))
    action = Cue(
        name="turn",
        at_s=0.0,
        kind=CalloutKind.TURN if turn else CalloutKind.HEADING,
        priority=Priority.ACTION,
        figures=Figures(turn=turn, heading_mag_deg=joining),
    )
    stage = Stage(
        name=f"arc_{number}",
        title=f"{leg.arc_dme_nm:.1f} DME arc, {leg.direction.value}",
        phase=Phase.INITIAL,
        timeline=timeline,
        tas_kt=tas_kt,
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=target_ft,
        floors=floors_along(steps, floor_ft),
        floor_until_established_ft=draft.floor_ft if turn else None,
        turns=turn is not None,
        event="lead radial",
        event_figures=position_figures(trigger),
        arc=ArcFacts(arc_dme_nm=leg.arc_dme_nm, direction=leg.direction),
        joined_by=(Said.ON_ARC,),
        exits=(Exit(trigger=trigger, at_s=timeline.duration_s, to=following_name),),
        cues=(
            action,
            *headings,
            *descent_cue(draft, target_ft, when=When.ESTABLISHED if turn else When.RELEASED),
            *step_cues(steps),
        ),
    )
    draft.finish(stage, flight, stage.floors[-1].altitude_ft)


def _joining_heading_deg(
    draft: Draft, leg: ArcLeg, lead_radial_deg: float, altitude_ft: float, tas_kt: float
) -> float:
    """The heading for the first straight piece of the arc: that of its middle, from where the turn ends."""
    wind = draft.today.wind(altitude_ft)
    heading_deg = arc_heading(
        polar_from_plane(draft.point).radial_deg, leg.direction.value, tas_kt, wind.from_deg, wind.speed_kt
    ).heading_deg
    trial = draft.flight(altitude_ft)
    entry_turn(draft, trial, heading_deg, tas_kt)
    start_deg = polar_from_plane(trial.point).radial_deg
    end_deg = [*_piece_starts_deg(leg, start_deg, lead_radial_deg), lead_radial_deg][0]
    return _piece_heading_deg(leg, start_deg, end_deg, tas_kt, (wind.from_deg, wind.speed_kt))


def _piece_starts_deg(leg: ArcLeg, start_deg: float, lead_radial_deg: float) -> list[float]:
    """The radials, in tens, where a new heading is called between the start of an arc and its lead radial."""
    way = Turn.RIGHT if leg.direction is ArcDirection.CLOCKWISE else Turn.LEFT
    sign = 1.0 if way is Turn.RIGHT else -1.0
    length_deg = turn_through_deg(start_deg, lead_radial_deg, way.value)
    to_first_deg = (-start_deg * sign) % CHORD_DEG
    gone_deg = to_first_deg if to_first_deg >= CHORD_DEG / 2.0 else to_first_deg + CHORD_DEG
    starts: list[float] = []
    while gone_deg < length_deg - CHORD_DEG / 2.0:
        starts.append(normalize_deg(start_deg + sign * gone_deg))
        gone_deg += CHORD_DEG
    return starts


def _piece_heading_deg(
    leg: ArcLeg, from_deg: float, to_deg: float, tas_kt: float, wind: tuple[float, float]
) -> float:
    """The heading of a straight piece of the arc: the arc's own half-way along it."""
    middle_deg = normalize_deg(from_deg + difference_deg(from_deg, to_deg) / 2.0)
    return arc_heading(middle_deg, leg.direction.value, tas_kt, *wind).heading_deg


def _chord_cues(
    leg: ArcLeg, timeline: Timeline, lead_radial_deg: float, tas_kt: float, wind: tuple[float, float]
) -> tuple[Cue, ...]:
    """
    A heading at every tenth radial of the arc: that of the middle of the straight piece that begins there.

    Flying each heading for ten radials cuts the arc by R(1 - cos 5°), 0.05 NM at 12 miles.
    """
    found: list[tuple[float, float]] = []
    for radial_deg in _piece_starts_deg(leg, timeline.at(timeline.turn_end_s).radial_deg, lead_radial_deg):
        at_s = timeline.when(RadialReached(radial_deg=radial_deg), from_s=timeline.turn_end_s)
        if at_s is not None and at_s < timeline.duration_s - _BEFORE_LEAD_S:
            found.append((radial_deg, at_s))
    ends = [*(radial_deg for radial_deg, _ in found[1:]), lead_radial_deg]
    return tuple(
        Cue(
            name=f"heading at {radial_deg:03.0f}",
            # As early as a turn is called: late by that each time, the arc would be left outward.
            at_s=max(at_s - HEADING_CALL_S, timeline.turn_end_s),
            kind=CalloutKind.HEADING,
            priority=Priority.ACTION,
            figures=Figures(
                heading_mag_deg=_piece_heading_deg(leg, radial_deg, end_deg, tas_kt, wind),
                radial_deg=radial_deg,
            ),
            trigger=RadialReached(radial_deg=radial_deg),
        )
        for (radial_deg, at_s), end_deg in zip(found, ends, strict=True)
    )
