"""Published values of descent, slant range, timing and the visual segment, against `nav`."""

from math import cos, radians, sin

import pytest
from published import Entry, exact_is, near, published

from assistant.nav import closing, geometry, reversal, turns, vertical


@published("rod.table.legend")
def _sine_legend(entry: Entry) -> None:
    """The old legend follows the sine (speed along the path); ours the tangent, 6 ft/min apart to 4."""
    for angle_deg, row in entry["expected"]["fpm_by_angle_by_gs"].items():
        for groundspeed_kt, printed_fpm in row.items():
            ours_fpm = vertical.descent_fpm(groundspeed_kt, angle_deg)
            if angle_deg <= 11.5:
                near(entry, "fpm", ours_fpm * cos(radians(angle_deg)), printed_fpm)
            if 2.5 <= angle_deg <= 4.0:
                assert ours_fpm == pytest.approx(printed_fpm, abs=6.0)


@published("rod.table.npa")
def _operator_table(entry: Entry) -> None:
    """Row 3.8 is printed with the figures of 3.9 degrees; the tangent is ours, for both."""
    for angle_deg, row in entry["expected"]["by_angle"].items():
        true_deg = 3.9 if angle_deg == 3.8 else angle_deg
        assert vertical.gradient_percent(true_deg) == pytest.approx(row["percent"], abs=0.02)
        near(entry, "ft_per_nm", vertical.gradient_ft_per_nm(true_deg), row["ft_per_nm"])
        for groundspeed_kt, printed_fpm in row["fpm"].items():
            near(entry, "fpm", vertical.descent_fpm(groundspeed_kt, true_deg), printed_fpm)
    exact = entry["physics_check"]["computed"]["row_3_8_exact"]
    assert vertical.gradient_ft_per_nm(3.8) == pytest.approx(exact["ft_per_nm"], abs=0.05)
    assert vertical.gradient_percent(3.8) == pytest.approx(exact["percent"], abs=0.005)


@published("rod.table.exact")
def _exact_table(entry: Entry) -> None:
    for angle_deg, row in entry["expected"]["by_angle"].items():
        assert vertical.gradient_ft_per_nm(angle_deg) == pytest.approx(row["ft_per_nm"], abs=0.051)
        assert vertical.gradient_percent(angle_deg) == pytest.approx(row["percent"], abs=0.0051)
        for groundspeed_kt, fpm in row["fpm"].items():
            near(entry, "fpm", vertical.descent_fpm(groundspeed_kt, angle_deg), fpm)


@published("rod.3deg_ft_per_nm")
def _three_degrees(entry: Entry) -> None:
    near(entry, "ft_per_nm", vertical.gradient_ft_per_nm(entry["inputs"]["angle_deg"]))


@published("rod.rule.gs_x5_*")
def _times_five(entry: Entry) -> None:
    given = entry["inputs"]
    assert vertical.descent_rule_fpm(given["ground_speed_kt"]) == entry["expected"]["rule_fpm"]
    exact_fpm = vertical.descent_fpm(given["ground_speed_kt"], given["angle_deg"])
    exact_is(entry, "rule_fpm", exact_fpm, 0)
    near(entry, "rule_fpm", entry["expected"]["rule_fpm"], exact_fpm)


@published("rod.p804.105kt")
def _training_table(entry: Entry) -> None:
    """The table is the rule GS x 5; we choose the exact rate, 32 ft/min more, and show the rule beside it."""
    given = entry["inputs"]
    groundspeed_kt = given["ias_kt"] - given["headwind_kt"]
    near(entry, "ground_speed_kt", groundspeed_kt)
    near(entry, "rate_fpm", vertical.descent_rule_fpm(groundspeed_kt))
    exact_is(entry, "rate_fpm", vertical.descent_fpm(groundspeed_kt, given["angle_deg"]), 0)


@published("rod.rule.6deg_*")
def _six_degrees(entry: Entry) -> None:
    given = entry["inputs"]
    assert (given["ground_speed_kt"] + 10) * 10 == entry["expected"]["rule_fpm"]
    near(entry, "rule_fpm", vertical.descent_fpm(given["ground_speed_kt"], given["angle_deg"]))


@published("rod.profile_a.*", "rod.profile_b.*")
def _profile(entry: Entry) -> None:
    given = entry["inputs"]
    angle_deg = vertical.angle_deg_from_gradient(given["ft_per_nm"])
    from_faf_nm = given.get("faf_dme_nm", given.get("faf_distance_nm")) - given.get(
        "dme_nm", given.get("distance_nm")
    )
    due_ft = vertical.altitude_on_slope_ft(-from_faf_nm, given["faf_altitude_ft"], angle_deg)
    if entry["physics_check"]["status"] == "disagrees":
        # Printed 1272 is a slip for 1282: 1600 - 318.
        exact_is(entry, "altitude_ft", due_ft, 0)
    else:
        near(entry, "altitude_ft", due_ft)


