"""
What the sums come to is what publications print, and what is worked out by hand.

Both values of a figure are held to a source. `published` entries stand in tests/nav/check_values.yaml under
the name given; the rest is worked in the comment. A turn of rate one has the radius V / (60 pi): at 150 kt
150 / 188.496 = 0.79577 NM, at 22.4 degrees of bank.
"""

from dataclasses import dataclass

import pytest

from assistant.nav.errors import NoSolution
from assistant.nav.wind import Wind
from assistant.sums.air import altimeter, cold_air, slant_range, true_airspeed, wind_triangle
from assistant.sums.descending import altitude_due, descent, minimum, regain_track, timing
from assistant.sums.patterns import base_turn, hold, procedure_turn
from assistant.sums.turning import arc, lead_off_arc, lead_on_to_arc, lead_to_intercept, turn

CALM = Wind(360.0, 0.0)


@dataclass(frozen=True)
class Printed:
    figure: str
    exact: float | None
    rule: float | None
    within: float
    source: str


def check(answer, *printed):
    for row in printed:
        figure = answer.figure(row.figure)
        if row.exact is not None:
            assert figure.exact == pytest.approx(row.exact, abs=row.within), row.source
        if row.rule is not None:
            assert figure.rule == pytest.approx(row.rule, abs=row.within), row.source


def test_wind_triangle_of_the_handbook():
    check(
        wind_triangle(track_mag_deg=90.0, tas_kt=120.0, wind=Wind(45.0, 40.0)),
        Printed("heading_mag_deg", 76.0, None, 0.6, "wind.phak"),
        Printed("groundspeed_kt", 88.0, None, 0.6, "wind.phak"),
        # Clock code at 45 degrees off: three quarters of 60 x 40 / 120 = 20.
        Printed("drift_deg", None, 15.0, 1e-6, "clock code, by hand"),
        Printed("heading_mag_deg", None, 75.0, 1e-6, "clock code, by hand"),
        # Head wind by the clock code from the beam, 45 degrees again: 30 kt of the 40.
        Printed("groundspeed_kt", None, 90.0, 1e-6, "clock code, by hand"),
    )


def test_wind_triangle_of_the_question_bank():
    check(
        wind_triangle(track_mag_deg=180.0, tas_kt=180.0, wind=Wind(100.0, 18.0)),
        Printed("heading_mag_deg", 174.0, None, 0.6, "wind.ecqb_1"),
        Printed("groundspeed_kt", 176.0, None, 0.6, "wind.ecqb_1"),
        # 80 degrees off: all of 60 x 18 / 180 = 6 degrees.
        Printed("heading_mag_deg", None, 174.0, 1e-6, "clock code, by hand"),
    )


def test_most_drift():
    check(
        wind_triangle(track_mag_deg=360.0, tas_kt=120.0, wind=Wind(90.0, 20.0)),
        Printed("maximum_drift_deg", 9.59, 10.0, 0.02, "sixty.max_drift_20_120"),
    )


def test_where_the_wind_outdoes_the_airspeed_there_is_no_most_drift():
    answer = wind_triangle(track_mag_deg=70.0, tas_kt=60.0, wind=Wind(250.0, 70.0))

    assert answer.figure("groundspeed_kt").exact == pytest.approx(130.0)
    assert answer.figure("maximum_drift_deg").exact is None


def test_a_tail_wind_is_added_by_the_rule_too():
    check(
        wind_triangle(track_mag_deg=70.0, tas_kt=150.0, wind=Wind(250.0, 20.0)),
        Printed("groundspeed_kt", 170.0, 170.0, 1e-6, "all of it along the track"),
    )


def test_true_airspeed_of_the_designers_example():
    """280 kt at 10,000 ft and ISA + 15 is 335 kt rounded up (turn.pansops.radius_10000ft_280)."""
    answer = true_airspeed(ias_kt=280.0, altitude_ft=10000.0, temperature_c=15.0 - 19.8 + 15.0)

    assert 334.0 < answer.figure("designers_tas_kt").exact <= 335.0
    # Compressibility makes the exact value less than the designers'; 2 % a thousand feet is 280 x 1.2.
    assert 325.0 < answer.figure("tas_kt").exact < answer.figure("designers_tas_kt").exact
    assert answer.figure("tas_kt").rule == pytest.approx(336.0)


def test_above_the_designers_range_their_formula_is_left_out():
    with pytest.raises(LookupError):
        true_airspeed(ias_kt=250.0, altitude_ft=40000.0).figure("designers_tas_kt")


