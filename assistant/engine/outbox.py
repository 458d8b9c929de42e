"""What one step of the engine has to say, gathered in order."""

from dataclasses import replace

from assistant.engine.events import Callout, CalloutKind, CueDropped, Datum, EngineOutput, Figures, Priority
from assistant.engine.plan import FOREVER_S
from assistant.engine.state import State
from assistant.engine.today import Today, indicated_ft, spoken_ft

# How long a callout may wait to be spoken, s. After that it is dropped: nothing late is spoken. (Common
# practice.)
SHELF_S = {
    Priority.SAFETY: 8.0,
    Priority.ACTION: 8.0,
    Priority.PREPARATION: 8.0,
    Priority.ANSWER: 12.0,
    Priority.CONFIRMATION: 5.0,
}
# The question at the minimum holds until the missed approach point ends it. A heading along an arc is better
# called a quarter of a minute late than not at all: on the last one the arc is left for certain.
MINIMUM_SHELF_S, HEADING_SHELF_S = 25.0, 14.0
_LONGER_S = {CalloutKind.MINIMUM: MINIMUM_SHELF_S, CalloutKind.HEADING: HEADING_SHELF_S}
_HEADING_STEP_DEG = 5.0
_RATE_STEP_FPM = 50.0


class Outbox:
    """
    Collects outputs while one event is handled.

    Rounds figures as pilots fly them and adds the altimeter's view.
    """

    def __init__(self) -> None:
        self.outputs: list[EngineOutput] = []

    def add(self, output: EngineOutput) -> None:
        """Take an output as it is."""
        self.outputs.append(output)

    def drop(self, t_s: float, cue: str, reason: str) -> None:
        """Note that a cue was not called, and why."""
        self.outputs.append(CueDropped(t_s=t_s, cue=cue, reason=reason))

    def say(
        self,
        state: State,
        t_s: float,
        kind: CalloutKind,
        priority: Priority,
        cue: str,
        figures: Figures | None = None,
        until_s: float = FOREVER_S,
    ) -> None:
        """
        Call out; not after `until_s`, where its moment is over sooner than usual.

        `figures.altitude_ft` is also given as what the pilot's altimeter shows, with its datum.
        """
        shelf_s = _LONGER_S.get(kind, SHELF_S[priority])
        callout = Callout(
            t_s=t_s,
            expires_t_s=min(t_s + shelf_s, until_s),
            kind=kind,
            priority=priority,
            cue=cue,
            figures=as_flown(state, figures if figures is not None else Figures()),
        )
        self.outputs.append(callout)


def datum_at(state: State, altitude_ft: float) -> Datum:
    """
    What an altitude is said on: the altimeter's setting, but the day's own for one below the transition
    altitude.

    A pilot still on standard hears "two thousand five hundred QNH", not a flight level that nobody will fly.
    """
    transition_ft = state.plan.procedure.airport.transition_altitude_ft
    if state.datum is Datum.STANDARD and (transition_ft is None or altitude_ft <= transition_ft):
        return state.plan.conditions.datum
    return state.datum


def as_flown(state: State, figures: Figures) -> Figures:
    """
    Figures rounded as pilots fly them.

    Headings to 5 degrees, rates up to the next 50 ft/min, floors never down.
    """
    heading_deg = figures.heading_mag_deg
    if heading_deg is not None:
        heading_deg = round(heading_deg / _HEADING_STEP_DEG) * _HEADING_STEP_DEG % 360.0
        heading_deg = 360.0 if heading_deg == 0.0 else heading_deg
    rate_fpm = figures.descent_fpm
    if rate_fpm is not None:
        rate_fpm = -(-rate_fpm // _RATE_STEP_FPM) * _RATE_STEP_FPM
    shown = figures.indicated_ft
    datum = figures.datum
    if figures.altitude_ft is not None and shown is None:
        datum = datum_at(state, figures.altitude_ft)
        exact_ft = indicated_ft(
            figures.altitude_ft, datum, procedure=state.plan.procedure, qnh_hpa=state.plan.conditions.qnh_hpa
        )
        shown = spoken_ft(exact_ft, datum, state.plan.published)
    today = Today(procedure=state.plan.procedure, conditions=state.plan.conditions)
    return replace(
        figures,
        heading_mag_deg=heading_deg,
        descent_fpm=rate_fpm,
        indicated_ft=shown,
        datum=datum,
        corrected=figures.altitude_ft is not None and datum is not Datum.STANDARD and today.is_corrected,
    )
