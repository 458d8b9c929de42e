"""Published values of holds and reversals, against `nav`."""

from math import asin, radians, sin

import pytest
from published import Entry, exact_is, near, published

from assistant.nav import airspeed, geometry, holding, reversal, speed_limits, turns, wind

_SECTORS = {"teardrop": "offset", "parallel": "parallel", "direct": "direct"}


@published("hold.table.faa_speeds")
def _faa_speeds(entry: Entry) -> None:
    low_ft = 0.0
    for band in entry["expected"]["bands"]:
        for altitude_ft in (low_ft + 1.0, band["to_ft"] or 30000.0):
            assert speed_limits.maximum_holding_speed_kt("faa", altitude_ft) == band["max_kias"]
        low_ft = band["to_ft"]


@published("hold.table.icao_speeds")
def _icao_speeds(entry: Entry) -> None:
    low_ft = 0.0
    for band in entry["expected"]["bands"]:
        top_ft = band["to_ft"] or 40000.0
        for altitude_ft in (low_ft + 1.0, top_ft):
            limit_kt = speed_limits.maximum_holding_speed_kt("icao", altitude_ft)
            if "normal_kias" in band:
                assert limit_kt == band["normal_kias"]
            else:
                mach = airspeed.mach_from_ias(limit_kt, altitude_ft)
                assert mach == pytest.approx(band["normal_mach"], abs=1e-6)
        low_ft = top_ft
    slow = entry["expected"]["bands"][0]
    assert speed_limits.maximum_holding_speed_kt("icao", 14000.0, "B") == slow["cat_ab_kias"]
    rough_kt = speed_limits.maximum_holding_speed_kt("icao", 14000.0, "B", turbulence=True)
    assert rough_kt == slow["cat_ab_turbulence_kias"]
    # 280 kt or Mach 0.8, the lower: at 34,000 ft Mach 0.8 is the lower by some knots.
    assert speed_limits.maximum_holding_speed_kt("icao", 24000.0, turbulence=True) == 280.0
    high_kt = speed_limits.maximum_holding_speed_kt("icao", 34000.0, turbulence=True)
    assert airspeed.mach_from_ias(high_kt, 34000.0) == pytest.approx(0.8)
    assert high_kt < 280.0


@published("hold.max_speed_*")
def _max_speed(entry: Entry) -> None:
    altitude_ft = entry["inputs"]["altitude_ft"]
    near(entry, "faa_kias", speed_limits.maximum_holding_speed_kt("faa", altitude_ft))
    near(entry, "icao_kias", speed_limits.maximum_holding_speed_kt("icao", altitude_ft))


@published("hold.bank_limits")
def _bank_limits(entry: Entry) -> None:
    """ICAO is our default: 25 degrees or rate one; FAA's 30 degrees is an argument."""
    assert "3 deg/s" in entry["expected"]["icao"]
    assert turns.turn_rate_deg_s(100.0, turns.bank_in_use_deg(100.0)) == pytest.approx(3.0)
    assert "25 deg bank" in entry["expected"]["icao"]
    assert turns.bank_in_use_deg(300.0) == 25.0
    assert "30 deg bank" in entry["expected"]["faa"]
    assert turns.bank_in_use_deg(300.0, bank_limit_deg=30.0) == 30.0


@published("hold.outbound_timing_start")
def _timing_start(entry: Entry) -> None:
    """From abeam where wings level comes first (tail wind in the turn), else from wings level."""
    assert entry["expected"]["start"] == "over or abeam the fix, whichever is later"
    early = holding.outbound_by_rule(360.0, "right", 120.0, 18.24, 180.0, 20.0)
    late = holding.outbound_by_rule(360.0, "right", 120.0, 18.24, 360.0, 20.0)
    # Wind from behind inbound carries the turn 20 kt x 60 s = 0.33 NM past the fix; back at 100 kt: 12 s.
    assert early.straight_s - early.time_s == pytest.approx(12.0, abs=0.1)
    assert late.straight_s == late.time_s


@published("hold.triple_drift_aim")
def _triple(entry: Entry) -> None:
    correction_deg = entry["inputs"]["inbound_correction_deg"]
    # A wind from the left that needs exactly the entry's correction inbound: TAS 120, W = 120 sin 8.
    wind_kt = 120.0 * sin(radians(-correction_deg))
    outbound = holding.outbound_by_rule(360.0, "right", 120.0, 18.24, 270.0, wind_kt)
    near(entry, "outbound_correction_deg", outbound.drift_correction_deg)


@published("hold.navy_drift_factor")
def _factors(entry: Entry) -> None:
    """Sources differ; three is our default and any other may be asked for."""
    single_deg = asin(20.0 / 120.0) * 57.29578
    for factor in (entry["expected"]["min_factor"], entry["expected"]["max_factor"]):
        outbound = holding.outbound_by_rule(360.0, "right", 120.0, 18.24, 270.0, 20.0, drift_factor=factor)
        assert outbound.drift_correction_deg == pytest.approx(factor * single_deg, abs=1e-4)


@published("hold.p871.timing")
def _next_time(entry: Entry) -> None:
    given = entry["inputs"]
    wanted = holding.next_outbound_time_s(
        given["outbound_flown_s"], given["inbound_measured_s"], given["target_inbound_s"]
    )
    near(entry, "next_outbound_s", wanted)