def test_turn():
    check(
        turn(tas_kt=180.0, bank_deg=25.0, through_deg=90.0),
        Printed("radius_nm", 1.012, 1.0, 0.001, "turn.rule.sq9_180"),
        Printed("rate_one_bank_deg", None, 25.0, 1e-6, "turn.rule.tas10plus7: 180 / 10 + 7"),
        Printed("rate_one_bank_percent_rule_deg", None, 27.0, 1e-6, "turn.rule.15pct: 0.15 x 180"),
        Printed("rate_one_radius_nm", 0.9549, 0.9, 0.001, "180 / 188.496; half of one percent"),
        Printed("time_s", None, 30.0, 1e-6, "3 degrees a second"),
    )
    check(
        turn(tas_kt=120.0, bank_deg=25.0, through_deg=90.0),
        Printed("rate_one_bank_deg", 18.24, 19.0, 0.01, "turn.rule.tas10plus7"),
    )


def test_a_bank_without_a_rule_of_its_own_has_none():
    assert turn(tas_kt=180.0, bank_deg=17.0, through_deg=90.0).figure("radius_nm").rule is None


def test_arc_in_still_air_has_the_station_on_the_wing_tip():
    check(
        arc(radial_deg=20.0, arc_nm=12.0, direction="clockwise", tas_kt=150.0, wind=CALM, offset_nm=0.0),
        Printed("heading_mag_deg", 110.0, 110.0, 1e-6, "radial + 90"),
        Printed("pointer_ahead_deg", 0.0, 0.0, 1e-6, "the wing tip"),
        Printed("pointer_relative_deg", 90.0, 90.0, 1e-6, "the wing tip"),
        # 12 pi / 180 = 0.2094; 12 / 60 = 0.2.
        Printed("radial_width_nm", 0.2094, 0.2, 0.0001, "60-to-1"),
    )


@pytest.mark.parametrize(
    ("direction", "offset_nm", "heading_deg"),
    [("clockwise", -0.5, 105.0), ("clockwise", 0.5, 120.0), ("anticlockwise", 0.5, 280.0)],
)
def test_off_the_arc_the_navy_turns_5_degrees_inside_and_10_outside(direction, offset_nm, heading_deg):
    """arc.p871.correction: half a mile inside 5 degrees away from the station, outside 10 toward it."""
    check(
        arc(radial_deg=20.0, arc_nm=12.0, direction=direction, tas_kt=150.0, wind=CALM, offset_nm=offset_nm),
        Printed("heading_mag_deg", heading_deg, heading_deg, 1e-6, "arc.p871.correction"),
    )


def test_on_an_arc_the_wind_moves_the_pointer_by_the_drift():
    """Radial 360 clockwise goes east; 20 kt from the north at 120 kt is 9.59 degrees, by the rule 10."""
    check(
        arc(
            radial_deg=360.0,
            arc_nm=12.0,
            direction="clockwise",
            tas_kt=120.0,
            wind=Wind(360.0, 20.0),
            offset_nm=0.0,
        ),
        # The nose is left of the track, so the station on the right falls behind the wing tip.
        Printed("heading_mag_deg", 80.41, 80.0, 0.01, "sixty.max_drift_20_120"),
        Printed("pointer_ahead_deg", -9.59, -10.0, 0.01, "sixty.max_drift_20_120"),
    )


def test_lead_off_an_arc_in_still_air():
    """asin(r / (R - r)) = asin(0.79577 / 11.20423) = 4.073; 60 / 12 x 0.79577 = 3.979."""
    flown = {"arc_nm": 12.0, "direction": "clockwise", "sense": "inbound", "tas_kt": 150.0, "bank_deg": 25.0}
    check(
        lead_off_arc(course_mag_deg=243.0, wind=CALM, **flown),
        Printed("lead_deg", 4.073, 3.979, 0.001, "tangent circles"),
        Printed("lead_radial_deg", 63.0 - 4.073, 63.0 - 3.979, 0.001, "clockwise: before 063"),
    )
    flown["direction"] = "anticlockwise"
    check(
        lead_off_arc(course_mag_deg=243.0, wind=CALM, **flown),
        Printed("lead_radial_deg", 63.0 + 4.073, 63.0 + 3.979, 0.001, "anticlockwise: past 063"),
    )


def test_lead_off_an_arc_outbound_is_corrected_as_the_navy_does():
    """
    arc.p1204.outbound_10: 15 radials less 2.08 is 12.9; the tangent circle gives asin(2.5 / 12.5) = 11.54.

    The bank for a radius of 2.5 NM at 250 kt is atan(250^2 / (68625 x 2.5)) = 20.015 degrees.
    """
    check(
        lead_off_arc(
            arc_nm=10.0,
            direction="clockwise",
            course_mag_deg=90.0,
            sense="outbound",
            tas_kt=250.0,
            wind=CALM,
            bank_deg=20.015,
        ),
        Printed("lead_deg", 11.54, 12.92, 0.01, "arc.p1204.outbound_10"),
        Printed("lead_radial_deg", 90.0 - 11.54, 90.0 - 12.92, 0.01, "arc.p1204.outbound_10"),
    )


