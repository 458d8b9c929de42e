"""Published values of categories and of geodesy, against `nav`."""

from math import asin, cos, radians, sin, sqrt

import pytest
from published import Entry, near, published

from assistant.nav import airspeed, geometry, speed_limits


@published("cat.table.faa")
def _category_table(entry: Entry) -> None:
    for category, band in entry["expected"].items():
        lowest_kt, above_kt = band.get("from_kt", 1.0), band.get("below_kt", 210.0)
        assert airspeed.category_for_speed(lowest_kt) == category
        assert airspeed.category_for_speed(above_kt - 0.1) == category


@published("cat.from_vref_*")
def _category(entry: Entry) -> None:
    assert airspeed.category_for_speed(entry["inputs"]["vref_kt"]) == entry["expected"]["category"]


@published("cat.table.icao")
def _category_speeds(entry: Entry) -> None:
    for category, row in entry["expected"].items():
        speeds = speed_limits.category_speeds(category)
        assert list(speeds.initial_kt) == row["initial"]
        assert list(speeds.final_kt) == row["final"]
        assert speeds.circling_kt == row["circling_max"]
        assert speeds.missed_intermediate_kt == row["missed_intermediate_max"]
        assert speeds.missed_final_kt == row["missed_final_max"]
        assert speeds.reversal_kt == row.get("reversal_max", row["initial"][1])


@published("cat.icao_c_row")
def _category_c(entry: Entry) -> None:
    speeds, row = speed_limits.category_speeds("C"), entry["expected"]
    assert list(speeds.initial_kt) == row["initial"]
    assert list(speeds.final_kt) == row["final"]
    assert speeds.circling_kt == row["circling_max"]
    assert speeds.missed_intermediate_kt == row["missed_initial_max"]
    assert speeds.missed_final_kt == row["missed_final_max"]
    assert [airspeed.category_for_speed(speed_kt) for speed_kt in row["vat"]] == ["C", "C"]


@published("cat.reversal_max_cat_a")
def _reversal_speed(entry: Entry) -> None:
    near(entry, "cat_a_kt", speed_limits.category_speeds("A").reversal_kt)


@published("cat.circling_speedup")
def _faster_circling(entry: Entry) -> None:
    given = entry["inputs"]
    ours = speed_limits.circling_category(given["category"], given["circling_speed_kt"])
    assert ours == entry["expected"]["minima_category"]


@published("cat.circling_radius_pansops_*")
def _circling_radius(entry: Entry) -> None:
    given = entry["inputs"]
    near(
        entry,
        "radius_nm",
        speed_limits.circling_radius_nm(given["category"], given["altitude_ft"], given["wind_kt"]),
    )


@published("geo.geographiclib_*")
def _geodesic(entry: Entry) -> None:
    given = entry["inputs"]
    one, other = (given["lat1_deg"], given["lon1_deg"]), (given["lat2_deg"], given["lon2_deg"])
    there = geometry.radial_dme_from_position(*one, 0.0, *other)
    back = geometry.radial_dme_from_position(*other, 0.0, *one)
    near(entry, "azi1_deg", geometry.difference_deg(0.0, there.radial_deg))
    near(entry, "azi2_deg", geometry.difference_deg(180.0, back.radial_deg))
    near(entry, "distance_m", there.ground_nm * 1852.0)


def _sphere_rad(entry: Entry) -> float:
    """The haversine on a sphere, written out here as the second method."""
    given = {name: radians(value) for name, value in entry["inputs"].items()}
    half_lat = (given["lat2_deg"] - given["lat1_deg"]) / 2.0
    half_lon = (given["lon2_deg"] - given["lon1_deg"]) / 2.0
    across = cos(given["lat1_deg"]) * cos(given["lat2_deg"]) * sin(half_lon) ** 2
    return 2.0 * asin(sqrt(sin(half_lat) ** 2 + across))


@published("geo.formulary_dist", "geo.sphere_vs_ellipsoid")
def _sphere(entry: Entry) -> None:
    """The sphere of one NM a minute is 0.3 % short here; the ellipsoid is ours."""
    sphere_nm = _sphere_rad(entry) * 57.2957795 * 60.0
    near(entry, "distance_nm" if "distance_nm" in entry["expected"] else "sphere_nm", sphere_nm)
    given = entry["inputs"]
    ours = geometry.radial_dme_from_position(
        given["lat1_deg"], given["lon1_deg"], 0.0, given["lat2_deg"], given["lon2_deg"]
    )
    if "wgs84_nm" in entry["expected"]:
        near(entry, "wgs84_nm", ours.ground_nm)
        near(entry, "wgs84_course_deg", ours.radial_deg)
    assert ours.ground_nm == pytest.approx(sphere_nm, rel=0.003)


@published("geo.fix_radial_dist_*")
def _fix(entry: Entry) -> None:
    """The true radial is the magnetic one and the declination; any split of it gives the same place."""
    given = entry["inputs"]
    for declination_deg in (0.0, 7.0, -12.0):
        place = geometry.position_from_radial_dme(
            given["station_lat_deg"],
            given["station_lon_deg"],
            declination_deg,
            given["true_radial_deg"] - declination_deg,
            given["distance_nm"],
        )
        near(entry, "lat_deg", place.latitude_deg)
        near(entry, "lon_deg", place.longitude_deg)


@published("geo.nm_ft")
def _units(entry: Entry) -> None:
    near(entry, "nm_m", geometry.M_PER_NM)
    near(entry, "ft_m", geometry.M_PER_FT)
    near(entry, "ft_per_nm", geometry.FT_PER_NM)
