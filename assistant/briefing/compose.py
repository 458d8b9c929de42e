"""A plan made into a briefing: the parts put together, with heading, setting-up list and surroundings."""

from assistant.briefing.changes import changes
from assistant.briefing.content import ArcBrief, Brief, Event, Item, Minima, SectorBrief
from assistant.briefing.descent import descent_brief, minima_brief, runway_brief
from assistant.briefing.events import events
from assistant.briefing.levels import Levels
from assistant.briefing.patterns import arc_briefs, hold_brief
from assistant.briefing.words import degrees, miles
from assistant.caution import CAUTION
from assistant.engine.core import begin
from assistant.engine.plan import Plan
from assistant.nav.altimetry import passed_setting_hpa, qfe_from_qnh_hpa
from assistant.procedure.model import Area, Datum, NavaidKind

_KINDS = {NavaidKind.TACAN: "TACAN", NavaidKind.VORTAC: "VORTAC", NavaidKind.VOR_DME: "VOR/DME"}


def brief_for(plan: Plan) -> Brief:
    """
    The briefing of a plan.

    Raises NoSolution or OutsideValidity, in a sentence, where a figure of the day cannot be worked out.
    """
    procedure, levels = plan.procedure, Levels(plan)
    flown, arcs, minima = events(plan, levels), arc_briefs(plan), minima_brief(plan, levels)
    return Brief(
        caution=CAUTION,
        ident=procedure.ident,
        title=procedure.title,
        edition=procedure.edition,
        station=station(plan),
        airport=f"{procedure.airport.name} {procedure.airport.ident}, elevation "
        f"{procedure.airport.elevation_ft:.0f} QNH, QFE from {procedure.qfe_elevation_ft:.0f} QNH",
        conditions=conditions_lines(plan),
        setting_up=_setting_up(plan, arcs, flown, minima),
        hold=hold_brief(plan, levels),
        events=flown,
        arcs=arcs,
        descent=descent_brief(plan, levels),
        minima=minima,
        runway=runway_brief(plan),
        missed_approach=procedure.missed_approach.text,
        sectors=tuple(
            SectorBrief(
                from_radial_deg=sector.from_radial_deg,
                to_radial_deg=sector.to_radial_deg,
                minimum=levels.on(sector.minimum_altitude_ft, plan.conditions.datum),
                radius_nm=sector.radius_nm,
            )
            for sector in procedure.sectors
        ),
        areas=tuple(_area(area, levels, plan.conditions.datum) for area in procedure.areas),
        frequencies=tuple(
            Item(name=item.name, text=f"{item.frequency_mhz:.3f}") for item in procedure.frequencies
        ),
        notes=procedure.notes,
        changes=changes(plan, levels),
    )


def station(plan: Plan) -> str:
    """The station with what is tuned."""
    navaid = plan.procedure.navaid
    return f"{navaid.name} {_KINDS[navaid.kind]} {navaid.ident}, {_tuned(plan)}"


def _tuned(plan: Plan) -> str:
    """Frequency and channel, as the station has them."""
    navaid = plan.procedure.navaid
    tuned = []
    if navaid.frequency_mhz is not None and navaid.kind is not NavaidKind.TACAN:
        tuned.append(f"{navaid.frequency_mhz:.2f}")
    if navaid.channel is not None:
        tuned.append(f"channel {navaid.channel}")
    return ", ".join(tuned)


def conditions_lines(plan: Plan) -> tuple[str, ...]:
    """Today's conditions, a short line each."""
    day = plan.conditions
    winds = [
        (f"at {wind.altitude_ft:.0f} QNH " if wind.altitude_ft else "")
        + f"{degrees(wind.wind_from_mag_deg)}/{wind.wind_kt:.0f} kt"
        for wind in day.wind
    ]
    speeds = day.speeds
    kias = (
        f"KIAS hold {speeds.hold_kt:.0f}, initial {speeds.initial_kt:.0f}, "
        f"interm. {speeds.intermediate_kt:.0f}, final {speeds.final_kt:.0f}, missed {speeds.missed_kt:.0f}"
    )
    return (
        f"wind {', '.join(winds)}" if winds else "wind calm",
        f"QNH {day.qnh_hpa:.0f}, flown on {day.datum.value.upper()}"
        + ("" if day.temperature_c is None else f", {day.temperature_c:.0f} °C"),
        f"category {day.category.value}, bank {day.bank_deg:.0f}°"
        + (", approach lights out" if day.lights_out else ""),
        kias,
    )


def altimeter(plan: Plan) -> tuple[str, str]:
    """The settings of the day in the order set, and the other datum's."""
    day = plan.conditions
    qfe_hpa = passed_setting_hpa(qfe_from_qnh_hpa(day.qnh_hpa, plan.procedure.qfe_elevation_ft))
    settings = {Datum.QNH: f"QNH {day.qnh_hpa:.0f}", Datum.QFE: f"QFE {qfe_hpa}"}
    other = Datum.QNH if day.datum is Datum.QFE else Datum.QFE
    if begin(plan).datum is Datum.STANDARD:
        return "1013", f"then {settings[day.datum]}, {settings[other]}"
    return settings[day.datum], settings[other]


def _setting_up(
    plan: Plan, arcs: tuple[ArcBrief, ...], flown: tuple[Event, ...], minima: Minima
) -> tuple[Item, ...]:
    """What is set before the approach begins, in the order of a scan."""
    navaid = plan.procedure.navaid
    kind = f"{_KINDS[navaid.kind]} {navaid.ident}"
    tuned, _, channel = _tuned(plan).partition(", ")
    items = [
        Item(
            name="Station",
            text=tuned,
            detail=f"{kind}, {channel}, identify" if channel else f"{kind}, identify",
        ),
        Item(name="Course", text=degrees(plan.procedure.final.course_mag_deg)),
    ]
    if arcs:
        published_deg = arcs[-1].published_lead_radial_deg
        detail = (
            "lead radial" if published_deg is None else f"lead radial, published {degrees(published_deg)}"
        )
        items.append(Item(name="Heading mark", text=degrees(arcs[-1].lead_radial_deg), detail=detail))
    else:
        first = next((event for event in flown if event.heading_called_deg is not None), None)
        if first is not None and first.heading_called_deg is not None:
            items.append(Item(name="Heading mark", text=degrees(first.heading_called_deg), detail=first.name))
    setting, other = altimeter(plan)
    items.append(Item(name="Altimeter", text=setting, detail=other))
    bug, detail = str(minima.decision), f"{minima.minimum} + {minima.addon_ft:.0f}"
    if minima.cold_decision is not None and plan.conditions.cold_corrections:
        bug, detail = f"{minima.cold_decision}", f"{minima.cold} in cold + {minima.addon_ft:.0f}"
    elif minima.cold_decision is not None:
        detail = f"{detail}; in cold {minima.cold_decision}"
    items.append(Item(name="Minimum bug", text=bug, detail=detail))
    return tuple(items)


def _area(area: Area, levels: Levels, datum: Datum) -> Item:
    low = "surface" if area.lower_altitude_ft <= 0.0 else str(levels.on(area.lower_altitude_ft, datum))
    return Item(
        name=f"{area.kind} {area.ident}",
        text=f"R{degrees(area.radial_deg)} {miles(area.dme_nm)} DME, radius {miles(area.radius_nm)} NM, "
        f"{low} to {levels.on(area.upper_altitude_ft, datum)}" + (f", {area.note}" if area.note else ""),
    )
