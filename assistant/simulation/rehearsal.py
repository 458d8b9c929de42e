"""
A flight rehearsed from a chair: the aircraft flies what it was told, the pilot only reports.

The same aircraft and the same hands as in the campaigns; they are driven by somebody else's clock, and what
they hear is what the assistant says to the pilot in the chair. `demonstrates` lets the scripted pilot report
as well.
"""

from assistant.engine.plan import Phase
from assistant.engine.state import State
from assistant.procedure.model import Datum
from assistant.simulation.case import Crew
from assistant.simulation.flight import Sample, drift_deg
from assistant.simulation.panel import Panel

_STEP_S = 1.0
_ON_THE_RUNWAY_FT = 30.0


class Rehearsal:
    """One rehearsed flight; times are those of the session, and never go back."""

    def __init__(self, crew: Crew, *, demonstrates: bool) -> None:
        self._crew = crew
        self._demonstrates = demonstrates
        self._flown_s = 0.0
        self._last: list[Sample] = []

    def hear(self, text: str, t_s: float) -> None:
        """The assistant says something; the hands will do it."""
        self._crew.pilot.hear(text, t_s)

    def advance(self, now_s: float, state: State) -> list[str]:
        """Fly on to now; what the demonstrating pilot says on the way, if it does."""
        said: list[str] = []
        while self._flown_s + _STEP_S <= now_s:
            self._flown_s += _STEP_S
            crew = self._crew
            crew.aircraft.advance(crew.pilot.controls, _STEP_S)
            motion = crew.aircraft.motion
            sample = Sample(
                self._flown_s,
                motion.point,
                motion.altitude_ft,
                motion.heading_mag_deg,
                motion.vertical_fpm,
                motion.ias_kt,
            )
            self._last = [*self._last[-1:], sample]
            seen = self.seen(state)
            crew.pilot.advance(self._flown_s, seen)
            if self.is_down(state):
                crew.pilot.land(self._flown_s)
            if self._demonstrates:
                words = crew.pilot.speak(self._flown_s, seen)
                said += [words] if words is not None else []
        return said

    def seen(self, state: State) -> Panel:
        """What the instruments show."""
        plan = state.plan
        return Panel(
            motion=self._crew.aircraft.motion,
            procedure=plan.procedure,
            datum=self._crew.pilot.datum,
            qnh_hpa=plan.conditions.qnh_hpa,
            fix=self._crew.first_fix,
            drift_deg=drift_deg(self._last),
        )

    def is_down(self, state: State) -> bool:
        """Whether the aircraft has come to the runway."""
        threshold_ft = state.plan.procedure.runway.threshold_elevation_ft
        low = self._crew.aircraft.motion.altitude_ft <= threshold_ft + _ON_THE_RUNWAY_FT
        return low and state.stage.phase is Phase.LANDING

    def shown(self, state: State) -> str:
        """The instruments in one line, as they are read."""
        seen = self.seen(state)
        radial = round(seen.radial_deg) % 360 or 360
        heading = round(seen.heading_mag_deg) % 360 or 360
        level = f"{round(seen.indicated_ft / 20.0) * 20} ft {self._crew.pilot.datum.value.upper()}"
        if self._crew.pilot.datum is Datum.STANDARD:
            level = f"FL{round(seen.indicated_ft / 100.0):03d}"
        motion = self._crew.aircraft.motion
        return (
            f"heading {heading:03d}  R{radial:03d}  {seen.dme_nm:.1f} DME  {level}"
            f"  {motion.ias_kt:.0f} kt  {round(motion.vertical_fpm / 50.0) * 50:+d} fpm"
        )
