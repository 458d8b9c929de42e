"""
The final descent: slope, rate, the altitude due, and where the slope meets the minimum.

A slope is a straight line in the frame of the chart: height = anchor + distance x tan(angle), over ground
distance, with 6076.115 ft to the mile. Rates are over ground distance too, so they follow the tangent; one
old US legend follows the sine, which is 0.14 % less at 3 degrees (tests/nav/check_values.yaml,
rod.table.legend). Altitudes of one call share one datum. Sources: FAA AC 120-108 (continuous descent),
PANS-OPS Vol II Part I Section 4 Chapter 5.
"""

from math import atan, degrees, radians, sqrt, tan

from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import FT_PER_NM, ground_nm_from_slant

USUAL_CROSSING_HEIGHT_FT = 50.0
USUAL_ADD_ON_FT = 50.0  # operator practice; FAA AC 120-108 and ICAO name no figure


def gradient_ft_per_nm(angle_deg: float) -> float:
    """Height lost in a mile on a slope: 318.4 ft at 3 degrees."""
    _check_angle(angle_deg)
    return FT_PER_NM * tan(radians(angle_deg))


def gradient_percent(angle_deg: float) -> float:
    """The slope in percent: 5.24 at 3 degrees."""
    _check_angle(angle_deg)
    return 100.0 * tan(radians(angle_deg))


def angle_deg_from(high_ft: float, low_ft: float, ground_nm: float) -> float:
    """The slope between two altitudes a ground distance apart; descent positive."""
    if ground_nm <= 0.0:
        raise NoSolution(f"A descent over {ground_nm} NM has no angle.")
    return degrees(atan((high_ft - low_ft) / (ground_nm * FT_PER_NM)))


def angle_deg_from_gradient(feet_per_nm: float) -> float:
    """The slope of a gradient in feet a mile: 400 is 3.77 degrees."""
    return degrees(atan(feet_per_nm / FT_PER_NM))


def descent_fpm(groundspeed_kt: float, angle_deg: float) -> float:
    """Rate of descent that keeps a slope at a groundspeed."""
    return groundspeed_kt * gradient_ft_per_nm(angle_deg) / 60.0


def climb_fpm(groundspeed_kt: float, climb_percent: float) -> float:
    """Rate of climb for a gradient in percent at a groundspeed: percent x GS x 1.013."""
    return climb_percent / 100.0 * groundspeed_kt * FT_PER_NM / 60.0


def altitude_on_slope_ft(ground_to_anchor_nm: float, anchor_altitude_ft: float, angle_deg: float) -> float:
    """The altitude due a ground distance before a point of the slope (behind it negative)."""
    return anchor_altitude_ft + ground_to_anchor_nm * gradient_ft_per_nm(angle_deg)


def altitude_due_at_slant_ft(
    dme_nm: float,
    station_to_anchor_nm: float,
    anchor_altitude_ft: float,
    angle_deg: float,
    station_elevation_ft: float,
    station_across_nm: float = 0.0,
) -> float:
    """
    The altitude due at a slant range, closing along the final course; the station may lie off it.

    `station_to_anchor_nm` is the distance from the anchor (often the threshold) on to the station, measured
    along the final course: positive where the station lies beyond the anchor. `station_across_nm` is how far
    the station stands off the course line. The height that turns slant into ground range is the answer
    itself, so it is found by repetition; eight rounds leave less than a tenth of a foot from 1 NM out.
    """
    due_ft = anchor_altitude_ft
    for _ in range(8):
        ground_nm = ground_nm_from_slant(dme_nm, due_ft - station_elevation_ft)
        along_nm = sqrt(max(0.0, ground_nm**2 - station_across_nm**2))
        due_ft = altitude_on_slope_ft(along_nm - station_to_anchor_nm, anchor_altitude_ft, angle_deg)
    return due_ft


def top_of_descent_nm(altitude_ft: float, target_altitude_ft: float, angle_deg: float) -> float:
    """Ground distance before a target at which to start down a slope to it."""
    if altitude_ft < target_altitude_ft:
        raise NoSolution(f"{altitude_ft:.0f} ft is below the target of {target_altitude_ft:.0f} ft.")
    return (altitude_ft - target_altitude_ft) / gradient_ft_per_nm(angle_deg)


def top_of_descent_rule_nm(height_to_lose_ft: float, speed_to_lose_kt: float = 0.0) -> float:
    """Working rule: three miles for 1,000 ft, and one for every 10 kt to lose; a 3.14 degree path."""
    return 3.0 * height_to_lose_ft / 1000.0 + speed_to_lose_kt / 10.0


