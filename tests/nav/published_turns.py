"""Published values of turns, arcs, winds and the 60-to-1 rules, against `nav`."""

from math import ceil, cos, radians, sin

import pytest
from published import Entry, exact_is, near, published

from assistant.nav import arcs, closing, leads, turns, vertical, wind
from assistant.nav.airspeed import tas_kt_pansops
from assistant.nav.errors import NoSolution


@published("turn.pansops.rate_formula")
def _rate(entry: Entry) -> None:
    near(entry, "rate_deg_s", turns.turn_rate_deg_s(**entry["inputs"]))


@published("turn.pansops.radius_from_rate")
def _radius_from_rate(entry: Entry) -> None:
    near(entry, "radius_nm", turns.radius_from_rate_nm(**entry["inputs"]))


@published("turn.pansops.gravity")
def _gravity(entry: Entry) -> None:
    near(entry, "g_m_s2", turns.G_M_S2)
    near(entry, "g_nm_per_h2", turns.G_NM_H2)


@published("turn.pansops.radius_10000ft_*")
def _radius_at_altitude(entry: Entry) -> None:
    given = entry["inputs"]
    tas_kt = ceil(tas_kt_pansops(given["ias_kt"], given["altitude_ft"], given["isa_dev_c"]))
    near(entry, "radius_nm", turns.turn_radius_nm(tas_kt, given["bank_deg"]))


@published("turn.rule.15pct", "turn.rule.tas10plus7")
def _bank_rules(entry: Entry) -> None:
    tas_kt = entry["inputs"]["tas_kt"]
    rule = (
        turns.bank_for_rate_one_15_percent_deg
        if entry["id"].endswith("15pct")
        else turns.bank_for_rate_one_tenth_plus_7_deg
    )
    assert rule(tas_kt) == pytest.approx(entry["expected"]["rule_bank_deg"])
    near(entry, "rule_bank_deg", turns.bank_for_rate_deg(tas_kt, 3.0))


@published("turn.limit_tas_25deg")
def _speed_limit(entry: Entry) -> None:
    near(entry, "tas_kt", turns.speed_at_bank_and_rate_kt(**_names(entry, "bank_deg", "rate_deg_s")))


@published("turn.half_percent_rule")
def _half_percent(entry: Entry) -> None:
    speed_kt = entry["inputs"]["speed_kt"]
    assert turns.radius_half_percent_nm(speed_kt) == entry["expected"]["radius_nm"]
    near(entry, "radius_nm", turns.radius_from_rate_nm(speed_kt, 3.0))


@published("turn.usaf.sq10_*", "turn.rule.sq9_*")
def _square_rules(entry: Entry) -> None:
    given = entry["inputs"]
    rule = turns.radius_square_tenth_nm if "sq10" in entry["id"] else turns.radius_square_ninth_nm
    # The printed figures carry two decimals.
    assert rule(given["tas_kt"]) == pytest.approx(entry["expected"]["rule_radius_nm"], abs=0.005)
    near(entry, "rule_radius_nm", turns.turn_radius_nm(given["tas_kt"], given["bank_deg"]))


@published("turn.phak.*")
def _handbook(entry: Entry) -> None:
    near(entry, "radius_ft", turns.turn_radius_nm(**entry["inputs"]) * 6076.115)
    near(entry, "rate_deg_s", turns.turn_rate_deg_s(**entry["inputs"]))


@published("turn.load_factor_*")
def _load(entry: Entry) -> None:
    near(entry, "load_factor_g", turns.load_factor_g(entry["inputs"]["bank_deg"]))


@published("turn.table.radius")
def _radius_table(entry: Entry) -> None:
    for tas_kt, row in entry["expected"]["radius_nm_by_tas_by_bank"].items():
        for bank_deg, radius_nm in row.items():
            near(entry, "radius_nm", turns.turn_radius_nm(tas_kt, bank_deg), radius_nm)