def test_a_tail_wind_wants_more_lead():
    """arc.tailwind_effect: blown on to the course, begin the turn earlier than the still-air row says."""
    answer = lead_off_arc(
        arc_nm=12.0,
        direction="clockwise",
        course_mag_deg=270.0,
        sense="inbound",
        tas_kt=150.0,
        wind=Wind(360.0, 30.0),
        bank_deg=25.0,
    )

    assert answer.figure("lead_deg").exact > answer.figure("calm_lead_deg").exact


def test_a_turn_too_wide_for_the_arc_is_told_so():
    with pytest.raises(NoSolution, match=r"2\.0 NM arc"):
        lead_off_arc(
            arc_nm=2.0,
            direction="clockwise",
            course_mag_deg=243.0,
            sense="inbound",
            tas_kt=300.0,
            wind=CALM,
            bank_deg=25.0,
        )


def test_lead_to_a_course_in_still_air():
    """Tangent circle: r tan(45 / 2) = 0.79577 x 0.41421 = 0.3296; from the course 0.3296 sin 45 = 0.2331."""
    check(
        lead_to_intercept(track_mag_deg=198.0, course_mag_deg=243.0, tas_kt=150.0, wind=CALM, bank_deg=25.0),
        Printed("lead_nm", 0.3296, 0.3296, 0.0001, "tangent circle"),
        Printed("across_nm", 0.2331, 0.2331, 0.0001, "tangent circle"),
        Printed("time_s", 15.0, None, 1e-6, "45 degrees at 3 a second"),
    )


def test_lead_on_to_an_arc():
    """
    arc.p871.inbound: 10 and half of one percent of 150 is 10.75.

    The turn's circle touches the arc from outside: sqrt((10 + r)^2 - r^2) = sqrt(100 + 20 r) = 10.766.
    """
    check(
        lead_on_to_arc(
            arc_nm=10.0,
            radial_deg=345.0,
            sense="inbound",
            direction="clockwise",
            tas_kt=150.0,
            wind=CALM,
            bank_deg=25.0,
        ),
        Printed("start_nm", 10.766, 10.75, 0.001, "arc.p871.inbound"),
        Printed("lead_nm", 0.766, 0.75, 0.001, "arc.p871.inbound"),
    )


def test_hold_in_still_air_is_the_charted_pattern():
    check(
        hold(course_mag_deg=165.0, turn="right", tas_kt=150.0, wind=CALM, time_s=60.0, bank_deg=25.0),
        Printed("outbound_heading_mag_deg", 345.0, 345.0, 1e-3, "the reciprocal"),
        Printed("outbound_time_s", 60.0, 60.0, 1e-3, "one minute"),
        Printed("roll_out_across_nm", 0.0, 0.0, 1e-6, "no drift"),
        Printed("inbound_time_s", 60.0, 60.0, 1e-3, "one minute"),
    )


def test_hold_by_three_drifts_as_in_the_manual():
    """
    hold.triple_drift_aim: 8 degrees left inbound is 24 right outbound.

    A wind of 150 sin 8 = 20.9 kt from the left beam gives the 8.
    """
    answer = hold(
        course_mag_deg=180.0, turn="right", tas_kt=150.0, wind=Wind(90.0, 20.9), time_s=60.0, bank_deg=25.0
    )

    check(
        answer,
        Printed("inbound_heading_mag_deg", 172.0, None, 0.05, "hold.triple_drift_aim"),
        Printed("outbound_correction_deg", None, 24.0, 0.1, "hold.triple_drift_aim"),
        Printed("outbound_heading_mag_deg", None, 24.0, 0.1, "hold.triple_drift_aim"),
        Printed("roll_out_across_nm", 0.0, None, 1e-3, "solved"),
        Printed("inbound_time_s", 60.0, None, 1e-3, "solved"),
    )


