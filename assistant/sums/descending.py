"""Sums about the final approach: rate, altitude due, minimum, timing, and regaining a track."""

from assistant.nav.closing import regain, regain_rule
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import ground_nm_from_slant
from assistant.nav.vertical import (
    altitude_due_at_slant_ft,
    derived_minimum_ft,
    descent_fpm,
    gradient_ft_per_nm,
    gradient_percent,
    height_rule_ft,
    leg_time_s,
    level_off_lead_ft,
    slope_from_minimum_deg,
    top_of_descent_nm,
    top_of_descent_rule_nm,
    visual_descent_point_nm,
    visual_descent_point_rule_nm,
)
from assistant.sums.answer import Answer, Figure

SIXTY_TO_ONE = "100 ft for a degree and a mile"
_SLOPE_SOURCE = "Straight slope (FAA AC 120-108; ICAO Doc 8168 Vol II I-4-5)"
GROUNDSPEED_STEP_KT = 10.0


def descent(*, groundspeed_kt: float, angle_deg: float, lose_ft: float | None = None) -> Answer:
    """Rate of descent and gradient of a slope; for a height to lose also where and how long."""
    rate_fpm = descent_fpm(groundspeed_kt, angle_deg)
    figures = [
        Figure(
            name="rate_fpm",
            quantity="rate of descent",
            exact=rate_fpm,
            rule=height_rule_ft(angle_deg, groundspeed_kt / 60.0),
            rule_is=f"{SIXTY_TO_ONE}; at 3° five times the groundspeed",
        ),
        Figure(
            name="gradient_ft_per_nm",
            quantity="lost in a mile",
            exact=gradient_ft_per_nm(angle_deg),
            rule=height_rule_ft(angle_deg, 1.0),
            rule_is=SIXTY_TO_ONE,
        ),
        Figure(name="gradient_percent", quantity="gradient", exact=gradient_percent(angle_deg)),
        Figure(
            name="level_off_lead_ft",
            quantity="begin to level before the altitude",
            exact=None,
            rule=level_off_lead_ft(rate_fpm),
            rule_is="a tenth of the rate",
        ),
    ]
    if lose_ft is not None:
        start_nm = top_of_descent_nm(lose_ft, 0.0, angle_deg)
        figures += [
            Figure(
                name="top_of_descent_nm",
                quantity=f"start down for {lose_ft:.0f} ft",
                exact=start_nm,
                rule=top_of_descent_rule_nm(lose_ft),
                rule_is="three miles for 1,000 ft",
            ),
            Figure(name="time_s", quantity="time down", exact=leg_time_s(start_nm, groundspeed_kt)),
        ]
    return Answer(figures=tuple(figures), source=f"{_SLOPE_SOURCE}; 60-to-1 rules.")


def altitude_due(
    *,
    dme_nm: float,
    angle_deg: float,
    threshold_elevation_ft: float,
    threshold_dme_nm: float,
    crossing_height_ft: float,
    station_elevation_ft: float,
) -> Answer:
    """The altitude due at a range, closing on a station that stands at or beyond the threshold."""
    if dme_nm < threshold_dme_nm:
        raise NoSolution(
            f"A range of {dme_nm:g} NM is not before the threshold, which reads {threshold_dme_nm:g}."
        )
    anchor_ft = threshold_elevation_ft + crossing_height_ft
    beyond_nm = ground_nm_from_slant(threshold_dme_nm, threshold_elevation_ft - station_elevation_ft)
    exact_ft = altitude_due_at_slant_ft(dme_nm, beyond_nm, anchor_ft, angle_deg, station_elevation_ft)
    rule_ft = threshold_elevation_ft + height_rule_ft(angle_deg, dme_nm - threshold_dme_nm)
    return Answer(
        figures=(
            Figure(
                name="altitude_due_ft",
                quantity="altitude due, QNH",
                exact=exact_ft,
                rule=rule_ft,
                rule_is=f"{SIXTY_TO_ONE}, from the threshold itself",
            ),
            Figure(
                name="height_due_ft",
                quantity="height due above the threshold, QFE",
                exact=exact_ft - threshold_elevation_ft,
                rule=rule_ft - threshold_elevation_ft,
                rule_is=SIXTY_TO_ONE,
            ),
            Figure(
                name="next_mile_ft_per_nm",
                quantity="lost in the next mile",
                exact=gradient_ft_per_nm(angle_deg),
                rule=height_rule_ft(angle_deg, 1.0),
                rule_is=SIXTY_TO_ONE,
            ),
        ),
        source=f"{_SLOPE_SOURCE}, with the slant range taken off.",
        remarks=("The chart's own table and step-downs come first: a floor is never gone below.",),
    )


