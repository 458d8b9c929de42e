"""Sums about the air: wind, airspeed, altimeter settings, cold, slant range."""

from assistant.nav.airspeed import mach_from_ias, tas_kt_from_ias, tas_kt_pansops, tas_rule_kt
from assistant.nav.altimetry import (
    RULE_FT_PER_HPA,
    flight_level_from_altitude,
    ft_per_hpa_at_setting,
    inhg_from_hpa,
    passed_setting_hpa,
    pressure_altitude_rule_ft,
    qfe_from_qnh_hpa,
    qfe_height_from_altitude_ft,
    qfe_rule_hpa,
    transition_level,
)
from assistant.nav.atmosphere import TROPOPAUSE_FT, isa_temperature_c
from assistant.nav.closing import range_tolerance_aim_nm, range_tolerance_pansops_nm
from assistant.nav.cold import (
    corrected_altitude_ft,
    formula_correction_ft,
    rule_correction_ft,
    table_correction_ft,
)
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import FT_PER_NM, ground_nm_from_slant, normalize_deg
from assistant.nav.wind import (
    Wind,
    clock_code_drift_deg,
    components,
    heading_for_track,
    maximum_drift_deg,
    maximum_drift_rule_deg,
)
from assistant.sums.answer import Answer, Figure

CLOCK_CODE = "clock code: a quarter of the most drift at 15° off, a half at 30°, all from 60° on"


def wind_triangle(*, track_mag_deg: float, tas_kt: float, wind: Wind) -> Answer:
    """Heading and groundspeed for a track; NoSolution where the wind does not let it be flown."""
    exact = heading_for_track(track_mag_deg, tas_kt, *wind)
    parts = components(track_mag_deg, *wind)
    drift_rule_deg = clock_code_drift_deg(track_mag_deg, tas_kt, *wind)
    # The clock code seen from the beam gives the wind along the track: drift there, turned back into knots.
    head_rule_kt = clock_code_drift_deg(track_mag_deg + 90.0, tas_kt, *wind) * tas_kt / 60.0
    return Answer(
        figures=(
            Figure(
                name="heading_mag_deg",
                quantity="heading",
                exact=exact.heading_deg,
                rule=normalize_deg(track_mag_deg - drift_rule_deg),
                rule_is="the track less the drift by the clock code",
            ),
            Figure(
                name="drift_deg",
                quantity="drift, right positive",
                exact=exact.drift_deg,
                rule=drift_rule_deg,
                rule_is=CLOCK_CODE,
            ),
            Figure(
                name="groundspeed_kt",
                quantity="groundspeed",
                exact=exact.groundspeed_kt,
                rule=tas_kt - head_rule_kt,
                rule_is="airspeed less the head wind, by the clock code from the beam",
            ),
            Figure(
                name="maximum_drift_deg",
                quantity="most drift on any track",
                # Where the wind outdoes the airspeed there is no most: it can blow any way.
                exact=maximum_drift_deg(tas_kt, wind.speed_kt) if wind.speed_kt <= tas_kt else None,
                rule=maximum_drift_rule_deg(tas_kt, wind.speed_kt),
                rule_is="wind over miles a minute",
            ),
            Figure(name="head_kt", quantity="head wind, tail negative", exact=parts.head_kt),
            Figure(name="cross_kt", quantity="cross wind, from the right positive", exact=parts.cross_kt),
        ),
        source="Wind triangle (FAA-H-8083-25 chapter 15); the rules are common practice.",
    )


def true_airspeed(*, ias_kt: float, altitude_ft: float, temperature_c: float | None = None) -> Answer:
    """True airspeed of an indicated one, at the standard temperature where none is given."""
    exact_kt = tas_kt_from_ias(ias_kt, altitude_ft, temperature_c)
    standard_c = isa_temperature_c(altitude_ft)
    deviation_c = 0.0 if temperature_c is None else temperature_c - standard_c
    figures = [
        Figure(
            name="tas_kt",
            quantity="true airspeed",
            exact=exact_kt,
            rule=tas_rule_kt(ias_kt, altitude_ft),
            rule_is="2 % more for every 1,000 ft",
        ),
        Figure(name="miles_nm_per_min", quantity="miles a minute", exact=exact_kt / 60.0),
        Figure(name="mach", quantity="Mach number", exact=mach_from_ias(ias_kt, altitude_ft)),
        Figure(name="isa_deviation_c", quantity="warmer than standard", exact=deviation_c),
    ]
    if altitude_ft <= TROPOPAUSE_FT:
        designers_kt = tas_kt_pansops(ias_kt, altitude_ft, deviation_c)
        figures.insert(
            1, Figure(name="designers_tas_kt", quantity="by the designers' formula", exact=designers_kt)
        )
    return Answer(
        figures=tuple(figures),
        source="ICAO Doc 7488 and the compressible pitot relation; Doc 8168 Vol II I-1-2 App (designers).",
        remarks=() if temperature_c is not None else (f"Standard temperature taken: {standard_c:.0f} °C.",),
    )


