"""Sums about turns: radius and rate, flying an arc, and when to begin a turn."""

from math import radians, sin

from assistant.nav.arcs import (
    arc_correction_deg,
    arc_heading,
    arc_track_deg,
    pointer_on_arc,
    radial_spacing_nm,
    radial_spacing_rule_nm,
)
from assistant.nav.geometry import Direction, difference_deg, normalize_deg, reciprocal_deg
from assistant.nav.leads import (
    Sense,
    lead_deg_60_to_1,
    lead_deg_outbound_corrected,
    lead_radial_from_arc,
    lead_range_to_arc,
    lead_share_of_90,
    lead_to_course,
)
from assistant.nav.turns import (
    RATE_ONE_DEG_S,
    bank_for_rate_deg,
    bank_for_rate_one_15_percent_deg,
    bank_for_rate_one_tenth_plus_7_deg,
    bank_in_use_deg,
    radius_from_rate_nm,
    radius_half_percent_nm,
    radius_square_ninth_nm,
    radius_square_tenth_nm,
    turn_radius_nm,
    turn_rate_deg_s,
    turn_time_s,
)
from assistant.nav.wind import Wind, clock_code_drift_deg
from assistant.sums.air import CLOCK_CODE
from assistant.sums.answer import Answer, Figure

_TURN_SOURCE = "Level turn at fixed bank (ICAO Doc 8168 Vol II I-2-3)"
_CALM = Wind(360.0, 0.0)


def turn(*, tas_kt: float, bank_deg: float, through_deg: float) -> Answer:
    """Radius, rate and time of a turn; and the bank of rate one."""
    rules = {
        25.0: (radius_square_ninth_nm(tas_kt), "miles a minute squared, over 9"),
        30.0: (radius_square_tenth_nm(tas_kt), "miles a minute squared, over 10"),
    }
    radius_rule_nm, radius_rule_is = rules.get(bank_deg, (None, ""))
    rate_one_deg = bank_for_rate_deg(tas_kt, RATE_ONE_DEG_S)
    return Answer(
        figures=(
            Figure(
                name="radius_nm",
                quantity=f"radius at {bank_deg:g}° of bank",
                exact=turn_radius_nm(tas_kt, bank_deg),
                rule=radius_rule_nm,
                rule_is=radius_rule_is,
            ),
            Figure(name="rate_deg_s", quantity="rate of turn", exact=turn_rate_deg_s(tas_kt, bank_deg)),
            Figure(
                name="time_s",
                quantity=f"time through {through_deg:g}°",
                exact=turn_time_s(through_deg, tas_kt, bank_deg),
                rule=through_deg / RATE_ONE_DEG_S,
                rule_is="a third of the degrees: rate one",
            ),
            Figure(
                name="rate_one_bank_deg",
                quantity="bank for rate one",
                exact=rate_one_deg,
                rule=bank_for_rate_one_tenth_plus_7_deg(tas_kt),
                rule_is="a tenth of the airspeed and 7",
            ),
            Figure(
                name="rate_one_bank_percent_rule_deg",
                quantity="bank for rate one",
                exact=rate_one_deg,
                rule=bank_for_rate_one_15_percent_deg(tas_kt),
                rule_is="15 % of the airspeed",
            ),
            Figure(
                name="rate_one_radius_nm",
                quantity="radius at rate one",
                exact=radius_from_rate_nm(tas_kt, RATE_ONE_DEG_S),
                rule=radius_half_percent_nm(tas_kt),
                rule_is="half of one percent of the speed",
            ),
        ),
        source=f"{_TURN_SOURCE}; rules of FAA, US Navy, US Air Force.",
    )


def arc(
    *,
    radial_deg: float,
    arc_nm: float,
    direction: Direction,
    tas_kt: float,
    wind: Wind,
    offset_nm: float,
) -> Answer:
    """Heading and bearing pointer at a radial of an arc, in wind and off the arc (outside positive)."""
    exact = arc_heading(radial_deg, direction, tas_kt, *wind, offset_nm)
    toward_station = 1.0 if direction == "clockwise" else -1.0
    track_deg = arc_track_deg(radial_deg, direction) + toward_station * arc_correction_deg(offset_nm)
    rule_deg = normalize_deg(track_deg - clock_code_drift_deg(track_deg, tas_kt, *wind))
    pointer = pointer_on_arc(radial_deg, direction, exact.heading_deg)
    rule_pointer = pointer_on_arc(radial_deg, direction, rule_deg)
    return Answer(
        figures=(
            Figure(
                name="heading_mag_deg",
                quantity="heading",
                exact=exact.heading_deg,
                rule=rule_deg,
                rule_is=f"square to the radial, and the {CLOCK_CODE}",
            ),
            Figure(
                name="pointer_ahead_deg",
                quantity="pointer ahead of the wing tip",
                exact=pointer.ahead_deg,
                rule=rule_pointer.ahead_deg,
                rule_is="the drift by the clock code",
            ),
            Figure(
                name="pointer_relative_deg",
                quantity="pointer from the nose, right positive",
                exact=pointer.relative_deg,
                rule=rule_pointer.relative_deg,
                rule_is="the same",
            ),
            Figure(
                name="correction_deg",
                quantity="turned in for being off the arc",
                exact=None,
                rule=arc_correction_deg(offset_nm),
                rule_is="5° for half a mile inside, 10° outside",
            ),
            Figure(name="groundspeed_kt", quantity="groundspeed", exact=exact.groundspeed_kt),
            Figure(
                name="radial_width_nm",
                quantity="width of one radial",
                exact=radial_spacing_nm(arc_nm),
                rule=radial_spacing_rule_nm(arc_nm),
                rule_is="range over 60",
            ),
        ),
        source="Wind triangle on the tangent; correction of US Navy P-871 chapter 4.",
    )