def minimum(
    *,
    minimum_ft: float,
    threshold_elevation_ft: float,
    angle_deg: float,
    crossing_height_ft: float,
    add_on_ft: float,
    missed_nm: float | None = None,
) -> Answer:
    """Where the slope leaves a minimum, the minimum to decide at, and how steep it is from further in."""
    height_ft = minimum_ft - threshold_elevation_ft
    figures = [
        Figure(
            name="visual_descent_point_nm",
            quantity="visual descent point, from the threshold",
            exact=visual_descent_point_nm(minimum_ft, threshold_elevation_ft, crossing_height_ft, angle_deg),
            rule=visual_descent_point_rule_nm(height_ft),
            rule_is="height above the threshold over 300",
        ),
        Figure(
            name="derived_minimum_ft",
            quantity="minimum in a continuous descent, QNH",
            exact=None,
            rule=derived_minimum_ft(minimum_ft, add_on_ft),
            rule_is=f"{add_on_ft:.0f} ft added (operators' practice)",
        ),
    ]
    if missed_nm is not None:
        steep_deg = slope_from_minimum_deg(minimum_ft, threshold_elevation_ft, crossing_height_ft, missed_nm)
        figures.append(
            Figure(
                name="slope_deg",
                quantity=f"slope from the minimum at {missed_nm:g} NM",
                exact=steep_deg,
                rule=height_ft / (100.0 * missed_nm),
                rule_is=f"{SIXTY_TO_ONE}, to the threshold itself",
            )
        )
    return Answer(figures=tuple(figures), source=f"{_SLOPE_SOURCE}; height over 300 is common practice.")


def timing(*, distance_nm: float, groundspeed_kt: float) -> Answer:
    """The time over a distance, and how much it changes with the groundspeed."""
    time_s = leg_time_s(distance_nm, groundspeed_kt)
    minutes, seconds = divmod(round(time_s), 60)
    figures = [
        Figure(
            name="time_s",
            quantity="time",
            exact=time_s,
            rule=60.0 * distance_nm / max(0.5, round(groundspeed_kt / 30.0) / 2.0),
            rule_is="distance over miles a minute, taken to the nearest half",
        ),
        Figure(
            name="faster_time_s",
            quantity="at 10 kt more",
            exact=leg_time_s(distance_nm, groundspeed_kt + GROUNDSPEED_STEP_KT),
        ),
    ]
    if groundspeed_kt > GROUNDSPEED_STEP_KT:
        slower_s = leg_time_s(distance_nm, groundspeed_kt - GROUNDSPEED_STEP_KT)
        figures.append(Figure(name="slower_time_s", quantity="at 10 kt less", exact=slower_s))
    return Answer(
        figures=tuple(figures),
        source="Distance over groundspeed; the rule is common practice.",
        remarks=(f"{minutes}:{seconds:02d} minutes.",),
    )


def regain_track(*, leg_nm: float, gone_nm: float, off_nm: float) -> Answer:
    """How far to turn, from off the track, to reach the end of the leg."""
    exact, rule = regain(leg_nm, gone_nm, off_nm), regain_rule(leg_nm, gone_nm, off_nm)
    return Answer(
        figures=(
            Figure(
                name="track_error_deg",
                quantity="track error so far",
                exact=exact.track_error_deg,
                rule=rule.track_error_deg,
                rule_is="60 times distance off, over distance gone",
            ),
            Figure(
                name="closing_angle_deg",
                quantity="closing angle",
                exact=exact.closing_angle_deg,
                rule=rule.closing_angle_deg,
                rule_is="60 times distance off, over distance to go",
            ),
            Figure(
                name="turn_deg",
                quantity="turn toward the track",
                exact=exact.turn_deg,
                rule=rule.turn_deg,
                rule_is="the two together",
            ),
        ),
        source="Plane geometry; 1-in-60 rule of US Navy P-340.",
    )
