"""Whether a chart hangs together: each check against a figure worked by hand."""

from math import atan, degrees, radians, sqrt, tan

import pytest
from chart_checks import checked, remark, results

from assistant.procedure.findings import Severity

FT_PER_NM = 6076.115


# --- the descent ------------------------------------------------------------------------------------------


def test_the_descent_angle_is_recomputed_from_slant_ranges(teskel):
    """
    The published angle is compared with the one between fix and threshold.

    By hand: PALIX at 7.5 DME slant, 2100 + 512 = 2612 ft, the station at 530 ft: 2082 ft or 0.3427 NM above
    it, so sqrt(7.5^2 - 0.3427^2) = 7.492 NM over the ground; the threshold 1.10 NM from the station on the
    same line, so 6.392 NM on. From 2612 down to 512 + 50 = 562 ft: atan(2050 / (6.392 x 6076.115)) = 3.02
    degrees.
    """
    ground_nm = sqrt(7.5**2 - ((2612 - 530) / FT_PER_NM) ** 2) - 1.10
    angle_deg = degrees(atan((2612 - 562) / (ground_nm * FT_PER_NM)))

    (text,) = results(checked(teskel), "descent")

    assert f"{ground_nm:.2f} NM on" in text
    assert text.endswith(f"{angle_deg:.2f}°")


def test_a_published_height_off_the_angle_is_found(teskel, broken):
    """
    The table is compared with the angle, line by line.

    By hand, at 5 DME: about 1,280 ft above the station, so 4.9956 NM over the ground, 3.8956 NM from the
    threshold; 562 + 3.8956 x 6076.115 x tan 3.02 = 1,811 ft, less the threshold's 512: 1,299 ft.
    """
    due_ft = 50 + (4.9956 - 1.10) * FT_PER_NM * tan(radians(3.02))

    problem = remark(
        checked(
            broken(teskel, "height_ft: 1300}\n      - {dme_nm: 4", "height_ft: 1360}\n      - {dme_nm: 4")
        ),
        "legs[2].heights[2]",
    )

    assert problem == f"1360 ft at 5 DME; the published angle gives {due_ft:.0f} ft there"


def test_a_published_angle_that_undercuts_the_final_fix_is_found(teskel, broken):
    """2.5 degrees up from 562 ft over 6.392 NM: 562 + 6.392 x 265.3 = 2,258 ft, not the fix's 2,612 ft."""
    problem = remark(
        checked(broken(teskel, "descent_angle_deg: 3.02", "descent_angle_deg: 2.5")),
        "legs[2].descent_angle_deg",
    )

    assert "at 2258 ft, below its 2612 ft" in problem
    assert problem.endswith("3.02°")


def test_a_floor_above_the_descent_is_found(skarrow, broken):
    """3.05 degrees passes 3.5 DME at 1,089 ft (test above, the same way): 61 ft below a floor of 1,150."""
    text = broken(
        skarrow,
        "{fix: BESKA, altitude: {kind: at_or_above, altitude_ft: 1000}}",
        "{fix: BESKA, altitude: {altitude_ft: 1150}}",
    )

    assert "passes 3.5 DME 61 ft below 1150 ft" in remark(checked(text), "legs[3].step_downs[0].altitude")


def test_a_last_floor_above_a_minimum_is_found(skarrow, broken):
    """With 550 ft binding from 3.5 DME to the end nobody comes down to 500 or 540."""
    text = broken(
        skarrow,
        "{dme_nm: 3.5, altitude: {kind: at_or_above, altitude_ft: 500}}",
        "{dme_nm: 3.5, altitude: {altitude_ft: 550}}",
    )

    assert "above the minimum of category A, B, C, D" in remark(
        checked(text), "legs[3].step_downs[1].altitude"
    )


def test_how_steep_it_is_from_the_minimum_at_the_missed_approach_point(teskel):
    """
    From there to the crossing height over the threshold.

    By hand: 842 ft at 1.8 DME, 0.70 NM before it: atan((842 - 562) / (0.698 x 6076)) = 3.8 degrees.
    """
    text = results(checked(teskel), "missed approach point")[0]

    assert text.startswith("category ABC: the descent reaches 842 ft at 2.0 DME")  # 1.1 + 280 / 320.6 = 1.97
    assert text.endswith("it is 3.8°")


