"""A briefing as tables of text, in the order of flight: one wording for the screen and for every page."""

from dataclasses import dataclass

from assistant.briefing.content import ArcBrief, Brief, Entry, HoldBrief, Outbound, RunwayBrief
from assistant.briefing.patterns import ON_COURSE_NM
from assistant.briefing.words import clock, degrees, miles

_SIGNIFICANT_DRIFT_DEG = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A titled table; no `columns` for a list of names and texts. `strong_rows` are those that hold today."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    strong_rows: tuple[int, ...] = ()


def setting_up(brief: Brief) -> Table:
    """What to set before beginning."""
    return Table(
        title="Set up",
        columns=(),
        rows=tuple(
            (item.name, f"{item.text} ({item.detail})" if item.detail else item.text)
            for item in brief.setting_up
        ),
    )


def event_table(brief: Brief) -> Table:
    """The events in the order flown."""
    return Table(
        title="In the order flown",
        columns=("Time", "Where", "Event", "Do", "At", "Floor"),
        rows=tuple(
            (
                "" if event.elapsed_s is None else clock(event.elapsed_s),
                event.place,
                event.name,
                event.action,
                "" if event.due is None else str(event.due),
                "" if event.floor is None else str(event.floor),
            )
            for event in brief.events
        ),
    )


def hold_table(hold: HoldBrief) -> Table:
    """The hold: pattern, both outbound headings, entries; heading, limit and what comes of it."""
    limit_kt = f", limit {hold.speed_limit_kt:.0f}" if hold.speed_limit_kt is not None else ""
    top = f" to {hold.maximum}" if hold.maximum is not None else " and above"
    inbound = (
        f"course {degrees(hold.inbound_course_mag_deg)}, heading {degrees(hold.inbound_heading_mag_deg)}"
    )
    rows = [
        ("inbound", f"{inbound}, {hold.turn.value} turns, {hold.limit}"),
        ("levels", f"{hold.minimum}{top}, {hold.ias_kt:.0f} kt{limit_kt}"),
        ("outbound", "no heading rolls out on course" if hold.solved is None else _outbound(hold.solved)),
        ("by 3 x drift", "never comes to the limit" if hold.rule is None else _outbound(hold.rule)),
    ]
    rows.extend((f"{entry.sector.value} entry", _entry(entry)) for entry in hold.entries)
    if hold.note is not None:
        rows.append(("note", hold.note))
    return Table(title=f"Hold {hold.fix}, {hold.place}", columns=(), rows=tuple(rows))


def _outbound(leg: Outbound) -> str:
    off = "on course"
    if abs(leg.across_error_nm) >= ON_COURSE_NM:
        side = "right" if leg.across_error_nm > 0.0 else "left"
        off = f"{abs(leg.across_error_nm):.1f} NM {side}"
    return f"heading {degrees(leg.heading_mag_deg)}, {clock(leg.time_s)}, rolls out {off}"


def _entry(entry: Entry) -> str:
    if not entry.is_permitted:
        return "not permitted"
    turn = f"{entry.turn.value} " if entry.turn is not None else ""
    bounds = f"{degrees(entry.from_heading_mag_deg)}-{degrees(entry.to_heading_mag_deg)}"
    return f"heading in {bounds}: {turn}{degrees(entry.heading_called_deg)}, {entry.limit}"


def arc_table(arc: ArcBrief) -> Table:
    """The arc's references, and the lead radial."""
    published = (
        ""
        if arc.published_lead_radial_deg is None
        else f" (published {degrees(arc.published_lead_radial_deg)})"
    )
    return Table(
        title=f"{miles(arc.arc_dme_nm)} DME arc {arc.direction.value}, "
        f"lead {degrees(arc.lead_radial_deg)}{published}",
        columns=("Radial", "Heading", "Pointer"),
        rows=tuple(
            (degrees(row.radial_deg), degrees(row.heading_mag_deg), _pointer(row.pointer_deg, row.ahead_deg))
            for row in arc.rows
        ),
    )