def lead_off_arc(
    *,
    arc_nm: float,
    direction: Direction,
    course_mag_deg: float,
    sense: Sense,
    tas_kt: float,
    wind: Wind,
    bank_deg: float,
) -> Answer:
    """The lead radial of the turn from an arc on to a course through the station."""
    bank_used_deg = bank_in_use_deg(tas_kt, bank_deg)
    flown = (arc_nm, direction, course_mag_deg, tas_kt, bank_used_deg)
    exact = lead_radial_from_arc(*flown, *wind, sense)
    calm = lead_radial_from_arc(*flown, *_CALM, sense)
    radius_nm = turn_radius_nm(tas_kt, bank_used_deg)
    if sense == "inbound":
        rule_deg, rule_is = lead_deg_60_to_1(radius_nm, arc_nm), "60 over the arc, times the radius"
        course_radial_deg = reciprocal_deg(course_mag_deg)
    else:
        rule_deg = lead_deg_outbound_corrected(radius_nm, arc_nm)
        rule_is = "60 over the arc, times the radius, less the outbound correction (US Navy P-1204)"
        course_radial_deg = course_mag_deg
    before = -1.0 if direction == "clockwise" else 1.0
    return Answer(
        figures=(
            Figure(
                name="lead_radial_deg",
                quantity="lead radial",
                exact=exact.radial_deg,
                rule=normalize_deg(course_radial_deg + before * rule_deg),
                rule_is="that many radials before the course",
            ),
            Figure(
                name="lead_deg",
                quantity="lead, in radials",
                exact=exact.lead_deg,
                rule=rule_deg,
                rule_is=rule_is,
            ),
            Figure(
                name="calm_lead_deg",
                quantity="lead in still air",
                exact=calm.lead_deg,
                rule=rule_deg,
                rule_is=rule_is,
            ),
            Figure(name="radius_nm", quantity=f"radius at {bank_used_deg:.0f}° of bank", exact=radius_nm),
            Figure(name="roll_out_nm", quantity="rolls out at, ground range", exact=exact.roll_out_ground_nm),
            Figure(
                name="roll_out_heading_mag_deg", quantity="heading on the course", exact=exact.heading_deg
            ),
            Figure(name="time_s", quantity="time of the turn", exact=exact.time_s),
        ),
        source=f"{_TURN_SOURCE}, solved on the ground track; 60-to-1 rule.",
        remarks=_bank_remarks(bank_deg, bank_used_deg),
    )


def lead_to_intercept(
    *, track_mag_deg: float, course_mag_deg: float, tas_kt: float, wind: Wind, bank_deg: float
) -> Answer:
    """Where to begin the turn from a track on to a course that it crosses."""
    bank_used_deg = bank_in_use_deg(tas_kt, bank_deg)
    exact = lead_to_course(track_mag_deg, course_mag_deg, tas_kt, bank_used_deg, *wind)
    cut_deg = abs(difference_deg(track_mag_deg, course_mag_deg))
    calm_nm = turn_radius_nm(tas_kt, bank_used_deg) * lead_share_of_90(cut_deg)
    return Answer(
        figures=(
            Figure(
                name="lead_nm",
                quantity="lead along the track",
                exact=exact.lead_nm,
                rule=calm_nm,
                rule_is="still air: the radius times the tangent of half the turn",
            ),
            Figure(
                name="across_nm",
                quantity="distance from the course then",
                exact=exact.across_nm,
                rule=calm_nm * sin(radians(cut_deg)),
                rule_is="the same, in still air",
            ),
            Figure(name="heading_mag_deg", quantity="heading on the course", exact=exact.heading_deg),
            Figure(name="time_s", quantity="time of the turn", exact=exact.time_s),
        ),
        source=f"{_TURN_SOURCE}, solved on the ground track.",
        remarks=_bank_remarks(bank_deg, bank_used_deg),
    )


def lead_on_to_arc(
    *,
    arc_nm: float,
    radial_deg: float,
    sense: Sense,
    direction: Direction,
    tas_kt: float,
    wind: Wind,
    bank_deg: float,
) -> Answer:
    """The range on a radial at which to begin the turn on to an arc."""
    bank_used_deg = bank_in_use_deg(tas_kt, bank_deg)
    exact = lead_range_to_arc(arc_nm, radial_deg, sense, direction, tas_kt, bank_used_deg, *wind)
    rule_nm = radius_half_percent_nm(tas_kt)
    before = 1.0 if sense == "inbound" else -1.0
    return Answer(
        figures=(
            Figure(
                name="start_nm",
                quantity="begin the turn at, ground range",
                exact=exact.start_ground_nm,
                rule=arc_nm + before * rule_nm,
                rule_is="that far before the arc",
            ),
            Figure(
                name="lead_nm",
                quantity="lead before the arc",
                exact=exact.lead_nm,
                rule=rule_nm,
                rule_is="half of one percent of the speed",
            ),
            Figure(
                name="roll_out_radial_deg", quantity="rolls out at radial", exact=exact.roll_out_radial_deg
            ),
            Figure(name="heading_mag_deg", quantity="heading on the arc", exact=exact.heading_deg),
            Figure(name="time_s", quantity="time of the turn", exact=exact.time_s),
        ),
        source=f"{_TURN_SOURCE}, solved on the ground track; rule of US Navy P-871.",
        remarks=_bank_remarks(bank_deg, bank_used_deg),
    )


def _bank_remarks(asked_deg: float, used_deg: float) -> tuple[str, ...]:
    """Says so where rate one needs less bank than was asked for."""
    if used_deg < asked_deg:
        return (f"Bank {used_deg:.0f}°: rate one needs no more at this speed.",)
    return ()