@published("turn.table.rate_one")
def _rate_one_table(entry: Entry) -> None:
    for tas_kt, row in entry["expected"]["by_tas"].items():
        bank_deg = turns.bank_in_use_deg(tas_kt)
        near(entry, "bank", turns.bank_for_rate_deg(tas_kt, 3.0), row["bank_for_rate_one_deg"])
        near(entry, "radius", turns.radius_from_rate_nm(tas_kt, 3.0), row["radius_rate_one_nm"])
        near(entry, "bank", bank_deg, row["bank_used_deg"])
        near(entry, "radius", turns.turn_radius_nm(tas_kt, bank_deg), row["radius_pansops_nm"])


@published("turn.pansops.segment_banks")
def _segment_banks(entry: Entry) -> None:
    near(entry, "initial_intermediate_final_bank_deg", turns.PROCEDURE_BANK_DEG)
    near(entry, "missed_approach_bank_deg", turns.MISSED_APPROACH_BANK_DEG)
    near(entry, "circling_bank_deg", turns.CIRCLING_BANK_DEG)
    near(entry, "rate_cap_deg_s", turns.RATE_ONE_DEG_S)


@published("arc.ifh.inbound")
def _blanket_half_mile(entry: Entry) -> None:
    """The blanket half mile is printed; we choose the radius itself, 0.3 NM more at 150 kt."""
    given = entry["inputs"]
    assert given["arc_dme_nm"] + given["lead_nm"] == entry["expected"]["turn_start_dme_nm"]
    radius_nm = turns.radius_from_rate_nm(given["ground_speed_kt"], 3.0)
    exact_is(entry, "turn_start_dme_nm", given["arc_dme_nm"] + radius_nm, 1)


@published("arc.ifh.rollout")
def _roll_out(entry: Entry) -> None:
    """Flown inbound on radial 325 and turned left, the arc is flown clockwise."""
    near(entry, "rollout_heading_deg", arcs.arc_track_deg(325.0, "clockwise"))


@published("arc.p871.inbound")
def _half_percent_lead(entry: Entry) -> None:
    given = entry["inputs"]
    near(
        entry,
        "turn_start_dme_nm",
        given["arc_dme_nm"] + turns.radius_half_percent_nm(given["speed_kt"]),
    )


@published("arc.p871.lead_radials_12dme")
def _lead_radials(entry: Entry) -> None:
    given = entry["inputs"]
    near(entry, "lead_deg", leads.lead_deg_60_to_1(given["lead_nm"], given["arc_dme_nm"]))


@published("arc.t45.lead_radials_15dme")
def _lead_radials_one_percent(entry: Entry) -> None:
    given = entry["inputs"]
    radius_nm = turns.radius_one_percent_nm(given["ground_speed_kt"])
    near(entry, "lead_deg", leads.lead_deg_60_to_1(radius_nm, given["arc_dme_nm"]))


@published("arc.table.radial_spacing")
def _spacing(entry: Entry) -> None:
    for arc_nm, row in entry["expected"]["by_distance"].items():
        near(entry, "nm", arcs.radial_spacing_rule_nm(arc_nm), row["nm_per_radial"])
        near(entry, "nm", 1.0 / arcs.radial_spacing_nm(arc_nm), row["radials_per_nm"])


@published("arc.p871.correction")
def _off_arc(entry: Entry) -> None:
    near(entry, "inside_arc_deg_per_half_nm", -arcs.arc_correction_deg(-0.5))
    near(entry, "outside_arc_deg_per_half_nm", arcs.arc_correction_deg(0.5))


@published("arc.p1204.outbound_10")
def _corrected_lead(entry: Entry) -> None:
    given = entry["inputs"]
    near(entry, "base_lead_deg", leads.lead_deg_60_to_1(given["turn_radius_nm"], given["arc_dme_nm"]))
    near(entry, "lead_deg", leads.lead_deg_outbound_corrected(given["turn_radius_nm"], given["arc_dme_nm"]))


def _bank_for_radius_deg(tas_kt: float, radius_nm: float) -> float:
    return turns.bank_for_rate_deg(tas_kt, tas_kt / (20.0 * 3.141592653589793 * radius_nm))


