"""
What a briefing says, as data: every figure once, with its unit and its datum, before anyone draws or speaks.

Screen, page, JSON and spoken words are all made from this. Angles are magnetic degrees, not rounded unless
the field says so; `*_called_*` are rounded as they are called out in flight (headings to 5 degrees, rates up
to the next 50 ft/min). Every vertical value is a `Vertical` and carries its datum.
"""

from dataclasses import dataclass

from assistant.procedure.model import ArcDirection, Category, Datum, EntrySector, Turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Vertical:
    """What the altimeter shows, ft, and what it is set to; on standard the level is `indicated_ft` / 100."""

    indicated_ft: float
    datum: Datum

    def __str__(self) -> str:
        """As written everywhere: `1900 QNH`, `FL140`."""
        if self.datum is Datum.STANDARD:
            return f"FL{self.indicated_ft / 100.0:03.0f}"
        return f"{self.indicated_ft:.0f} {self.datum.value.upper()}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A line of a list: what it is about, what it says, and what stands behind that."""

    name: str
    text: str
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outbound:
    """
    An outbound leg of a hold and what comes of it.

    across_error_nm: where the inbound turn rolls out, right of the inbound course positive. inbound_time_s:
    what is left to the fix then. time_s: from abeam the fix or wings level, whichever is later.
    """

    heading_mag_deg: float
    time_s: float
    across_error_nm: float
    inbound_time_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A way into the hold, for headings at the fix from one to the other, clockwise."""

    sector: EntrySector
    is_permitted: bool
    from_heading_mag_deg: float
    to_heading_mag_deg: float
    heading_called_deg: float
    turn: Turn | None
    limit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldBrief:
    """
    The hold today.

    solved is None where no outbound heading rolls out on course in this wind, rule where its heading never
    comes to the limit.
    """

    fix: str
    place: str
    inbound_course_mag_deg: float
    inbound_heading_mag_deg: float
    turn: Turn
    minimum: Vertical
    maximum: Vertical | None
    ias_kt: float
    speed_limit_kt: float | None
    limit: str
    solved: Outbound | None
    rule: Outbound | None
    entries: tuple[Entry, ...]
    note: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcRow:
    """The reference at one radial: heading, and the bearing pointer from the nose (right positive)."""

    radial_deg: float
    heading_mag_deg: float
    pointer_deg: float
    ahead_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcBrief:
    """An arc: a reference each ten radials, and the lead radial as published and as it is today."""

    arc_dme_nm: float
    direction: ArcDirection
    rows: tuple[ArcRow, ...]
    published_lead_radial_deg: float | None
    lead_radial_deg: float
    turn: Turn | None
    course_mag_deg: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """
    One event in the order flown.

    due: the altitude to be at on coming there. floor: not to be gone below from there on (once established,
    after a turn). elapsed_s: nominal time since the hold or the first fix was left; None in the hold.
    """

    phase: str
    name: str
    place: str
    radial_deg: float | None
    dme_nm: float | None
    action: str
    heading_called_deg: float | None
    due: Vertical | None
    floor: Vertical | None
    elapsed_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightRow:
    """The altitude due at a range on final, never below the floor there; on both datums and in cold air."""

    dme_nm: float
    due: Vertical
    other: Vertical
    cold: Vertical | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RateRow:
    """A groundspeed on final: its rate of descent, and the time from final fix to missed approach point."""

    groundspeed_kt: float
    descent_fpm: float
    final_time_s: float
    is_today: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Descent:
    """The final descent. `final_heading_mag_deg` is exact; rate and heading as called stand in the events."""

    course_mag_deg: float
    final_heading_mag_deg: float
    angle_deg: float
    gradient_ft_per_nm: float
    groundspeed_kt: float
    descent_fpm: float
    heights: tuple[HeightRow, ...]
    has_published_heights: bool
    rates: tuple[RateRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MinimumRow:
    """A published minimum on today's datum and on the other; visibilities in m."""

    category: Category
    line: str
    minimum: Vertical
    other: Vertical
    visibility_m: float
    lights_out_visibility_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Minima:
    """
    The minimum flown today.

    decision: the minimum with the pilot's add-on, where "minimum" is called. cold, cold_decision: both with
    the cold-temperature correction; None in air not cold, or without a temperature. visibility_m: today's,
    lights out or not; None where the chart gives none for lights out.
    """

    category: Category
    minimum: Vertical
    other: Vertical
    addon_ft: float
    decision: Vertical
    cold: Vertical | None
    cold_decision: Vertical | None
    cold_correction_ft: float | None
    visibility_m: float | None
    published: tuple[MinimumRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunwayBrief:
    """
    The end of the approach.

    side and angle_deg: where the runway stands from the nose when the minimum is called. vdp_dme_nm: visual
    descent point; None where it lies past the missed approach point. missed_point_to_threshold_nm below zero:
    past it. missed_point_slope_deg: how steep it would be from there, at the minimum, to the crossing height.
    """

    ident: str
    course_mag_deg: float
    side: str
    angle_deg: float
    ground_nm: float
    vdp_dme_nm: float | None
    vdp_to_threshold_nm: float
    missed_point: str
    missed_point_to_threshold_nm: float
    missed_point_slope_deg: float | None
    lights: str | None
    length_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SectorBrief:
    """A minimum safe altitude between two radials, clockwise."""

    from_radial_deg: float
    to_radial_deg: float
    minimum: Vertical
    radius_nm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What changes if: the condition, and its effect."""

    condition: str
    effect: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """A whole briefing, in the order in which it is given."""

    caution: str
    ident: str
    title: str
    edition: str
    station: str
    airport: str
    conditions: tuple[str, ...]
    setting_up: tuple[Item, ...]
    hold: HoldBrief | None
    events: tuple[Event, ...]
    arcs: tuple[ArcBrief, ...]
    descent: Descent
    minima: Minima
    runway: RunwayBrief
    missed_approach: str
    sectors: tuple[SectorBrief, ...]
    areas: tuple[Item, ...]
    frequencies: tuple[Item, ...]
    notes: tuple[str, ...]
    changes: tuple[Change, ...]
