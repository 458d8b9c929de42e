"""
The day's figures for a procedure.

Altitudes on their datums, true airspeeds, winds and banks by altitude.
"""

from dataclasses import dataclass
from math import ceil

from assistant.engine.conditions import Conditions
from assistant.nav.airspeed import tas_kt_from_ias
from assistant.nav.altimetry import altitude_from_flight_level_ft, flight_level_from_altitude
from assistant.nav.atmosphere import isa_temperature_c
from assistant.nav.cold import corrected_altitude_ft
from assistant.nav.geometry import PlanePoint, ground_nm_from_slant, plane_from_polar
from assistant.nav.turns import bank_in_use_deg
from assistant.nav.wind import Wind, wind_at_level
from assistant.procedure.model import Altitude, Datum, Fix, Procedure, ReversalLeg

# At this temperature and above the published table corrects nothing.
WARM_C = 15.0


def indicated_ft(altitude_ft: float, datum: Datum, *, procedure: Procedure, qnh_hpa: float) -> float:
    """
    What an altimeter on `datum` shows at an altitude above mean sea level, ft.

    Standard is by pressure; QFE by the elevation of its datum. Not rounded.
    """
    if datum is Datum.STANDARD:
        return flight_level_from_altitude(altitude_ft, qnh_hpa) * 100.0
    if datum is Datum.QFE:
        return altitude_ft - procedure.qfe_elevation_ft
    return altitude_ft


def altitude_from_indicated_ft(
    shown_ft: float, datum: Datum, *, procedure: Procedure, qnh_hpa: float
) -> float:
    """The altitude above mean sea level at which an altimeter on `datum` shows a value, ft."""
    if datum is Datum.STANDARD:
        return altitude_from_flight_level_ft(shown_ft / 100.0, qnh_hpa)
    if datum is Datum.QFE:
        return shown_ft + procedure.qfe_elevation_ft
    return shown_ft


def spoken_ft(shown_ft: float, datum: Datum, published: frozenset[tuple[Datum, float]]) -> float:
    """
    An altitude as it is said: the chart's own number where it prints one, else up to the next 10 ft, never
    down.

    A conversion to another datum leaves odd feet that no altimeter shows. Flight levels go up to the next
    whole level.
    """
    if (datum, round(shown_ft)) in published:
        return round(shown_ft)
    step_ft = 100.0 if datum is Datum.STANDARD else 10.0
    return ceil(round(shown_ft, 3) / step_ft) * step_ft


def published_ft(procedure: Procedure) -> frozenset[tuple[Datum, float]]:
    """Every vertical value that the chart prints, with its datum, for saying it unrounded."""
    found: set[tuple[Datum, float]] = set()
    for minimum in procedure.minima:
        found |= {(Datum.QNH, minimum.mda_ft)} if minimum.mda_ft is not None else set()
        found |= {(Datum.QFE, minimum.mdh_ft)} if minimum.mdh_ft is not None else set()
    for row in procedure.final.heights:
        found |= {(Datum.QNH, row.altitude_ft)} if row.altitude_ft is not None else set()
        found |= {(Datum.QFE, row.height_ft)} if row.height_ft is not None else set()
    charted = [leg.altitude for leg in procedure.legs] + [leg.climb for leg in procedure.missed_approach.legs]
    for leg in procedure.legs:
        if isinstance(leg, ReversalLeg):
            charted += [leg.inbound_altitude] + ([leg.turn_altitude] if leg.turn_altitude is not None else [])
        else:
            charted += [step.altitude for step in leg.step_downs]
    if procedure.hold is not None:
        charted.append(procedure.hold.minimum)
    return frozenset(found | {(altitude.datum, altitude.indicated_ft) for altitude in charted})


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    """A procedure and the conditions it is flown in; answers in the units of the engine."""

    procedure: Procedure
    conditions: Conditions

    def altitude_ft(self, altitude: Altitude) -> float:
        """A charted vertical value as altitude on today's QNH, corrected for cold where asked for."""
        charted_ft = altitude_from_indicated_ft(
            altitude.indicated_ft, altitude.datum, procedure=self.procedure, qnh_hpa=self.conditions.qnh_hpa
        )
        return charted_ft if altitude.datum is Datum.STANDARD else self.in_cold_ft(charted_ft)

    @property
    def is_corrected(self) -> bool:
        """Whether altitudes carry a cold-temperature correction: cold air, and the pilot asked for it."""
        temperature_c = self.conditions.temperature_c
        return self.conditions.cold_corrections and temperature_c is not None and temperature_c < WARM_C

    def in_cold_ft(self, charted_ft: float) -> float:
        """
        A charted altitude with the correction for cold air, where the pilot asked for one.

        The published table by height above the aerodrome (ICAO Doc 8168; FAA AIM 7-3), up to the next 10 ft.
        """
        temperature_c = self.conditions.temperature_c
        if not self.is_corrected or temperature_c is None:
            return charted_ft
        elevation_ft = self.procedure.airport.elevation_ft
        if charted_ft <= elevation_ft:
            return charted_ft
        return corrected_altitude_ft(charted_ft, elevation_ft, temperature_c)

    def tas_kt(self, ias_kt: float, altitude_ft: float) -> float:
        """True airspeed for an indicated one; the aerodrome's temperature shifts the standard atmosphere."""
        deviation_c = 0.0
        if self.conditions.temperature_c is not None:
            deviation_c = self.conditions.temperature_c - isa_temperature_c(
                self.procedure.airport.elevation_ft
            )
        return tas_kt_from_ias(ias_kt, altitude_ft, isa_deviation_c=deviation_c)

    def wind(self, altitude_ft: float) -> Wind:
        """The wind at an altitude, interpolated between the levels given; calm when none was."""
        if not self.conditions.wind:
            return Wind(360.0, 0.0)
        return wind_at_level(
            [(level.altitude_ft, level.wind_from_mag_deg, level.wind_kt) for level in self.conditions.wind],
            altitude_ft,
        )

    def bank_deg(self, tas_kt: float) -> float:
        """The bank used in turns: rate one or the pilot's limit, whichever needs less."""
        return bank_in_use_deg(tas_kt, self.conditions.bank_deg)

    def height_above_station_ft(self, altitude_ft: float) -> float:
        """Height above the station, ft: what turns slant into ground range."""
        return max(altitude_ft - self.procedure.navaid.elevation_ft, 0.0)

    def ground_nm(self, dme_nm: float, altitude_ft: float) -> float:
        """Ground distance from the station for a range read at an altitude."""
        return ground_nm_from_slant(dme_nm, self.height_above_station_ft(altitude_ft))

    def point(self, fix: Fix, altitude_ft: float) -> PlanePoint:
        """Where a fix lies when its range is read at an altitude."""
        if fix.radial_deg is None:
            return PlanePoint(0.0, 0.0)
        return plane_from_polar(fix.radial_deg, self.ground_nm(fix.dme_nm, altitude_ft))