@published("rod.threshold_altitude_6_3nm")
def _line_through_threshold(entry: Entry) -> None:
    given = entry["inputs"]
    anchor_ft = given["tdze_ft"] + given["tch_ft"]
    near(
        entry,
        "altitude_ft",
        vertical.altitude_on_slope_ft(given["distance_nm"], anchor_ft, given["angle_deg"]),
    )


@published("rod.mental_3x_rule")
def _three_times(entry: Entry) -> None:
    given, wanted = entry["inputs"], entry["expected"]
    rule_nm = vertical.top_of_descent_rule_nm(given["height_to_lose_ft"], given["speed_loss_kt"])
    assert rule_nm == wanted["base_distance_nm"] + wanted["speed_loss_nm"]
    near(entry, "base_distance_nm", vertical.top_of_descent_nm(given["height_to_lose_ft"], 0.0, 3.0))


@published("rod.terps_gradient_*")
def _angle_of_gradient(entry: Entry) -> None:
    near(entry, "angle_deg", vertical.angle_deg_from_gradient(entry["inputs"]["gradient_ft_nm"]))


@published("rod.pansops_reversal_table")
def _reversal_rates(entry: Entry) -> None:
    """The limits are printed in metres a minute; the feet of the copy are those, converted with our foot."""
    metres = {
        ("outbound", "cat_ab_max_ft_min"): 245,
        ("outbound", "cat_cde_max_ft_min"): 365,
        ("inbound", "cat_ab_max_ft_min"): 200,
        ("inbound", "cat_ab_min_ft_min"): 120,
        ("inbound", "cat_h_max_ft_min"): 230,
        ("inbound", "cat_cde_max_ft_min"): 305,
        ("inbound", "cat_cde_min_ft_min"): 180,
    }
    assert set(metres) == {(leg, name) for leg, row in entry["expected"].items() for name in row}
    for (leg, name), metres_a_minute in metres.items():
        near(entry, name, metres_a_minute / geometry.M_PER_FT, entry["expected"][leg][name])


@published("slant.ecqb_6000_5", "slant.derived_*")
def _ground(entry: Entry) -> None:
    given = entry["inputs"]
    ground_nm = geometry.ground_nm_from_slant(given["dme_nm"], given["height_above_station_ft"])
    near(entry, "ground_nm", ground_nm)
    if "error_nm" in entry["expected"]:
        near(entry, "error_nm", given["dme_nm"] - ground_nm)


@published("slant.fl370_15", "slant.overhead")
def _reading(entry: Entry) -> None:
    given = entry["inputs"]
    slant_nm = geometry.slant_nm_from_ground(given.get("ground_nm", 0.0), given["height_above_station_ft"])
    near(entry, "dme_nm", slant_nm)


@published("slant.pansops_factor")
def _factor(entry: Entry) -> None:
    near(entry, "factor", geometry.slant_nm_from_ground(0.0, 1000.0) ** 2)


@published("slant.negligible_rule")
def _negligible(entry: Entry) -> None:
    near(entry, "relative_error", geometry.slant_nm_from_ground(1.0, 1000.0) - 1.0)


@published("slant.dme_tol_aim_*")
def _tolerance_aim(entry: Entry) -> None:
    near(entry, "tolerance_nm", closing.range_tolerance_aim_nm(entry["inputs"]["dme_nm"]))


@published("slant.dme_tol_pansops_*")
def _tolerance_pansops(entry: Entry) -> None:
    near(entry, "tolerance_nm", closing.range_tolerance_pansops_nm(entry["inputs"]["dme_nm"]))


@published("slant.tacan_accuracy")
def _tacan(entry: Entry) -> None:
    """The set's accuracy and the AIM's tolerance are the same two figures."""
    near(entry, "range_abs_nm", closing.range_tolerance_aim_nm(0.0))
    near(entry, "range_percent", closing.range_tolerance_aim_nm(100.0))


@published("slant.vor_cone", "slant.ndb_cone")
def _cone(entry: Entry) -> None:
    field = "radius_nm" if "radius_nm" in entry["expected"] else "zn_nm"
    half_angle_deg = entry["expected"]["cone_half_angle_deg"]
    near(entry, field, closing.cone_radius_nm(entry["inputs"]["height_ft"], half_angle_deg))