@published("arc.table.p1204")
def _approximate_leads(entry: Entry) -> None:
    """The printed approximations; ours are the tangent circles, which the entry keeps beside them."""
    exact = entry["physics_check"]["computed"]["exact_tangent_geometry"]
    for arc_nm, row in entry["expected"]["by_arc"].items():
        base_deg = leads.lead_deg_60_to_1(2.5, arc_nm)
        near(entry, "lead", base_deg, row["turn90"])
        if row["outbound"] is not None:
            # The page's own formula, (90 - lead) / 90 x r, fits at 10 NM only; lead^2 / 90 fits all its rows.
            near(entry, "lead", base_deg - base_deg**2 / 90.0, row["outbound"])
            near(entry, "lead", base_deg + base_deg**2 / 90.0, row["inbound"])
        bank_deg = _bank_for_radius_deg(250.0, 2.5)
        outbound = leads.lead_radial_from_arc(
            arc_nm, "clockwise", 90.0, 250.0, bank_deg, 0.0, 0.0, "outbound"
        )
        assert outbound.lead_deg == pytest.approx(exact[arc_nm]["outbound_deg"], abs=0.06)
        if arc_nm == 5:
            # The turn's radius is half the arc: the circle just touches the course, at the station itself.
            _touches(bank_deg)
            continue
        inbound = leads.lead_radial_from_arc(arc_nm, "clockwise", 90.0, 250.0, bank_deg, 0.0, 0.0)
        assert inbound.lead_deg == pytest.approx(exact[arc_nm]["inbound_deg"], abs=0.06)


def _touches(bank_deg: float) -> None:
    with pytest.raises(NoSolution):
        leads.lead_radial_from_arc(4.99, "clockwise", 90.0, 250.0, bank_deg, 0.0, 0.0)
    inbound = leads.lead_radial_from_arc(5.01, "clockwise", 90.0, 250.0, bank_deg, 0.0, 0.0)
    assert inbound.lead_deg > 80.0


@published("arc.turn_angle_rule_45")
def _third_at_45(entry: Entry) -> None:
    """The rule's third is the lead square to the course, 1 - cos 45; along the track is the next entry."""
    turn_deg = entry["inputs"]["turn_deg"]
    whole = leads.lead_to_course(0.0, 90.0, 120.0, 20.0, 0.0, 0.0)
    part = leads.lead_to_course(0.0, turn_deg, 120.0, 20.0, 0.0, 0.0)
    near(entry, "fraction", part.across_nm / whole.across_nm)


@published("arc.civil_rule_45_30")
def _half_at_45(entry: Entry) -> None:
    near(entry, "turn45_fraction", leads.lead_share_of_90(45.0))
    near(entry, "turn30_fraction", leads.lead_share_of_90(30.0))


@published("arc.tailwind_effect")
def _wind_on_lead(entry: Entry) -> None:
    """The text names no wind; 30 kt at 186 kt and 30 degrees of bank gives its lead and both shifts."""
    leads_nm = {
        wind_kt: leads.lead_range_to_arc(
            15.0, 0.0, "outbound", "clockwise", 186.0, 30.0, 0.0 if wind_kt > 0 else 180.0, abs(wind_kt)
        ).start_ground_nm
        for wind_kt in (0.0, 30.0, -30.0)
    }
    assert leads_nm[0.0] == pytest.approx(entry["inputs"]["no_wind_lead_dme_nm"], abs=0.05)
    low_nm, high_nm = entry["expected"]["headwind_dme_nm"]
    assert low_nm - 0.05 <= leads_nm[30.0] <= high_nm + 0.05
    low_nm, high_nm = entry["expected"]["tailwind_dme_nm"]
    assert low_nm - 0.05 <= leads_nm[-30.0] <= high_nm + 0.05


