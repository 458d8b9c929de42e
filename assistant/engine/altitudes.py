"""
The vertical side of following a flight: levelling off, and coming to the minimum.

Both are foreseen from the last altitude read and the rate at which height is being lost, so that the call
comes before the level and not after it. An altitude read too long ago foresees nothing.
"""

from typing import NamedTuple

from assistant.engine.estimate import floor_ft, surely_passed_s
from assistant.engine.events import CalloutKind, Figures, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.plan import FOREVER_S, Phase
from assistant.engine.state import AltitudeKnown, State
from assistant.nav.vertical import level_off_lead_ft

# Past this age an altitude foresees nothing (the rate is the pilot's, and changes).
MAX_ALTITUDE_AGE_S = 60.0
NEAR_MINIMUM_FT = 100.0
_LEAST_LEAD_FT = 100.0


class LevelMoment(NamedTuple):
    """A level about to be reached: when the call is due, and its name."""

    t_s: float
    name: str


def level_moment(state: State) -> LevelMoment | None:
    """The next altitude call that the clock brings, if height is being lost toward one."""
    known = state.altitude
    if known is None or known.descent_fpm <= 0.0 or state.visual:
        return None
    if state.stage.phase is Phase.FINAL:
        if not state.established:
            return None
        if "near minimum" not in state.asked:
            return _crossing(state, known, state.plan.decision_ft + NEAR_MINIMUM_FT, "near minimum")
        if "minimum" not in state.asked:
            return _crossing(state, known, state.plan.decision_ft, "minimum")
        return None
    if state.target_ft is None or "level" in state.asked or state.stage.phase is Phase.MISSED:
        return None
    lead_ft = max(level_off_lead_ft(known.descent_fpm), _LEAST_LEAD_FT)
    return _crossing(state, known, state.target_ft + lead_ft, "level")


def is_minimum_called(state: State, *, by_s: float) -> bool:
    """Whether the minimum has been called, or is foreseen to be by then."""
    if "minimum" in state.asked:
        return True
    moment = level_moment(state)
    return moment is not None and moment.name == "minimum" and moment.t_s <= by_s


def _crossing(state: State, known: AltitudeKnown, altitude_ft: float, name: str) -> LevelMoment | None:
    t_s = known.t_s + max(known.altitude_ft - altitude_ft, 0.0) / known.descent_fpm * 60.0
    if state.stage.phase is Phase.FINAL:
        # The minimum is no level to come to while a step-down above it still binds.
        t_s = max(t_s, _minimum_binds_s(state))
    if t_s > known.read_s + MAX_ALTITUDE_AGE_S:
        if "altitude?" in state.asked or state.stage.phase is not Phase.FINAL:
            return None
        return LevelMoment(max(known.read_s + MAX_ALTITUDE_AGE_S, state.since_s), "altitude?")
    if name == "level" and known.altitude_ft < altitude_ft - _LEAST_LEAD_FT / 2.0:
        # There already when read: nothing to warn of.
        return None
    return LevelMoment(max(t_s, state.since_s), name)


def _minimum_binds_s(state: State) -> float:
    """When the minimum is the floor: surely past the last step-down, or the fix of a final only reckoned."""
    ends = [floor.until_s for floor in state.stage.floors if floor.until_s < FOREVER_S]
    if not ends and (not state.predicted or state.confirmed is None):
        return state.since_s
    return surely_passed_s(state, max(ends, default=0.0))


def say_level(state: State, t_s: float, name: str, out: Outbox) -> State:
    """Make the altitude call."""
    plan = state.plan
    match name:
        case "near minimum":
            figures = Figures(difference_ft=NEAR_MINIMUM_FT, altitude_ft=plan.decision_ft)
            out.say(state, t_s, CalloutKind.NEAR_MINIMUM, Priority.PREPARATION, name, figures)
        case "minimum":
            figures = Figures(altitude_ft=plan.minimum_ft)
            out.say(state, t_s, CalloutKind.MINIMUM, Priority.ACTION, name, figures)
        case "altitude?":
            out.say(
                state, t_s, CalloutKind.SAY_POSITION, Priority.PREPARATION, name, Figures(item="altitude")
            )
        case _ if (floor_ft(state, t_s) or 0.0) > (state.target_ft or 0.0):
            # Called for past a fix that a report has put ahead again.
            out.drop(t_s, name, "a floor above it holds")
        case _:
            figures = Figures(altitude_ft=state.target_ft)
            out.say(state, t_s, CalloutKind.LEVEL_OFF, Priority.PREPARATION, name, figures)
    return state.but(asked=state.asked | {name})