def test_a_missed_approach_point_before_the_minimum_is_reached_is_remarked(teskel, broken):
    """842 ft is reached at 1.97 DME, after a missed approach point at 3.0."""
    text = broken(teskel, "{fix: ROSKA}", "{dme_nm: 3.0}")

    found = [item.problem for item in checked(text).remarks]

    assert "category ABC: at the missed approach point the descent is still above the minimum" in found


def test_a_missed_approach_point_far_beyond_the_threshold_is_found(teskel, broken):
    """9.5 NM from PALIX, with the threshold 6.39 NM on."""
    text = broken(teskel, "{fix: ROSKA}", "{timed_distance_nm: 9.5}")

    assert "3.1 NM beyond the threshold" in remark(checked(text), "legs[2].missed_approach_point")


# --- levels -----------------------------------------------------------------------------------------------


def test_minima_differ_by_the_elevation_of_the_datum(teskel, broken):
    """900 ft MSL less 330 ft is 570 ft; the threshold lies at 512 ft."""
    text = broken(teskel, "{category: A, mda_ft: 842", "{category: A, mda_ft: 900")

    assert "mda_ft less mdh_ft is 570 ft, the datum lies at 512 ft" in remark(checked(text), "minima[0]")


def test_the_datum_of_heights_may_be_the_aerodrome(teskel, broken):
    """Heights above the aerodrome (540 ft) do not fit minima made for the threshold (512 ft)."""
    check = checked(broken(teskel, "qfe_datum: threshold", "qfe_datum: aerodrome"))

    assert "the datum lies at 540 ft" in remark(check, "minima[0]")


def test_an_altitude_between_two_datums_may_not_rise(teskel, broken):
    """2,500 ft QFE is 3,012 ft QNH: above the 3,000 ft before it, though the number is less."""
    problem = remark(checked(broken(teskel, "altitude_ft: 3800", "altitude_ft: 3000")), "legs[1].altitude")

    assert problem == "2500 ft QFE (3012 ft QNH) is above the 3000 ft QNH before it"


def test_a_level_below_the_transition_altitude_is_found(skarrow, broken):
    text = broken(skarrow, "minimum: {kind: at_or_above, altitude_ft: 4000}", "minimum: {flight_level: 80}")

    assert "FL80 is below the transition altitude 10000 ft" in remark(checked(text), "hold.minimum")


def test_visibility_with_lights_out_is_the_whole_and_not_the_increment(skarrow, broken):
    text = broken(
        skarrow,
        "visibility_m: 1700, lights_out_visibility_m: 2400",
        "visibility_m: 1700, lights_out_visibility_m: 700",
    )

    assert "less visibility" in remark(checked(text), "minima[2].lights_out_visibility_m")


def test_a_threshold_above_the_aerodrome_is_odd(skarrow, broken):
    text = broken(skarrow, "name: Skarrow\n  elevation_ft: 102", "name: Skarrow\n  elevation_ft: 90")

    assert "above the aerodrome" in remark(checked(text), "airport.elevation_ft", Severity.WARNING)


# --- places -----------------------------------------------------------------------------------------------


def test_a_fix_away_from_its_radial_and_range_is_found(skarrow, broken):
    """0.02 degrees of latitude is 1.2 NM."""
    problem = remark(
        checked(broken(skarrow, "latitude_deg: -38.30247", "latitude_deg: -38.32247")), "fixes[1]"
    )

    assert problem.endswith("1.2 NM from its radial and range")


def test_a_declination_of_the_wrong_sign_moves_every_fix(skarrow, broken):
    """12 degrees at 17 NM is 3.6 NM."""
    check = checked(broken(skarrow, "declination_deg: 6 ", "declination_deg: -6 "))

    assert "3.6 NM from its radial and range" in remark(check, "fixes[0]")


def test_a_threshold_away_from_its_range_is_found(skarrow, broken):
    """The threshold lies 0.587 NM from the station."""
    assert "at 0.59 DME" in remark(
        checked(broken(skarrow, "threshold_dme_nm: 0.6 ", "threshold_dme_nm: 0.9 ")),
        "runway.threshold_dme_nm",
    )


