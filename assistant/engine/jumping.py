"""A report that jumps along its leg by more than is explained is believed only in part."""

from assistant.engine.estimate import DME_READ_NM, MOMENT_S, pace_share
from assistant.engine.events import PositionReport
from assistant.engine.placing import progress_from
from assistant.engine.state import State

# A jump ahead by this much more than is explained, since a report no older than this, is held back.
HELD_FROM_NM, HELD_AGE_S = 0.5, 60.0


def held_back(state: State, report: PositionReport) -> State | None:
    """
    The state after a report that jumped ahead by more than reading and wind explain: moved by these alone.

    A range misread by a mile still lies on the leg, and believed it would bring a descent a mile early. The
    next report settles it: who is truly there reads the same once more, and is believed then. None where
    nothing is to be held back: in a turn, on an arc, and where dead reckoning is no better than a reading.
    """
    timeline, t_s = state.timeline, report.observed_t_s
    if (
        state.stage.arc is not None
        or timeline is None
        or report.fix is not None
        or report.groundspeed_kt is not None
    ):
        return None
    reckoned_s, age_s = state.progress_s(t_s), state.age_s(t_s)
    if report.dme_nm is None or state.lost or age_s > HELD_AGE_S or reckoned_s < timeline.turn_end_s:
        return None
    found = progress_from(state, report, t_s)
    if found is None:
        return None
    speed_nm_s = max(timeline.at(reckoned_s).groundspeed_kt, 30.0) / 3600.0
    explained_s = pace_share(state) * age_s + DME_READ_NM / speed_nm_s + MOMENT_S
    jumped_s = found[0] - reckoned_s
    if (jumped_s - explained_s) * speed_nm_s < HELD_FROM_NM:
        return None
    return state.but(
        held_back=True,
        observed_s=t_s,
        anchor_s=t_s,
        anchor_progress_s=reckoned_s + explained_s,
        ahead_s=state.ahead_s + explained_s,
        asked=state.asked - {"position"},
    )