@pytest.mark.parametrize(
    ("heading_deg", "words"),
    [
        # Right turns, outbound 345 (FAA AIM 5-3-8): to 70 right of the nose offset, to 110 left parallel.
        (300.0, "Entry on heading 300: offset."),
        (20.0, "Entry on heading 020: parallel."),
        (200.0, "Entry on heading 200: direct."),
        (98.0, "Entry on heading 098: direct, or parallel: within 5° of the boundary."),
    ],
)
def test_hold_names_the_entry(heading_deg, words):
    answer = hold(
        course_mag_deg=165.0,
        turn="right",
        tas_kt=150.0,
        wind=CALM,
        time_s=60.0,
        bank_deg=25.0,
        heading_mag_deg=heading_deg,
    )

    assert words in answer.remarks


def test_a_hold_that_nothing_solves_says_so_with_the_rule_beside_it():
    with pytest.raises(NoSolution, match=r"No outbound heading .* Three times the drift, heading \d{3} for"):
        hold(
            course_mag_deg=165.0,
            turn="right",
            tas_kt=60.0,
            wind=Wind(255.0, 58.0),
            time_s=60.0,
            bank_deg=25.0,
        )


def test_base_turn_in_still_air():
    """Divergence 36: r / tan 18 = 2.4492 NM is 58.78 s at 150 kt; the designers say one minute."""
    flown = {"turn": "left", "tas_kt": 150.0, "wind": CALM, "bank_deg": 25.0}
    check(
        base_turn(outbound_mag_deg=126.0, inbound_mag_deg=270.0, **flown),
        Printed("outbound_time_s", 58.78, 60.0, 0.01, "2 atan(r / L)"),
        Printed("divergence_deg", 36.0, None, 1e-6, "126 from 090"),
        Printed("outbound_heading_mag_deg", 126.0, 126.0, 1e-6, "no drift"),
    )


def test_base_turn_says_where_the_charts_time_leads():
    """Ten seconds more at 150 kt is 0.41667 NM further out: 0.41667 sin 36 = 0.245 NM short of the course."""
    answer = base_turn(
        outbound_mag_deg=126.0,
        inbound_mag_deg=270.0,
        turn="left",
        tas_kt=150.0,
        wind=CALM,
        bank_deg=25.0,
        time_s=68.78,
    )

    # Outbound lies south of the course 270, which is left of it, so too long a time ends left.
    assert answer.figure("charted_across_nm").exact == pytest.approx(-0.245, abs=0.001)


def test_procedure_turn_in_still_air():
    """
    Away 45 and back: the straight part undoes two radii, 2 r = 1.5915 NM, 38.2 s; 15 s for the turn before.

    Sideways: r (1 - cos 45) + d sin 45 out, r (1 + cos 45) back, so d = 2 r.
    """
    check(
        procedure_turn(
            outbound_mag_deg=63.0,
            turn="left",
            tas_kt=150.0,
            wind=CALM,
            time_s=60.0,
            category="A",
            bank_deg=25.0,
        ),
        Printed("away_time_s", 53.2, 60.0, 0.01, "by hand; 60 s for category A, Doc 8168"),
        Printed("away_heading_mag_deg", 18.0, 18.0, 1e-6, "063 - 45"),
        Printed("inbound_heading_mag_deg", 243.0, 243.0, 1e-6, "063 + 180"),
    )


def test_descent():
    check(
        descent(groundspeed_kt=140.0, angle_deg=3.0, lose_ft=3000.0),
        Printed("rate_fpm", 743.0, 700.0, 0.5, "rod.rule.gs_x5_140"),
        Printed("gradient_ft_per_nm", 318.4, 300.0, 0.05, "rod.3deg_ft_per_nm; sixty.vertical_3deg_1nm"),
        Printed("level_off_lead_ft", None, 74.3, 0.05, "a tenth of 743"),
        # 3000 / 318.436 = 9.421; three miles a thousand is 9.
        Printed("top_of_descent_nm", 9.421, 9.0, 0.001, "by hand"),
    )


def test_altitude_due():
    """
    rod.threshold_altitude_6_3nm: 2128.1 ft at 6.3 NM of ground.

    The set reads sqrt(6.3^2 + (2006.1 / 6076.1)^2) = 6.30865 there. By the rule 122 + 300 x 6.30865.
    """
    check(
        altitude_due(
            dme_nm=6.30865,
            angle_deg=3.0,
            threshold_elevation_ft=122.0,
            threshold_dme_nm=0.0,
            crossing_height_ft=0.0,
            station_elevation_ft=122.0,
        ),
        Printed("altitude_due_ft", 2128.1, 2014.6, 0.5, "rod.threshold_altitude_6_3nm"),
        Printed("height_due_ft", 2006.1, 1892.6, 0.5, "rod.threshold_altitude_6_3nm"),
    )


