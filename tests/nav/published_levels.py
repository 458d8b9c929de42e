"""Published values of cold air, altimetry and the standard atmosphere, against `nav`."""

import pytest
from published import Entry, exact_is, near, published

from assistant.nav import altimetry, atmosphere, cold, geometry, visual
from assistant.nav.errors import OutsideValidity


@published("cold.table.aim_7_3_1")
def _cold_table(entry: Entry) -> None:
    """Ours is the table itself, and the closed form reproduces it, rounded up to ten (a second method)."""
    for temperature_c, row in entry["expected"]["correction_ft_by_temp"].items():
        for height_ft, printed_ft in row.items():
            near(entry, "ft", cold.table_correction_ft(height_ft, temperature_c), printed_ft)
            formula_ft = cold.formula_correction_ft(height_ft, temperature_c, 0.0)
            assert 0.0 <= printed_ft - formula_ft < 10.0


@published("cold.pansops_formula")
def _cold_formula(entry: Entry) -> None:
    given = entry["inputs"]
    near(
        entry,
        "correction_ft",
        cold.formula_correction_ft(
            given["height_above_source_ft"], given["aerodrome_temp_c"], given["aerodrome_elevation_ft"]
        ),
    )


@published("cold.table_lookup_1500_m20", "cold.cell.*")
def _cold_cell(entry: Entry) -> None:
    given = entry["inputs"]
    correction_ft = cold.table_correction_ft(given["height_above_airport_ft"], given["reported_temp_c"])
    assert correction_ft == entry["expected"]["correction_ft"]
    formula_ft = cold.formula_correction_ft(given["height_above_airport_ft"], given["reported_temp_c"], 0.0)
    assert 0.0 <= correction_ft - formula_ft < 10.0


@published("cold.kmso.*")
def _cold_example(entry: Entry) -> None:
    """Our corrections are rounded up to ten; the manual's FAF and hold are rounded to the nearest hundred."""
    given, wanted = entry["inputs"], entry["expected"]
    if "airport_elevation_ft" not in given:
        assert given["altitude_ft"] + given["correction_ft"] == wanted["corrected_altitude_ft"]
        return
    level = (given["altitude_ft"], given["airport_elevation_ft"], given["reported_temp_c"])
    height_ft = level[0] - level[1]
    assert height_ft == wanted["height_above_airport_ft"]
    ours_ft = cold.table_correction_ft(height_ft, level[2])
    exact_is(entry, "correction_ft", ours_ft, 0)
    if entry["id"] == "cold.kmso.mda":
        assert cold.corrected_altitude_ft(*level) == wanted["corrected_altitude_ft"]
    else:
        assert 100.0 * round(ours_ft / 100.0) == wanted["correction_ft"]
        assert cold.corrected_altitude_ft(*level) >= level[0] + ours_ft


@published("cold.rule_4pct_example")
def _four_percent(entry: Entry) -> None:
    """The rule is 13 % conservative. The entry's 92 ft is the integral for an indicated 2,000 ft."""
    given = entry["inputs"]
    height_ft = given["altitude_ft"] - given["airport_elevation_ft"]
    deviation_c = given["airport_temp_c"] - atmosphere.isa_temperature_c(given["airport_elevation_ft"])
    near(entry, "isa_dev_c", deviation_c)
    near(entry, "correction_ft", cold.rule_correction_ft(height_ft, deviation_c))
    ours_ft = cold.integral_correction_ft(height_ft, given["airport_temp_c"], given["airport_elevation_ft"])
    exact_is(entry, "correction_ft", ours_ft, 1)
    # The closed form takes the true height wanted, so it adds the error on the error: 95.7 ft.
    closed_ft = cold.formula_correction_ft(height_ft, given["airport_temp_c"], given["airport_elevation_ft"])
    assert ours_ft < closed_ft < cold.rule_correction_ft(height_ft, deviation_c)


@published("cold.warm_not_applied")
def _warm(entry: Entry) -> None:
    given = entry["inputs"]
    height_ft, temperature_c = given["height_above_airport_ft"], given["airport_temp_c"]
    near(entry, "correction_ft", cold.table_correction_ft(height_ft, temperature_c))
    near(
        entry,
        "correction_ft",
        cold.formula_correction_ft(height_ft, temperature_c, given["airport_elevation_ft"]),
    )


@published("alt.table.isa_by_pressure")
def _isa_by_pressure(entry: Entry) -> None:
    """Misprints of the copy are named in the entry; above 65,000 ft we compute nothing and say so."""
    misprints = {(30, "height_ft"), (30, "temp_c"), (400, "temp_c")}
    for level in entry["expected"]["levels"]:
        pressure_hpa = level["pressure_hpa"]
        if pressure_hpa < 55:
            with pytest.raises(OutsideValidity):
                atmosphere.altitude_at_pressure_ft(pressure_hpa)
            continue
        altitude_ft = atmosphere.altitude_at_pressure_ft(pressure_hpa)
        near(entry, "height_ft", altitude_ft, level["height_ft"])
        if (pressure_hpa, "temp_c") not in misprints:
            near(entry, "temp_c", atmosphere.isa_temperature_c(altitude_ft), level["temp_c"])
        else:
            # 15 - 6.5 x 7.185 = -31.7, where -21.2 is printed.
            assert atmosphere.isa_temperature_c(altitude_ft) == pytest.approx(-31.7, abs=0.05)