def _pointer(pointer_deg: float, ahead_deg: float) -> str:
    """Where the bearing pointer stands: from the wing tip, forward or aft."""
    wing = "right" if pointer_deg > 0.0 else "left"
    if abs(ahead_deg) < _SIGNIFICANT_DRIFT_DEG:
        return f"{wing} wing tip"
    return f"{abs(ahead_deg):.0f}° {'ahead' if ahead_deg > 0.0 else 'behind'}"


def height_table(brief: Brief) -> Table:
    """Heights against ranges on both datums."""
    descent = brief.descent
    cold = any(row.cold is not None for row in descent.heights)
    source = "published" if descent.has_published_heights else "from the angle"
    return Table(
        title=f"Heights, {source}: {descent.angle_deg:.2f}°, {descent.gradient_ft_per_nm:.0f} ft/NM",
        columns=("DME", "Due", "Or", "Cold air") if cold else ("DME", "Due", "Or"),
        rows=tuple(
            (miles(row.dme_nm), str(row.due), str(row.other)) + ((str(row.cold or ""),) if cold else ())
            for row in descent.heights
        ),
    )


def rate_table(brief: Brief) -> Table:
    """Rates of descent around today's groundspeed."""
    rates = brief.descent.rates
    return Table(
        title="Rates on final",
        columns=("GS kt", "ft/min", "To point"),
        rows=tuple(
            (f"{row.groundspeed_kt:.0f}", f"{round(row.descent_fpm, -1):.0f}", clock(row.final_time_s))
            for row in rates
        ),
        strong_rows=tuple(number for number, row in enumerate(rates) if row.is_today),
    )


def minima_table(brief: Brief) -> Table:
    """Every published minimum; today's is strong."""
    rows = brief.minima.published
    return Table(
        title="Minima",
        columns=("Cat", "Minimum", "Or", "Vis m", "Lights out"),
        rows=tuple(
            (
                row.category.value + (" circling" if row.line == "circling" else ""),
                str(row.minimum),
                str(row.other),
                f"{row.visibility_m:.0f}",
                "" if row.lights_out_visibility_m is None else f"{row.lights_out_visibility_m:.0f}",
            )
            for row in rows
        ),
        strong_rows=tuple(
            number
            for number, row in enumerate(rows)
            if row.category is brief.minima.category and row.line == "straight-in"
        ),
    )


def minimum_table(brief: Brief) -> Table:
    """Today's minimum in a few lines, and what the end of the approach looks like."""
    minima, runway = brief.minima, brief.runway
    rows = [
        ("Minimum", f"{minima.minimum} ({minima.other}), cat. {minima.category.value}"),
        ("Called at", f"{minima.decision}, {minima.addon_ft:.0f} ft above it"),
        (
            "Visibility",
            "none published for lights out"
            if minima.visibility_m is None
            else f"{minima.visibility_m:.0f} m",
        ),
    ]
    if minima.cold is not None and minima.cold_correction_ft is not None:
        rows.insert(1, ("In the cold", f"{minima.cold}, {minima.cold_correction_ft:.0f} ft more"))
    rows.extend(_end(runway))
    return Table(title="Minimum and runway", columns=(), rows=tuple(rows))


def _end(runway: RunwayBrief) -> list[tuple[str, str]]:
    """Where the runway stands, visual descent point, missed approach point and what is left from there."""
    ahead = "ahead" if runway.side == "ahead" else f"{runway.angle_deg:.0f}° {runway.side} of the nose"
    vdp = (
        "past the missed approach pt"
        if runway.vdp_dme_nm is None
        else f"{miles(runway.vdp_dme_nm)} DME, {runway.vdp_to_threshold_nm:.1f} NM to go"
    )
    if runway.missed_point_slope_deg is None:
        left = "no straight-in landing from there"
    else:
        left = f"{runway.missed_point_to_threshold_nm:.1f} NM to go, {runway.missed_point_slope_deg:.1f}°"
    rows = [
        (f"Runway {runway.ident}", ahead),
        ("Visual descent", vdp),
        ("Missed appr. pt", f"{runway.missed_point}; {left}"),
    ]
    if runway.lights is not None:
        rows.append(("Lights", runway.lights))
    return rows