def altimeter(
    *,
    qnh_hpa: float,
    elevation_ft: float,
    altitude_ft: float | None = None,
    transition_altitude_ft: float | None = None,
) -> Answer:
    """QFE of an elevation; for an altitude on QNH also its height on QFE and its level on standard."""
    qfe_hpa = qfe_from_qnh_hpa(qnh_hpa, elevation_ft)
    figures = [
        Figure(
            name="qfe_hpa",
            quantity="QFE",
            exact=qfe_hpa,
            rule=qfe_rule_hpa(qnh_hpa, elevation_ft),
            rule_is="1 hPa for 27 ft of elevation",
        ),
        Figure(
            name="shift_ft_per_hpa",
            quantity="feet for 1 hPa of setting",
            exact=ft_per_hpa_at_setting(qnh_hpa),
            rule=RULE_FT_PER_HPA,
            rule_is="27 ft; 30 is taught too",
        ),
    ]
    if altitude_ft is not None:
        rule_level = pressure_altitude_rule_ft(altitude_ft, inhg_from_hpa(qnh_hpa)) / 100.0
        figures += [
            Figure(
                name="height_qfe_ft",
                quantity=f"height on QFE at {altitude_ft:.0f} ft QNH",
                exact=qfe_height_from_altitude_ft(altitude_ft, qnh_hpa, qfe_hpa),
                rule=altitude_ft - elevation_ft,
                rule_is="altitude less elevation (the same while neither setting is rounded)",
            ),
            Figure(
                name="flight_level",
                quantity=f"flight level at {altitude_ft:.0f} ft QNH",
                exact=flight_level_from_altitude(altitude_ft, qnh_hpa),
                rule=rule_level,
                rule_is="1,000 ft for an inch of mercury",
            ),
        ]
    if transition_altitude_ft is not None:
        level = float(transition_level(transition_altitude_ft, qnh_hpa))
        figures.append(Figure(name="transition_level", quantity="lowest transition level", exact=level))
    return Answer(
        figures=tuple(figures),
        source="ICAO standard atmosphere (Doc 7488); the rules are common practice.",
        remarks=(f"QFE as passed to pilots, rounded down: {passed_setting_hpa(qfe_hpa)} hPa.",),
    )


def cold_air(*, temperature_c: float, height_ft: float, elevation_ft: float) -> Answer:
    """What to add to a height above the aerodrome in colder air than standard."""
    table_ft = table_correction_ft(height_ft, temperature_c)
    closed_ft = formula_correction_ft(height_ft, temperature_c, elevation_ft)
    deviation_c = temperature_c - isa_temperature_c(elevation_ft)
    rule_ft, rule_is = (
        rule_correction_ft(height_ft, deviation_c),
        "4 ft for 1,000 ft and degree below standard",
    )
    corrected_ft = corrected_altitude_ft(elevation_ft + height_ft, elevation_ft, temperature_c)
    return Answer(
        figures=(
            Figure(
                name="table_correction_ft",
                quantity="add, by the published table",
                exact=table_ft,
                rule=rule_ft,
                rule_is=rule_is,
            ),
            Figure(
                name="formula_correction_ft",
                quantity="add, by the closed form",
                exact=closed_ft,
                rule=rule_ft,
                rule_is=rule_is,
            ),
            Figure(
                name="corrected_altitude_ft",
                quantity="altitude to fly, QNH (table, rounded up)",
                exact=corrected_ft,
            ),
            Figure(name="isa_deviation_c", quantity="warmer than standard", exact=deviation_c),
        ),
        source="FAA AIM Table 7-3-1 (the ICAO table); ICAO Doc 8168 Vol I III-1-4 for the closed form.",
    )


def slant_range(*, dme_nm: float, height_ft: float) -> Answer:
    """Ground range of a slant range; NoSolution where the range is less than the height."""
    if dme_nm * FT_PER_NM < height_ft:
        raise NoSolution(
            f"A range of {dme_nm:g} NM is less than the height of {height_ft:g} ft: nothing reads it."
        )
    return Answer(
        figures=(
            Figure(
                name="ground_nm",
                quantity="ground range",
                exact=ground_nm_from_slant(dme_nm, height_ft),
                rule=dme_nm,
                rule_is="as read; good from one mile for each 1,000 ft of height",
            ),
            Figure(
                name="tolerance_nm",
                quantity="the set may be off by",
                exact=range_tolerance_pansops_nm(dme_nm),
                rule=range_tolerance_aim_nm(dme_nm),
                rule_is="half a mile or 3 %, the greater (FAA AIM 1-1-7)",
            ),
        ),
        source="Pythagoras; ICAO Doc 8168 Vol I I-2-2 2.4.2 for the tolerance.",
    )
