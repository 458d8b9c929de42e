"""
A descent called that nobody has heard yet, and that a report shows to be too soon.

Words wait while the pilot speaks. A range read in the meantime may put the aircraft before the fix again:
then the descent is called anew when that is surely passed.
"""

from dataclasses import replace

from assistant.engine.due import cue_time_s
from assistant.engine.outbox import Outbox
from assistant.engine.state import State


def recall_descent(state: State, t_s: float, unsaid: frozenset[str], out: Outbox) -> State:
    """
    Take back a descent that waits to be said (`unsaid` are the cues of all that does), where it is too soon.

    Nobody obeys what was not said: the altitude is the one called for before. Also where the leg on which it
    was called has been taken back.
    """
    called = state.descent
    if called is None or called.cue not in unsaid:
        return state
    if called.stage_name == state.stage_name:
        cue = next((cue for cue in state.stage.cues if cue.name == called.cue), None)
        if cue is None or cue_time_s(state, cue) <= t_s:
            return state
        state = state.but(target_ft=called.target_ft, fired=state.fired - {called.cue})
    elif not _is_back(state, called.stage_name):
        return state
    out.drop(t_s, called.cue, "a report shows that it would be too soon")
    known = state.altitude
    if known is not None and known.descent_fpm > 0.0:
        # As fast as before the call: what was read since then was not read in its descent.
        fpm = 0.0 if called.altitude is None else called.altitude.descent_fpm
        known = replace(known, descent_fpm=fpm)
    return state.but(altitude=known, descent=None)


def _is_back(state: State, stage_name: str) -> bool:
    index = state.plan.index
    return state.stage_name in index and index[state.stage_name] < index[stage_name]