def test_a_course_that_does_not_lead_from_fix_to_fix_is_found(skarrow, broken):
    """TARNO and VELKA lie on radial 345: inbound that is 165."""
    text = broken(skarrow, "to_fix: VELKA\n    course_mag_deg: 165", "to_fix: VELKA\n    course_mag_deg: 175")

    assert remark(checked(text), "legs[0].course_mag_deg") == "TARNO to VELKA is 165.0, 5.0 NM"


def test_a_course_the_wrong_way_along_its_line_is_found(skarrow, broken):
    text = broken(skarrow, "to_fix: VELKA\n    course_mag_deg: 165", "to_fix: VELKA\n    course_mag_deg: 345")

    assert "is 165.0" in remark(checked(text), "legs[0].course_mag_deg")


def test_an_arc_that_its_fix_is_not_on_is_found(skarrow, broken):
    assert "VELKA is at 12 DME" in remark(
        checked(broken(skarrow, "arc_dme_nm: 12", "arc_dme_nm: 13")), "legs[1].arc_dme_nm"
    )


def test_the_lead_that_a_turn_needs_is_computed_in_still_air(skarrow):
    """
    Beside the published lead stands what each category's turn wants.

    By hand, category C at the leg's 230 kt and 2,500 ft: TAS 230 / sqrt(0.9289) = 238.6 kt; at 25 degrees of
    bank r = 238.6^2 / (68,625 x tan 25) = 1.78 NM. Turning off an arc of R on to an inbound course takes 90
    degrees and the lead itself, so R sin(lead) = r (1 + sin(lead)): lead = asin(1.78 / (11.99 - 1.78)) = 10.0
    degrees.
    """
    (text,) = results(checked(skarrow), "lead radial")

    assert text.startswith("053 leads by 10°, 2.1 NM")  # 12 NM x 10 degrees = 2.09 NM
    assert "C 10.0°" in text


def test_a_short_lead_is_remarked(skarrow, broken):
    """4 degrees are short for all but category A, which wants 4.2: within the rounding of a radial."""
    problem = remark(
        checked(broken(skarrow, "lead_radial_deg: 053", "lead_radial_deg: 059")),
        "legs[1].lead_radial_deg",
        Severity.WARNING,
    )

    assert "short for category B, C, D, E" in problem


def test_a_step_down_off_the_arc_is_found(skarrow, broken):
    text = broken(skarrow, "{radial_deg: 020,", "{radial_deg: 100,")

    assert "radial 100 is not met" in remark(checked(text), "legs[1].step_downs[0].radial_deg")


def test_on_which_side_the_runway_appears(skarrow):
    """
    The side and the angle at the lowest minimum.

    By hand: the final course meets the centre line 1.33 NM from the station and 0.75 NM before the threshold,
    at an angle of 5 degrees, so the threshold stands 0.75 sin 5 = 0.065 NM left of the course; from 500 ft,
    (500 - 146) / 323.8 = 1.09 NM before it: atan(0.065 / 1.09) = 3.4 degrees left.
    """
    (text,) = results(checked(skarrow), "final course")

    assert text.startswith("final course 243 is 5° right of the runway's 238; ")
    assert text.endswith("at the minimum the threshold is 3° left of the track")


def test_a_final_course_beside_the_runway_is_found(skarrow, broken):
    """40 degrees off the runway is no straight-in approach."""
    check = checked(broken(skarrow, "  course_mag_deg: 238", "  course_mag_deg: 203"))

    assert "243 is 40° off the runway's 203" in remark(check, "legs[3].course_mag_deg")


# --- the missed approach --------------------------------------------------------------------------------


def test_a_missed_approach_that_arrives_below_the_hold_is_found(skarrow, broken):
    text = broken(
        skarrow,
        "{to_fix: TARNO, turn: right, climb: {kind: at_or_above, altitude_ft: 4000}}",
        "{to_fix: TARNO, climb: {altitude_ft: 4000}}",
    )
    text = broken(text, "minimum: {kind: at_or_above, altitude_ft: 4000}", "minimum: {altitude_ft: 4200}")

    assert (
        remark(checked(text), "missed_approach.legs") == "arrives at 4000 ft, below the lowest holding level"
    )