@published("arc.p801_review_*")
def _review(entry: Entry) -> None:
    given, arc_nm = entry["inputs"], entry["inputs"]["arc_dme_nm"]
    tas_kt, bank_deg = given["ground_speed_kt"], given["bank_deg"]
    radius_nm = turns.turn_radius_nm(tas_kt, bank_deg)
    near(entry, "radius_nm", radius_nm)
    outward = 1.0 if given["direction"] == "inbound" else -1.0
    near(entry, "turn_start_dme_nm", arc_nm + outward * radius_nm)
    # Kept simple in training; the circle tangent to the arc itself starts r^2 / 2R nearer to the station.
    onto = leads.lead_range_to_arc(arc_nm, 0.0, given["direction"], "clockwise", tas_kt, bank_deg, 0.0, 0.0)
    tangent_nm = ((arc_nm + outward * radius_nm) ** 2 - radius_nm**2) ** 0.5
    assert onto.start_ground_nm == pytest.approx(tangent_nm, abs=1e-6)
    for sense in ("inbound", "outbound"):
        off = leads.lead_radial_from_arc(arc_nm, "clockwise", 0.0, tas_kt, bank_deg, 0.0, 0.0, sense)
        near(entry, f"lead_off_{sense}_deg", off.lead_deg)
    near(entry, "lead_off_60to1_deg", leads.lead_deg_60_to_1(radius_nm, arc_nm))


@published("arc.heading_no_wind")
def _arc_heading(entry: Entry) -> None:
    radial_deg = entry["inputs"]["radial_deg"]
    for direction in ("clockwise", "anticlockwise"):
        flown = arcs.arc_heading(radial_deg, direction, 120.0, 0.0, 0.0)
        near(entry, f"{direction}_deg", flown.heading_deg)


@published("wind.phak", "wind.ecqb_1", "wind.ppl_1", "wind.circular_*", "wind.faa_test_fortworth")
def _triangle(entry: Entry) -> None:
    given, wanted = entry["inputs"], entry["expected"]
    # A magnetic heading asked for: the triangle in magnetic, wind turned by the variation (west adds).
    variation_deg = given.get("variation_deg_west", 0) - given.get("variation_deg_east", 0)
    track_deg, from_deg = given["true_course_deg"], given["wind_from_deg"]
    flown = wind.heading_for_track(track_deg, given["tas_kt"], from_deg, given["wind_speed_kt"])
    across = wind.components(track_deg, from_deg, given["wind_speed_kt"])
    figures = {
        "ground_speed_kt": flown.groundspeed_kt,
        "wca_deg": -flown.drift_deg,
        "true_heading_deg": flown.heading_deg,
        "magnetic_heading_deg": wind.heading_for_track(
            track_deg + variation_deg, given["tas_kt"], from_deg + variation_deg, given["wind_speed_kt"]
        ).heading_deg,
        # Our crosswind is positive from the right; the entries give the side it pushes to in some places.
        "crosswind_kt": across.cross_kt,
        "headwind_kt": across.head_kt,
    }
    for field in wanted:
        if entry["physics_check"]["status"] == "disagrees":
            # Printed figures skip a step that slide rules need above 10 degrees; the exact triangle is ours.
            exact_is(entry, field, figures[field], 1)
        else:
            near(entry, field, figures[field])


@published("wind.find_*")
def _find_wind(entry: Entry) -> None:
    given = entry["inputs"]
    found = wind.wind_from_two(
        given["true_heading_deg"], given["tas_kt"], given["true_course_deg"], given["ground_speed_kt"]
    )
    check = exact_is if entry["physics_check"]["status"] == "disagrees" else near
    check(entry, "wind_from_deg", found.from_deg, *([1] if check is exact_is else []))
    check(entry, "wind_speed_kt", found.speed_kt, *([1] if check is exact_is else []))


@published("wind.required_tas")
def _required(entry: Entry) -> None:
    given = entry["inputs"]
    needed = wind.required_tas(
        given["true_course_deg"], given["ground_speed_kt"], given["wind_from_deg"], given["wind_speed_kt"]
    )
    near(entry, "tas_kt", needed.tas_kt)
    near(entry, "true_heading_deg", needed.heading_deg)


@published("wind.drift_135_20")
def _drift(entry: Entry) -> None:
    given = entry["inputs"]
    flown = wind.track_for_heading(
        given["true_heading_deg"], given["tas_kt"], given["wind_from_deg"], given["wind_speed_kt"]
    )
    near(entry, "drift_left_deg", -flown.drift_deg)
    off_nm = flown.groundspeed_kt * given["hours"] * -sin(radians(flown.drift_deg))
    near(entry, "off_track_nm", off_nm)