def test_past_the_threshold_no_altitude_is_due():
    with pytest.raises(NoSolution, match="not before the threshold"):
        altitude_due(
            dme_nm=0.5,
            angle_deg=3.0,
            threshold_elevation_ft=96.0,
            threshold_dme_nm=0.6,
            crossing_height_ft=50.0,
            station_elevation_ft=80.0,
        )


def test_minimum():
    """sixty.vdp_hat300: 362 / 300; exact 362 / 318.4 to the touchdown. At 1 NM 362 ft is atan(362 / 6076)."""
    check(
        minimum(
            minimum_ft=460.0,
            threshold_elevation_ft=98.0,
            angle_deg=3.0,
            crossing_height_ft=0.0,
            add_on_ft=50.0,
            missed_nm=1.0,
        ),
        Printed("visual_descent_point_nm", 1.137, 1.207, 0.001, "sixty.vdp_hat300"),
        Printed("derived_minimum_ft", None, 510.0, 1e-6, "50 ft added"),
        Printed("slope_deg", 3.41, 3.62, 0.005, "by hand"),
    )


def test_timing():
    check(
        timing(distance_nm=4.7, groundspeed_kt=90.0),
        Printed("time_s", 188.0, 188.0, 1e-6, "time.derived_4_7_90; one and a half miles a minute"),
        Printed("faster_time_s", 169.2, None, 0.05, "3600 x 4.7 / 100"),
        Printed("slower_time_s", 211.5, None, 0.05, "3600 x 4.7 / 80"),
    )
    assert timing(distance_nm=4.7, groundspeed_kt=90.0).remarks == ("3:08 minutes.",)


def test_a_groundspeed_that_10_kt_less_would_stop_has_no_slower_row():
    with pytest.raises(LookupError):
        timing(distance_nm=1.0, groundspeed_kt=10.0).figure("slower_time_s")


def test_slant_range():
    check(
        slant_range(dme_nm=5.0, height_ft=6000.0),
        Printed("ground_nm", 4.902, 5.0, 0.001, "slant.ecqb_6000_5"),
        # 0.25 + 0.0125 x 5; half a mile.
        Printed("tolerance_nm", 0.3125, 0.5, 1e-6, "slant.dme_tol_pansops_7, slant.dme_tol_aim_5"),
    )


def test_a_range_less_than_the_height_is_told_so():
    with pytest.raises(NoSolution, match="less than the height"):
        slant_range(dme_nm=1.0, height_ft=6100.0)


def test_regain():
    check(
        regain_track(leg_nm=90.0, gone_nm=60.0, off_nm=4.0),
        Printed("track_error_deg", 3.81, 4.0, 0.005, "sixty.regain_destination"),
        Printed("closing_angle_deg", 7.59, 8.0, 0.005, "sixty.regain_destination"),
        Printed("turn_deg", 11.41, 12.0, 0.011, "sixty.regain_destination"),
    )


def test_altimeter():
    check(
        altimeter(qnh_hpa=1008.0, elevation_ft=1500.0, altitude_ft=4000.0),
        Printed("qfe_hpa", 954.5, 952.4, 0.1, "alt.qfe_1500_1008"),
        Printed("height_qfe_ft", 2500.0, 2500.0, 0.5, "QFE reads zero at the elevation"),
    )
    assert altimeter(qnh_hpa=1008.0, elevation_ft=1500.0).remarks[0].endswith("954 hPa.")


def test_transition_level():
    """alt.transition_level_6000_1030: 6000 ft is 5546 ft on standard, so FL60 is the lowest above it."""
    answer = altimeter(qnh_hpa=1030.0, elevation_ft=0.0, transition_altitude_ft=6000.0)

    assert answer.figure("transition_level").exact == 60.0


def test_flight_level_of_an_altitude():
    """alt.uk_fl40_996: FL40 on 996 is at 3526 ft (the guide says about 3500)."""
    check(
        altimeter(qnh_hpa=996.0, elevation_ft=0.0, altitude_ft=3526.0),
        Printed("flight_level", 40.0, None, 0.01, "alt.uk_fl40_996"),
    )


def test_cold():
    """ISA at sea level is 15, so -20 is 35 below: 4 x 1.5 x 35 = 210 by the rule."""
    check(
        cold_air(temperature_c=-20.0, height_ft=1500.0, elevation_ft=0.0),
        Printed("table_correction_ft", 210.0, 210.0, 1e-6, "cold.table_lookup_1500_m20"),
        Printed("formula_correction_ft", 208.7, 210.0, 1.0, "cold.pansops_formula"),
        Printed("corrected_altitude_ft", 1710.0, None, 1e-6, "cold.table_lookup_1500_m20"),
        Printed("isa_deviation_c", -35.0, None, 1e-6, "15 at sea level"),
    )