@published("hold.p871.min_outbound")
def _shortest(entry: Entry) -> None:
    near(entry, "min_outbound_s", holding.SHORTEST_OUTBOUND_S)
    strong = holding.outbound_by_rule(360.0, "right", 120.0, 18.24, 360.0, 45.0)
    near(entry, "min_outbound_s", strong.time_s)


@published("hold.entry_overlap_75")
def _overlap(entry: Entry) -> None:
    entry_made = holding.entry_sector(15.0, 270.0, "right")  # outbound 090 lies 75 right of heading 015
    acceptable = {_SECTORS[name] for name in entry["expected"]["acceptable"]}
    assert set(holding.permitted_entries(entry_made)) == acceptable


@published("hold.entry.*")
def _entry(entry: Entry) -> None:
    given = entry["inputs"]
    made = holding.entry_sector(given["heading_deg"], given["inbound_course_deg"], given["turns"])
    assert made.sector == _SECTORS[entry["expected"]["entry"]]
    relative_deg = geometry.difference_deg(
        given["heading_deg"], geometry.reciprocal_deg(given["inbound_course_deg"])
    )
    assert abs(relative_deg) == abs(entry["expected"]["relative_outbound_deg"])


@published("hold.offset_entry")
def _offset_entry(entry: Entry) -> None:
    near(entry, "offset_deg", holding.OFFSET_ENTRY_DEG)
    # Right turns: the holding side of the outbound course 180 is its left (west turns right on to 360).
    assert holding.entry_heading_deg("offset", 360.0, "right") == 150.0
    assert holding.entry_heading_deg("offset", 360.0, "left") == 210.0


@published("hold.design_wind_10000")
def _design_wind(entry: Entry) -> None:
    near(entry, "wind_kt", wind.design_wind_kt(entry["inputs"]["altitude_ft"]))


@published("hold.still_air_*")
def _still_air(entry: Entry) -> None:
    tas_kt = entry["inputs"]["tas_kt"]
    bank_deg = turns.bank_in_use_deg(tas_kt)
    solved = holding.outbound_solved(90.0, "left", tas_kt, bank_deg, 0.0, 0.0)
    near(entry, "leg_nm", solved.roll_out_nm)
    near(entry, "radius_nm", turns.turn_radius_nm(tas_kt, bank_deg))
    circuit_s = solved.straight_s + solved.inbound_time_s + turns.turn_time_s(360.0, tas_kt, bank_deg)
    near(entry, "still_air_circuit_min", circuit_s / 60.0)


@published("rev.45_180")
def _procedure_turn_time(entry: Entry) -> None:
    near(entry, "cat_ab_s", reversal.procedure_turn_time_s("B"))
    near(entry, "cat_cde_s", reversal.procedure_turn_time_s("C"))


@published("rev.base_turn_angle_low", "rev.base_turn_36_*", "rev.base_turn_fast_200_2")
def _divergence(entry: Entry) -> None:
    tas_kt, time_s = entry["inputs"]["tas_kt"], entry["inputs"]["outbound_min"] * 60.0
    assert reversal.base_turn_angle_rule_deg(tas_kt, time_s) == pytest.approx(entry["expected"]["angle_deg"])
    near(entry, "angle_deg", reversal.base_turn_angle_deg(tas_kt, time_s, turns.bank_in_use_deg(tas_kt)))


@published("rev.base_turn_wind")
def _design_wind_effect(entry: Entry) -> None:
    given = entry["inputs"]
    wind_kt = wind.design_wind_kt(given["altitude_ft"])
    near(entry, "wind_kt", wind_kt)
    near(entry, "wind_nm_s", wind_kt / 3600.0)
    # What the wind adds to a turn of one degree at rate one, heading the same before and after but for it.
    bank_deg = turns.bank_for_rate_deg(150.0, given["rate_deg_s"])
    blown = turns.turn_displacement(0.0, 1.0, "right", 150.0, bank_deg, 270.0, wind_kt)
    still = turns.turn_displacement(0.0, 1.0, "right", 150.0, bank_deg, 270.0, 0.0)
    near(entry, "effect_nm_per_deg", blown.east_nm - still.east_nm)


@published("rev.ifh_teardrop_1", "rev.ifh_teardrop_2")
def _training_pattern(entry: Entry) -> None:
    """A training pattern: 30 degrees for a minute rolls out past the line. Ours is exact."""
    time_s = entry["inputs"]["outbound_min"] * 60.0
    exact_deg = reversal.base_turn_angle_deg(120.0, time_s, turns.bank_in_use_deg(120.0))
    exact_is(entry, "offset_deg", exact_deg, 1)
    if entry["physics_check"]["status"] == "agrees":
        near(entry, "offset_deg", exact_deg)
    else:
        assert abs(exact_deg - entry["expected"]["offset_deg"]) > entry["tolerance"]["abs"]


@published("rev.entry_sector")
def _entry_within(entry: Entry) -> None:
    near(entry, "within_deg_of_outbound", reversal.ENTRY_WITHIN_DEG)
    assert reversal.may_enter(120.0, 90.0)
    assert not reversal.may_enter(121.0, 90.0)


@published("rev.outbound_time_range")
def _outbound_range(entry: Entry) -> None:
    near(entry, "min_min", reversal.SHORTEST_OUTBOUND_S / 60.0)
    near(entry, "max_min", reversal.LONGEST_OUTBOUND_S / 60.0)