def continuous_angle_deg(
    faf_altitude_ft: float,
    threshold_elevation_ft: float,
    crossing_height_ft: float,
    faf_to_threshold_nm: float,
) -> float:
    """The slope from the final approach fix to the threshold crossing height (method of FAA AC 120-108)."""
    return angle_deg_from(faf_altitude_ft, threshold_elevation_ft + crossing_height_ft, faf_to_threshold_nm)


def continuous_descent_fpm(
    faf_altitude_ft: float,
    threshold_elevation_ft: float,
    crossing_height_ft: float,
    faf_to_threshold_nm: float,
    groundspeed_kt: float,
) -> float:
    """The rate of descent from the final approach fix to the threshold crossing height."""
    angle_deg = continuous_angle_deg(
        faf_altitude_ft, threshold_elevation_ft, crossing_height_ft, faf_to_threshold_nm
    )
    return descent_fpm(groundspeed_kt, angle_deg)


def derived_minimum_ft(minimum_ft: float, add_on_ft: float = USUAL_ADD_ON_FT) -> float:
    """
    The minimum at which to decide in a continuous descent, so as not to sink below the published one.

    The add-on of 50 ft is operator practice; see `sink_in_decision_ft` for what a reaction really costs.
    """
    if add_on_ft < 0.0:
        raise OutsideValidity(f"An add-on of {add_on_ft} ft would lower the minimum.")
    return minimum_ft + add_on_ft


def sink_in_decision_ft(rate_fpm: float, reaction_s: float, pull_up_g: float = 0.1) -> float:
    """
    Height lost between the decision and level flight.

    The reaction at the rate, then v^2 / 2a for a gentle pull-up. Derived from constant acceleration; 0.1 g is
    an ordinary rotation (common practice).
    """
    sink_ft_s = rate_fpm / 60.0
    return sink_ft_s * reaction_s + sink_ft_s**2 / (2.0 * pull_up_g * 32.174)


def visual_descent_point_nm(
    minimum_ft: float, threshold_elevation_ft: float, crossing_height_ft: float, angle_deg: float
) -> float:
    """Ground distance from the threshold at which the slope to the crossing height leaves the minimum."""
    return top_of_descent_nm(minimum_ft, threshold_elevation_ft + crossing_height_ft, angle_deg)


def visual_descent_point_rule_nm(height_above_threshold_ft: float) -> float:
    """Working rule: height / 300; aims at the threshold itself, so it lies about 0.2 NM further out."""
    return height_above_threshold_ft / 300.0


def visual_descent_point_rule_s(height_above_threshold_ft: float, faf_to_threshold_s: float) -> float:
    """Working rule: a tenth of the height in seconds before the threshold; true near 113 kt at 3 degrees."""
    return faf_to_threshold_s - height_above_threshold_ft / 10.0


def slope_from_minimum_deg(
    minimum_ft: float, threshold_elevation_ft: float, crossing_height_ft: float, ground_to_threshold_nm: float
) -> float:
    """
    How steep it would be from the minimum at a distance (the missed approach point.

    Say) to the crossing height.
    """
    return angle_deg_from(minimum_ft, threshold_elevation_ft + crossing_height_ft, ground_to_threshold_nm)


def leg_time_s(ground_nm: float, groundspeed_kt: float) -> float:
    """
    Time over a distance at a groundspeed: from the final fix to the missed approach point.

    Or to any event.
    """
    if groundspeed_kt <= 0.0:
        raise NoSolution(f"At a groundspeed of {groundspeed_kt} kt nothing is reached.")
    return 3600.0 * ground_nm / groundspeed_kt


def distance_in_time_nm(time_s: float, groundspeed_kt: float) -> float:
    """Distance covered in a time at a groundspeed."""
    return groundspeed_kt * time_s / 3600.0


def level_off_lead_ft(rate_fpm: float) -> float:
    """Working rule: begin to level a tenth of the rate before the altitude (US Air Force)."""
    return abs(rate_fpm) / 10.0


def descent_rule_fpm(groundspeed_kt: float) -> float:
    """Working rule for 3 degrees: groundspeed times 5; gives 2.83 degrees, 6 % under the exact rate."""
    return 5.0 * groundspeed_kt


def height_rule_ft(angle_deg: float, ground_nm: float) -> float:
    """Working rule, 60-to-1: 100 ft for a degree and a mile; 6 % under the exact figure."""
    return 100.0 * angle_deg * ground_nm


def _check_angle(angle_deg: float) -> None:
    if not 0.0 < angle_deg < 45.0:
        raise OutsideValidity(f"A slope of {angle_deg} degrees is outside 0 to 45.")