def test_a_climb_that_ends_below_the_minimum_is_found(teskel, broken):
    """3,000 ft QFE becomes 300: 812 ft, below category D's 862."""
    text = broken(
        teskel,
        "until_dme_nm: 6, climb: {kind: at_or_above, height_ft: 3000}",
        "until_dme_nm: 6, climb: {height_ft: 300}",
    )

    assert "climbs to 812 ft, below the highest minimum (862 ft)" in remark(
        checked(text), "missed_approach.legs[0].climb"
    )


def test_a_leg_that_ends_above_its_climb_is_found(skarrow, broken):
    text = broken(skarrow, "until_altitude_ft: 1500", "until_altitude_ft: 5000")

    assert "above the 4000 ft" in remark(checked(text), "missed_approach.legs[0].until_altitude_ft")


def test_a_radial_that_the_missed_approach_never_crosses_is_found(skarrow, broken):
    """Inbound on radial 063 the track 243 runs through the station: it meets no radial but 243's own line."""
    text = broken(skarrow, "until_altitude_ft: 1500", "until_radial_deg: 120")

    assert "not met on track 243" in remark(checked(text), "missed_approach.legs[0].until_radial_deg")


# --- around -----------------------------------------------------------------------------------------------


def test_a_hold_whose_range_limit_lies_behind_the_fix_is_found(skarrow, broken):
    """Outbound from 17 DME away from the station, 12 DME never comes."""
    assert "12 DME is not met" in remark(
        checked(broken(skarrow, "outbound_dme_nm: 23", "outbound_dme_nm: 12")), "hold.outbound_dme_nm"
    )


def test_a_hold_with_its_levels_crossed_is_found(skarrow, broken):
    check = checked(
        broken(skarrow, "{kind: at_or_below, altitude_ft: 8000}", "{kind: at_or_below, altitude_ft: 3000}")
    )

    assert "below the lowest" in remark(check, "hold.maximum")


def test_a_holding_speed_above_every_published_maximum_is_remarked(skarrow, broken):
    """Up to 14,000 ft ICAO allows 230 kt, up to 6,000 ft the FAA 200 (Doc 8168; AIM 5-3-8)."""
    text = broken(skarrow, "8000}\n  speed_limit_kt: 230", "8000}\n  speed_limit_kt: 260")

    assert "ICAO gives 230 kt at most, the FAA 200 kt" in remark(
        checked(text), "hold.speed_limit_kt", Severity.WARNING
    )


@pytest.mark.parametrize(
    ("old", "new", "phrase"),
    [
        (
            "from_radial_deg: 270, to_radial_deg: 100",
            "from_radial_deg: 270, to_radial_deg: 090",
            "ends at 090, the next begins at 100",
        ),
        (
            "from_radial_deg: 100, to_radial_deg: 270",
            "from_radial_deg: 090, to_radial_deg: 270",
            "ends at 100, the next begins at 090",
        ),
    ],
    ids=["gap", "overlap"],
)
def test_sectors_that_do_not_close_the_circle_are_found(skarrow, broken, old, new, phrase):
    assert phrase in remark(checked(broken(skarrow, old, new)), "sectors[0].to_radial_deg")


def test_an_area_on_the_pattern_at_its_levels_is_remarked(skarrow, broken):
    """Centre on the arc (radial 020, 12 DME), from the surface to 9,000 ft."""
    text = broken(skarrow, "radial_deg: 210\n    dme_nm: 11", "radial_deg: 020\n    dme_nm: 12")

    assert "the arc passes through it" in remark(checked(text), "areas[0]", Severity.WARNING)


def test_an_area_below_the_pattern_is_only_told(skarrow, broken):
    """The arc's floor there is 2,500 ft."""
    text = broken(skarrow, "radial_deg: 210\n    dme_nm: 11", "radial_deg: 020\n    dme_nm: 12")
    text = broken(text, "upper_altitude_ft: 9000", "upper_altitude_ft: 1000")
    check = checked(text)

    assert check.remarks == ()
    assert results(check, "area") == ["ZZ-D7: the arc passes over or under it"]


def test_a_tacan_without_channel_is_remarked(skarrow, broken):
    assert (
        remark(checked(broken(skarrow, "  channel: 57X\n", "")), "navaid", Severity.WARNING)
        == "a TACAN has a channel"
    )
