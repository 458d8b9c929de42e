"""The minimum on the way down: called at once when an altitude is read at or near it."""

from assistant.engine.altitudes import NEAR_MINIMUM_FT
from assistant.engine.estimate import FLOOR_SLACK_FT, altitude_reported_ft, floor_ft
from assistant.engine.events import CalloutKind, Figures, PositionReport, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.state import State


def near_minimum(state: State, report: PositionReport, out: Outbox) -> State:
    """An altitude read at or near the minimum is called at once, whatever dead reckoning thought."""
    altitude_ft = altitude_reported_ft(state, report)
    if altitude_ft is None or altitude_ft < state.plan.minimum_ft - FLOOR_SLACK_FT:
        return state
    plan, asked = state.plan, state.asked
    floor = floor_ft(state, report.t_s)
    if floor is not None and floor > plan.minimum_ft + 0.5:
        return state
    if altitude_ft <= plan.decision_ft and "minimum" not in asked:
        out.say(
            state,
            report.t_s,
            CalloutKind.MINIMUM,
            Priority.ACTION,
            "minimum",
            Figures(altitude_ft=plan.minimum_ft),
        )
        return state.but(asked=asked | {"minimum", "near minimum"})
    if altitude_ft <= plan.decision_ft + NEAR_MINIMUM_FT and "near minimum" not in asked:
        figures = Figures(difference_ft=altitude_ft - plan.decision_ft, altitude_ft=plan.decision_ft)
        out.say(state, report.t_s, CalloutKind.NEAR_MINIMUM, Priority.PREPARATION, "near minimum", figures)
        return state.but(asked=asked | {"near minimum"})
    return state