@published("wind.heading_from_wca")
def _correction_added(entry: Entry) -> None:
    """Any wind that needs the entry's correction makes its heading; 20 kt from the right at 143.7 kt does."""
    given = entry["inputs"]
    tas_kt = 20.0 / sin(radians(given["wca_deg"]))
    flown = wind.heading_for_track(given["course_deg"], tas_kt, given["course_deg"] + 90.0, 20.0)
    near(entry, "heading_deg", flown.heading_deg)


@published("sixty.vertical_*")
def _vertical_rule(entry: Entry) -> None:
    given = entry["inputs"]
    assert vertical.height_rule_ft(given["angle_deg"], given["distance_nm"]) == entry["expected"]["rule_ft"]
    near(entry, "rule_ft", vertical.altitude_on_slope_ft(given["distance_nm"], 0.0, given["angle_deg"]))


@published("sixty.pitch_fpm_120")
def _pitch_rate(entry: Entry) -> None:
    given = entry["inputs"]
    near(entry, "rule_fpm", vertical.descent_fpm(given["speed_kt"], given["pitch_change_deg"]))
    rule_fpm = vertical.height_rule_ft(given["pitch_change_deg"], given["speed_kt"] / 60.0)
    assert rule_fpm == entry["expected"]["rule_fpm"]


@published("sixty.pitch_from_gradient")
def _pitch(entry: Entry) -> None:
    given = entry["inputs"]
    angle_deg = vertical.angle_deg_from(given["height_to_lose_ft"], 0.0, given["distance_nm"])
    near(entry, "pitch_change_deg", angle_deg)
    near(entry, "gradient_ft_nm", vertical.gradient_ft_per_nm(angle_deg))


@published("sixty.120nm_2deg")
def _offset(entry: Entry) -> None:
    given = entry["inputs"]
    assert closing.offset_rule_nm(given["distance_nm"], given["error_deg"]) == entry["expected"]["offset_nm"]
    near(entry, "offset_nm", given["distance_nm"] * sin(radians(given["error_deg"])) / cos(radians(2.0)))


@published("sixty.regain_destination")
def _regain(entry: Entry) -> None:
    given = entry["inputs"]
    leg = (given["leg_nm"], given["fix_along_nm"], given["off_track_nm"])
    for angles in (closing.regain(*leg), closing.regain_rule(*leg)):
        near(entry, "track_error_deg", angles.track_error_deg)
        near(entry, "closing_angle_deg", angles.closing_angle_deg)
        near(entry, "turn_deg", angles.turn_deg)


@published("sixty.max_drift_*")
def _max_drift(entry: Entry) -> None:
    given = entry["inputs"]
    near(entry, "exact_deg", wind.maximum_drift_deg(given["tas_kt"], given["wind_kt"]))
    near(entry, "rule_deg", wind.maximum_drift_rule_deg(given["tas_kt"], given["wind_kt"]))


@published("sixty.vdp_hat300")
def _vdp_rule(entry: Entry) -> None:
    hat_ft = entry["inputs"]["hat_ft"]
    near(entry, "vdp_nm", vertical.visual_descent_point_rule_nm(hat_ft))
    near(entry, "vdp_nm", vertical.visual_descent_point_nm(hat_ft, 0.0, 0.0, 3.0))


@published("sixty.vdp_time")
def _vdp_time(entry: Entry) -> None:
    given = entry["inputs"]
    near(
        entry,
        "vdp_after_faf_s",
        vertical.visual_descent_point_rule_s(given["hat_ft"], given["faf_to_threshold_s"]),
    )


@published("sixty.altitude_lead_10pct")
def _level_off(entry: Entry) -> None:
    near(entry, "lead_ft", vertical.level_off_lead_ft(entry["inputs"]["vertical_speed_fpm"]))


@published("sixty.nm_per_min")
def _miles_a_minute(entry: Entry) -> None:
    near(entry, "nm_per_min", vertical.distance_in_time_nm(60.0, entry["inputs"]["speed_kt"]))


def _names(entry: Entry, *names: str) -> dict[str, float]:
    return {name: entry["inputs"][name] for name in names}
