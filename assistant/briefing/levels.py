"""How today's altimeter shows an altitude, and how figures are rounded when they are called."""

from dataclasses import replace

from assistant.briefing.content import Vertical
from assistant.engine.core import begin
from assistant.engine.events import Figures
from assistant.engine.outbox import as_flown
from assistant.engine.plan import Plan
from assistant.engine.state import State
from assistant.nav.cold import corrected_altitude_ft
from assistant.procedure.model import Altitude, Datum


class Levels:
    """A plan's altitudes (ft above mean sea level) as the pilot sees and hears them."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._starts_on_standard = begin(plan).datum is Datum.STANDARD
        self._state = State(plan=plan, stage_name=plan.first, datum=plan.conditions.datum)

    @property
    def other_datum(self) -> Datum:
        """The one of QNH and QFE that is not flown today."""
        return Datum.QFE if self._plan.conditions.datum is Datum.QNH else Datum.QNH

    def shown(self, altitude_ft: float) -> Vertical:
        """On the day's datum; above the transition altitude on standard, where the approach begins so."""
        transition_ft = self._plan.procedure.airport.transition_altitude_ft
        above = transition_ft is not None and altitude_ft > transition_ft
        if self._starts_on_standard and above:
            return self.on(altitude_ft, Datum.STANDARD)
        return self.on(altitude_ft, self._plan.conditions.datum)

    def on(self, altitude_ft: float, datum: Datum) -> Vertical:
        """On a datum, rounded as the engine rounds what it calls: never lower than it is."""
        called = as_flown(replace(self._state, datum=datum), Figures(altitude_ft=altitude_ft))
        return Vertical(
            indicated_ft=altitude_ft if called.indicated_ft is None else called.indicated_ft, datum=datum
        )

    def charted(self, altitude: Altitude, altitude_ft: float) -> Vertical:
        """A charted value: a flight level stays one."""
        if altitude.datum is Datum.STANDARD:
            return Vertical(indicated_ft=altitude.indicated_ft, datum=Datum.STANDARD)
        return self.shown(altitude_ft)

    def cold(self, altitude_ft: float) -> Vertical | None:
        """With the table's cold-temperature correction, None without one; OutsideValidity below -50 C."""
        corrected_ft = self.cold_corrected_ft(altitude_ft)
        return None if corrected_ft is None else self.on(corrected_ft, self._plan.conditions.datum)

    def cold_corrected_ft(self, altitude_ft: float) -> float | None:
        """The same above mean sea level, ft."""
        temperature_c = self._plan.conditions.temperature_c
        elevation_ft = self._plan.procedure.airport.elevation_ft
        if temperature_c is None or altitude_ft < elevation_ft:
            return None
        corrected_ft = corrected_altitude_ft(altitude_ft, elevation_ft, temperature_c)
        return corrected_ft if corrected_ft > altitude_ft else None

    def called_heading_deg(self, heading_mag_deg: float) -> float:
        """A heading as it is called, to 5 degrees, north 360."""
        called = as_flown(self._state, Figures(heading_mag_deg=heading_mag_deg)).heading_mag_deg
        return heading_mag_deg if called is None else called

    def called_rate_fpm(self, descent_fpm: float) -> float:
        """A rate of descent as it is called, up to the next 50 ft/min."""
        called = as_flown(self._state, Figures(descent_fpm=descent_fpm)).descent_fpm
        return descent_fpm if called is None else called
