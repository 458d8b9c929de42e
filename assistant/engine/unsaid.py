"""
What was called, has been heard by nobody yet, and is shown by a report to be too soon.

Words wait while the pilot speaks. A range read in the meantime may put the aircraft before the fix again:
then a descent, or a floor let go, is called anew when the fix is surely passed, and of a leg that is taken
back nothing is said.
"""

from dataclasses import replace

from assistant.engine.due import cue_time_s
from assistant.engine.outbox import Outbox
from assistant.engine.state import State


def recall(state: State, reckoned: State, t_s: float, unsaid: frozenset[str], out: Outbox) -> State:
    """
    Take back what waits to be said (`unsaid` are the cues of all that does) where it is too soon.

    `reckoned` is what was known before the report. Nobody obeys what was not said: the altitude is the one
    called for before.
    """
    left = reckoned.stage
    confirmed = reckoned.confirmed
    if confirmed is not None and state.stage_name == confirmed.stage_name != left.name:
        early = {cue.name for cue in left.cues if cue.name in unsaid}
    else:
        waiting = [cue for cue in state.stage.cues if cue.descends and cue.name in unsaid & state.fired]
        early = {cue.name for cue in waiting if cue_time_s(state, cue) > t_s}
        state = state.but(fired=state.fired - early)
    for name in sorted(early):
        out.drop(t_s, name, "a report shows that it would be too soon")
    called = state.descent
    if called is None or called.cue not in early or called.stage_name not in (left.name, state.stage_name):
        return state
    known = state.altitude
    if known is not None and known.descent_fpm > 0.0:
        # As fast as before the call: what was read since then was not read in its descent.
        fpm = 0.0 if called.altitude is None else called.altitude.descent_fpm
        known = replace(known, descent_fpm=fpm)
    return state.but(target_ft=called.target_ft, altitude=known, descent=None)
