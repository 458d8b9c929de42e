"""The radial that was asked for and not read: asked for again."""

from assistant.engine.compile_legs import RADIAL_QUESTION
from assistant.engine.events import CalloutKind, Figures, PositionReport, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.state import State

# The question is out so long after it was decided, at the least.
_ASKING_S = 2.0


def radial_again(state: State, report: PositionReport, out: Outbox) -> State:
    """
    The radial asked for once more, of a pilot who answered without it: a descent, or an arc, may wait for it.

    A report begun before the question was out is no answer to it; who is lost is asked elsewhere.
    """
    asked_s = state.radial_asked_s
    if asked_s is None or state.lost:
        return state
    if report.radial_deg is not None or state.established:
        return state.but(radial_asked_s=None)
    if report.dme_nm is None or report.observed_t_s < asked_s + _ASKING_S:
        return state
    figures = Figures(item="radial")
    out.say(state, report.t_s, CalloutKind.SAY_POSITION, Priority.PREPARATION, RADIAL_QUESTION, figures)
    return state.but(radial_asked_s=None)