def surroundings(brief: Brief) -> Table:
    """Frequencies, areas and sectors."""
    around = frequencies(brief)
    rows = list(around.rows)
    for sector in brief.sectors:
        all_round = sector.from_radial_deg == sector.to_radial_deg
        name = (
            "sector, all round"
            if all_round
            else (f"sector R{degrees(sector.from_radial_deg)} to R{degrees(sector.to_radial_deg)}")
        )
        rows.append((name, f"{sector.minimum} within {sector.radius_nm:.0f} NM"))
    return Table(title="Frequencies, areas, sectors", columns=(), rows=tuple(rows))


def frequencies(brief: Brief) -> Table:
    """Frequencies and areas, where the sectors are drawn."""
    named = (*brief.frequencies, *brief.areas)
    return Table(
        title="Frequencies and areas", columns=(), rows=tuple((item.name, item.text) for item in named)
    )


def change_table(brief: Brief) -> Table:
    """What changes if."""
    return Table(
        title="What changes if",
        columns=(),
        rows=tuple((change.condition, change.effect) for change in brief.changes),
    )


def all_tables(brief: Brief) -> tuple[Table, ...]:
    """Every table, in the order of flight."""
    hold = () if brief.hold is None else (hold_table(brief.hold),)
    return (
        setting_up(brief),
        surroundings(brief),
        *hold,
        event_table(brief),
        *(arc_table(arc) for arc in brief.arcs),
        height_table(brief),
        rate_table(brief),
        minimum_table(brief),
        minima_table(brief),
        change_table(brief),
    )


def arc_strip(arc: ArcBrief) -> Table:
    """The arc's references side by side, for a page."""
    full = arc_table(arc)
    return Table(
        title=full.title,
        columns=(),
        rows=(
            ("radial", *(degrees(row.radial_deg) for row in arc.rows)),
            ("heading", *(degrees(row.heading_mag_deg) for row in arc.rows)),
            ("pointer ahead", *(f"{round(row.ahead_deg):d}°" for row in arc.rows)),
        ),
    )


def height_strip(brief: Brief) -> Table:
    """Heights against ranges side by side; the rows name their datum."""
    full, heights = height_table(brief), brief.descent.heights
    if not heights:
        return full
    rows = [
        ("DME", *(miles(row.dme_nm) for row in heights)),
        (heights[0].due.datum.value.upper(), *(f"{row.due.indicated_ft:.0f}" for row in heights)),
        (heights[0].other.datum.value.upper(), *(f"{row.other.indicated_ft:.0f}" for row in heights)),
    ]
    cold = [row.cold for row in heights if row.cold is not None]
    if len(cold) == len(heights):
        rows.append(
            (f"cold, {cold[0].datum.value.upper()}", *(f"{shown.indicated_ft:.0f}" for shown in cold))
        )
    return Table(title=full.title, columns=(), rows=tuple(rows), strong_rows=(1,))


def rate_strip(brief: Brief) -> Table:
    """Rates of descent side by side, slowest first; today's groundspeed is in the middle, in brackets."""
    rates = brief.descent.rates

    def shown(text: str, is_today: bool) -> str:
        return f"[{text}]" if is_today else text

    return Table(
        title="Rates on final [today]",
        columns=(),
        rows=(
            ("GS kt", *(shown(f"{row.groundspeed_kt:.0f}", row.is_today) for row in rates)),
            ("ft/min", *(shown(f"{round(row.descent_fpm, -1):.0f}", row.is_today) for row in rates)),
            ("to point", *(shown(clock(row.final_time_s), row.is_today) for row in rates)),
        ),
    )


def minima_in_short(brief: Brief) -> Table:
    """The minima with categories of equal figures in one row."""
    full = minima_table(brief)
    merged: list[tuple[str, ...]] = []
    strong: list[int] = []
    for number, row in enumerate(full.rows):
        circling = row[0].endswith("circling")
        if merged and merged[-1][1:] == row[1:] and merged[-1][0].endswith("circling") == circling:
            letters = merged[-1][0].removesuffix(" circling") + row[0].removesuffix(" circling")
            merged[-1] = (letters + (" circling" if circling else ""), *row[1:])
        else:
            merged.append(row)
        if number in full.strong_rows:
            strong.append(len(merged) - 1)
    return Table(title=full.title, columns=full.columns, rows=tuple(merged), strong_rows=tuple(strong))