@published("slant.vor_ndb_intersect_tol")
def _facility_tolerance(entry: Entry) -> None:
    """The percentages are the tangents of the angles, as our gradients are."""
    near(entry, "vor_percent", vertical.gradient_percent(entry["expected"]["vor_deg"]))
    near(entry, "ndb_percent", vertical.gradient_percent(entry["expected"]["ndb_deg"]))


@published("time.table.faf_map")
def _timing_block(entry: Entry) -> None:
    for ground_nm, row in entry["expected"]["by_distance"].items():
        for groundspeed_kt, printed in row.items():
            minutes, seconds = printed.split(":")
            near(
                entry,
                "time",
                vertical.leg_time_s(ground_nm, groundspeed_kt),
                60 * int(minutes) + int(seconds),
            )


@published("time.derived_*")
def _timing(entry: Entry) -> None:
    given = entry["inputs"]
    near(entry, "time_s", vertical.leg_time_s(given["distance_nm"], given["ground_speed_kt"]))


@published("time.90kt_4min", "time.98kt_2_5min", "time.distance_used_while_turning")
def _distance_in_time(entry: Entry) -> None:
    given = entry["inputs"]
    time_s = given.get("time_s", given.get("time_min", 0.0) * 60.0)
    near(entry, "distance_nm", vertical.distance_in_time_nm(time_s, given["ground_speed_kt"]))


@published("cdfa.dda_50ft")
def _add_on(entry: Entry) -> None:
    near(entry, "dda_ft", vertical.derived_minimum_ft(entry["inputs"]["mda_ft"]))
    near(entry, "add_on_ft", vertical.USUAL_ADD_ON_FT)


@published("cdfa.angle_*")
def _continuous(entry: Entry) -> None:
    given = entry["inputs"]
    final = (given["faf_altitude_ft"], given["tdze_ft"], given["tch_ft"], given["faf_to_threshold_nm"])
    angle_deg = vertical.continuous_angle_deg(*final)
    near(entry, "angle_deg", angle_deg)
    near(entry, "gradient_ft_nm", vertical.gradient_ft_per_nm(angle_deg))
    near(entry, "fpm_at_100kt", vertical.continuous_descent_fpm(*final, 100.0))


@published("vseg.vdp_*")
def _descent_point(entry: Entry) -> None:
    given = entry["inputs"]
    near(
        entry,
        "vdp_nm",
        vertical.visual_descent_point_nm(
            given["mda_ft"], given["tdze_ft"], given["tch_ft"], given["angle_deg"]
        ),
    )
    rule_nm = vertical.visual_descent_point_rule_nm(given["mda_ft"] - given["tdze_ft"])
    near(entry, "hat300_nm", rule_nm)


@published("vseg.tch_typical")
def _crossing_height(entry: Entry) -> None:
    near(entry, "typical_ft", vertical.USUAL_CROSSING_HEIGHT_FT)


@published("vseg.20_to_1", "vseg.34_to_1")
def _surface(entry: Entry) -> None:
    run = 20.0 if "20" in entry["id"] else 34.0
    angle_deg = vertical.angle_deg_from(geometry.FT_PER_NM / run, 0.0, 1.0)
    assert angle_deg == pytest.approx(entry["expected"]["angle_deg"], abs=0.01)
    near(entry, "ft_per_nm", vertical.gradient_ft_per_nm(angle_deg))


@published("vis.missed_gradient")
def _missed(entry: Entry) -> None:
    near(entry, "icao_ft_per_nm", vertical.climb_fpm(60.0, entry["expected"]["icao_percent"]))
    faa_deg = vertical.angle_deg_from_gradient(entry["expected"]["faa_ft_per_nm"])
    near(entry, "faa_percent", vertical.gradient_percent(faa_deg))


@published("vis.climb_rate_*")
def _climb(entry: Entry) -> None:
    given = entry["inputs"]
    near(entry, "climb_fpm", vertical.climb_fpm(given["ground_speed_kt"], given["gradient_percent"]))


@published("rev.pt_geometry_45_180")
def _offset(entry: Entry) -> None:
    given = entry["inputs"]
    bank_deg = turns.bank_in_use_deg(given["tas_kt"])
    near(
        entry,
        "lateral_nm",
        reversal.procedure_turn_offset_nm(given["tas_kt"], bank_deg, given["leg_s"]),
    )
    # Second way, by hand: r (1 - cos 45) + (60 - 15) s at 120 kt x sin 45, r = 120 / 188.5.
    by_hand_nm = 0.6366 * (1.0 - 0.70711) + 45.0 * 120.0 / 3600.0 * sin(radians(45.0))
    assert by_hand_nm == pytest.approx(entry["expected"]["lateral_nm"], abs=0.01)