@published("alt.table.isa_by_altitude")
def _isa_by_altitude(entry: Entry) -> None:
    for altitude_ft, row in entry["expected"]["by_altitude"].items():
        pressure_hpa = atmosphere.pressure_at_altitude_hpa(altitude_ft)
        near(entry, "p", pressure_hpa, row["pressure_hpa"])
        near(entry, "p", altimetry.inhg_from_hpa(pressure_hpa), row["pressure_inhg"])
        near(entry, "p", atmosphere.ft_per_hpa(altitude_ft), row["ft_per_hpa"])
        assert atmosphere.isa_temperature_c(altitude_ft) == pytest.approx(row["temp_c"], abs=0.006)


@published("alt.isa_constants")
def _isa_constants(entry: Entry) -> None:
    near(entry, "sea_level_hpa", atmosphere.SEA_LEVEL_HPA)
    near(entry, "sea_level_temp_c", atmosphere.isa_temperature_c(0.0))
    near(entry, "tropopause_ft", atmosphere.TROPOPAUSE_FT)
    near(entry, "tropopause_temp_c", atmosphere.isa_temperature_c(40000.0))
    lapse_c = atmosphere.isa_temperature_c(0.0) - atmosphere.isa_temperature_c(1000.0)
    near(entry, "lapse_c_per_1000ft", lapse_c)


@published("alt.inhg_hpa")
def _inches(entry: Entry) -> None:
    near(entry, "hpa", altimetry.hpa_from_inhg(entry["inputs"]["inhg"]))
    near(entry, "hpa_per_inhg", altimetry.HPA_PER_INHG)


@published("alt.hpa_to_inhg_*")
def _to_inches(entry: Entry) -> None:
    near(entry, "inhg", altimetry.inhg_from_hpa(entry["inputs"]["hpa"]))


@published("alt.001inhg_10ft")
def _hundredth_of_inch(entry: Entry) -> None:
    shift_ft = altimetry.setting_shift_ft(altimetry.hpa_from_inhg(29.92), altimetry.hpa_from_inhg(29.93))
    near(entry, "ft", shift_ft)


@published("alt.phak_3000")
def _handbook_rule(entry: Entry) -> None:
    pressure_hpa = atmosphere.pressure_at_altitude_hpa(entry["inputs"]["altitude_ft"])
    near(entry, "pressure_inhg", altimetry.inhg_from_hpa(pressure_hpa))
    near(entry, "temp_c", atmosphere.isa_temperature_c(entry["inputs"]["altitude_ft"]))


@published("alt.pressure_altitude_*")
def _pressure_altitude(entry: Entry) -> None:
    given = entry["inputs"]
    elevation_ft, inches = given["elevation_ft"], given["altimeter_inhg"]
    rule_ft = altimetry.pressure_altitude_rule_ft(elevation_ft, inches)
    assert rule_ft == pytest.approx(entry["expected"]["pressure_altitude_ft"])
    near(
        entry,
        "pressure_altitude_ft",
        altimetry.pressure_altitude_ft(elevation_ft, altimetry.hpa_from_inhg(inches)),
    )


@published("alt.atpl_660")
def _elevation(entry: Entry) -> None:
    given = entry["inputs"]
    shift_ft = altimetry.setting_shift_ft(given["set_hpa"], given["qnh_hpa"])
    near(entry, "elevation_ft", given["indicated_ft"] + shift_ft)


@published("alt.uk_fl40_996")
def _level(entry: Entry) -> None:
    given = entry["inputs"]
    altitude_ft = altimetry.altitude_from_flight_level_ft(given["flight_level"], given["qnh_hpa"])
    near(entry, "altitude_ft", altitude_ft)


@published("alt.transition_level_*")
def _transition(entry: Entry) -> None:
    given = entry["inputs"]
    layer = (given["transition_altitude_ft"], given["qnh_hpa"])
    near(entry, "pressure_altitude_ft", altimetry.pressure_altitude_ft(*layer))
    assert altimetry.transition_level(*layer) == entry["expected"]["lowest_fl_at_or_above"]


@published("alt.qfe_*")
def _qfe(entry: Entry) -> None:
    given = (entry["inputs"]["qnh_hpa"], entry["inputs"]["elevation_ft"])
    near(entry, "qfe_hpa", altimetry.qfe_from_qnh_hpa(*given))
    near(entry, "qfe_27_hpa", altimetry.qfe_rule_hpa(*given))
    near(entry, "qfe_30_hpa", altimetry.qfe_rule_hpa(*given, 30.0))


@published("alt.qnh_from_qfe_mmhg")
def _qnh_from_millimetres(entry: Entry) -> None:
    given = entry["inputs"]
    elevation_ft = given["elevation_m"] / geometry.M_PER_FT
    qnh_hpa = altimetry.qnh_from_qfe_hpa(altimetry.hpa_from_mmhg(given["qfe_mmhg"]), elevation_ft)
    near(entry, "qnh_hpa", qnh_hpa)
    near(entry, "qnh_hpa", altimetry.passed_setting_hpa(qnh_hpa))


@published("alt.qnh_rounding")
def _passed(entry: Entry) -> None:
    near(entry, "qnh_hpa", altimetry.passed_setting_hpa(entry["inputs"]["qnh_hpa_exact"]))


@published("alt.oca_rounding", "alt.minima_rounding_faa")
def _rounding(entry: Entry) -> None:
    wanted = entry["expected"]
    step_ft = wanted.get("increment_ft", wanted.get("mda_increment_ft"))
    assert wanted["direction"] == "up"
    assert visual.rounded_minimum_ft(401.0, step_ft) == 400.0 + step_ft
    assert visual.rounded_minimum_ft(400.0, step_ft) == 400.0
