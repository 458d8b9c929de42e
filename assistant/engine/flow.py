"""
Time passing: what happens when a cue, an exit or a warning is due.

Everything that the clock brings about has an exact moment, worked out from the state alone (`due`). `advance`
handles those moments in order, each at its own time, so that it makes no difference how often, or how late,
the engine is ticked.

Two rules hold here for all stages. Old knowledge is not spoken as fact: past the limit of age a turn or
descent becomes a request for a report, once. A cue that was overtaken by a later one of its kind is dropped
and noted.
"""

from dataclasses import replace

from assistant.engine.along_arc import arc_heading_deg, is_heading_called, with_heading
from assistant.engine.altitudes import is_minimum_called, say_level
from assistant.engine.compile_final import VISUAL_QUESTION
from assistant.engine.cues import turned_from
from assistant.engine.descents import climbing, descend
from assistant.engine.due import blocked, exit_time, holds, next_moment, waiting
from assistant.engine.entering import enter
from assistant.engine.estimate import SPREAD_BASE_S, floor_ft
from assistant.engine.events import CalloutKind, Figures, Priority
from assistant.engine.joining_arc import joining_figures
from assistant.engine.outbox import Outbox
from assistant.engine.plan import FOREVER_S, Cue, Exit, Phase, When
from assistant.engine.state import State
from assistant.engine.triggers import RadialReached, TimeElapsed, Trigger

# Past these ages a place is no longer spoken as fact. By the clock alone (a timed leg) it holds longer.
MAX_AGE_S = 60.0
MAX_AGE_TIMED_S = 240.0
# The next heading of an arc is better called from a minute and a half ago than not at all: straight on, the
# arc is left for certain.
MAX_AGE_ARC_S = 100.0
# A report this long before the leg begins, read after it was called, is no reading error: a turn is called
# 8 s early at most.
_READ_BEFORE_S = 10.0
# Several cues of these kinds due at once: only the last is news.
_OVERTAKEN = (
    CalloutKind.HEADING,
    CalloutKind.ALTITUDE_DUE,
    CalloutKind.PREPARE,
    CalloutKind.CHECK,
    CalloutKind.DESCEND,
)
# What is no news any more once the minimum is near.
_BEFORE_MINIMUM = (CalloutKind.ALTITUDE_DUE, CalloutKind.VISUAL_DESCENT_POINT)
# Foreseen within this, the question at the minimum leaves time for an answer before its point.
_ASKED_SOON_S = 5.0


def advance(state: State, to_s: float, out: Outbox) -> State:
    """Handle everything that comes due up to a time, in order, each at its own moment."""
    while (moment := next_moment(state)) is not None and moment.t_s <= to_s:
        match moment.what:
            case Cue() as cue:
                state = _call(state, moment.t_s, cue, out)
            case Exit() as leaving:
                state = _leave(state, moment.t_s, leaving, out)
            case "silence":
                state = ask_position(state, moment.t_s, "silence", out)
            case str() as name:
                state = say_level(state, moment.t_s, name, out)
    return state if to_s <= state.reached_s else state.but(reached_s=to_s)


def ask_position(state: State, t_s: float, cue: str, out: Outbox, *, item: str | None = None) -> State:
    """
    Ask for a report, once until the next one comes.

    What tells most on this leg unless `item` says what.
    """
    if "position" not in state.asked:
        if item is None:
            item = "radial" if state.stage.arc is not None else "range"
            item = "position" if state.stage.phase is Phase.ARRIVAL else item
        out.say(state, t_s, CalloutKind.SAY_POSITION, Priority.PREPARATION, cue, Figures(item=item))
        if item == "radial":
            state = state.but(radial_asked_s=t_s)
    return state.but(asked=state.asked | {"position"})


def _call(state: State, t_s: float, cue: Cue, out: Outbox) -> State:
    """Call a cue, unless its moment has passed, a later one says more, or the place is too old to be sure."""
    state = state.but(fired=state.fired | {cue.name})
    progress_s = state.progress_s(t_s)
    if progress_s > cue.at_s + cue.window_s * state.rate + SPREAD_BASE_S and not cue.descends:
        out.drop(t_s, cue.name, "its moment had passed")
        return state
    if (stale := _stale(state, t_s, cue, progress_s)) is not None:
        out.drop(t_s, cue.name, stale)
        return state
    if (unsure := _unsure(state, t_s, cue)) is not None:
        return _ask_first(state, t_s, cue, unsure, out)
    figures = _as_headed(state, cue)
    is_on_it = cue.kind is CalloutKind.HEADING
    if state.stage.arc is not None and (is_on_it or cue.kind is CalloutKind.TURN):
        # Not of what is only prepared: that turn is off the arc.
        if not is_on_it:
            figures = joining_figures(state, t_s, figures)
        elif (heading_deg := arc_heading_deg(state, t_s)) is not None:
            figures = replace(figures, heading_mag_deg=heading_deg)
        if is_on_it and is_heading_called(state, t_s, figures.heading_mag_deg or 0.0):
            out.drop(t_s, cue.name, "that heading was called just now")
            return state
        state = with_heading(state, t_s, figures.heading_mag_deg or 0.0)
    return _speak(state, t_s, cue, figures, out)


def _stale(state: State, t_s: float, cue: Cue, progress_s: float) -> str | None:
    """Why a cue is no news any more, since something else says as much; None where it is."""
    if cue.kind in _BEFORE_MINIMUM and "near minimum" in state.asked:
        return "the minimum was called"
    if cue.name == VISUAL_QUESTION:
        return "it is asked at the minimum" if is_minimum_called(state, by_s=t_s + _ASKED_SOON_S) else None
    if cue.kind in _OVERTAKEN and _is_overtaken(state, cue, progress_s):
        return "overtaken by a later one"
    if cue.kind is CalloutKind.SAY_POSITION and "position" in state.asked:
        return "a report was asked for already"
    return None


def _unsure(state: State, t_s: float, cue: Cue) -> str | None:
    """
    Why the place is not known well enough for a cue; None where it is.

    It is too old, or shows for a descent that the leg was called too soon. The last report, read since then,
    lay well before the leg's beginning: where it leads an aircraft that turned there nobody knows, and dead
    reckoning alone does not bring it past the fix.
    """
    if cue.needs_position and cue.at_s > 0.0 and state.age_s(t_s) > _max_age_s(state, cue.trigger):
        return "the last report is too old"
    if not cue.descends or state.observed_s is None or state.observed_s <= state.entered_s:
        return None
    return "the last report is from before the leg" if state.anchor_progress_s < -_READ_BEFORE_S else None


def _ask_first(state: State, t_s: float, cue: Cue, unsure: str, out: Outbox) -> State:
    """Ask for a report instead of a cue whose place is not sure, for that reason; a descent waits for it."""
    out.drop(t_s, cue.name, unsure)
    if cue.descends:
        state = state.but(fired=state.fired - {cue.name} | {waiting(cue)})
    return ask_position(state, t_s, cue.name, out)


def _speak(state: State, t_s: float, cue: Cue, figures: Figures, out: Outbox) -> State:
    """Say a cue with its figures, and take what it makes the aircraft do for done."""
    if cue.kind in (CalloutKind.DESCEND, CalloutKind.FINAL_DESCENT):
        return descend(state, t_s, cue, figures, out)
    if cue.kind is CalloutKind.MAINTAIN:
        figures = replace(figures, altitude_ft=max(figures.altitude_ft or 0.0, floor_ft(state, t_s) or 0.0))
    out.say(state, t_s, cue.kind, cue.priority, cue.name, figures, until_s=_over_s(state, t_s, cue))
    if cue.kind in (CalloutKind.GO_AROUND, CalloutKind.CLIMB):
        return climbing(state, t_s, figures)
    if cue.kind is CalloutKind.SAY_POSITION and figures.item == "radial":
        return state.but(radial_asked_s=t_s)
    return state.but(asked=state.asked | {"visual"}) if cue.name == VISUAL_QUESTION else state


def _over_s(state: State, t_s: float, cue: Cue) -> float:
    """
    When it is too late to say a cue: what is prepared is not prepared once it has been called.

    Said after the call of its turn, a pilot would take it for the turn after that.
    """
    if cue.kind is not CalloutKind.PREPARE:
        return FOREVER_S
    called_s = [
        exit_time(state, leaving, leaving.at_s)
        for leaving in state.stage.exits
        if leaving.at_s is not None and leaving.trigger == cue.trigger
    ]
    return max(min(called_s, default=FOREVER_S), t_s)


def _as_headed(state: State, cue: Cue) -> Figures:
    """A cue's figures; a stage's own turn as it is from the heading that the pilot read out."""
    is_first = cue.at_s <= 0.0 and cue.name == "turn" and state.stage.free_turn
    if not is_first or state.heading_mag_deg is None:
        return cue.figures
    return turned_from(cue.figures, state.heading_mag_deg)


def _max_age_s(state: State, trigger: object) -> float:
    if state.stage.arc is not None and isinstance(trigger, RadialReached) and not _ends(state, trigger):
        return MAX_AGE_ARC_S
    return (
        MAX_AGE_TIMED_S if isinstance(trigger, TimeElapsed) or state.stage.phase is Phase.HOLD else MAX_AGE_S
    )


def _ends(state: State, trigger: Trigger) -> bool:
    return any(leaving.trigger == trigger for leaving in state.stage.exits)


def _is_overtaken(state: State, cue: Cue, progress_s: float) -> bool:
    return any(
        other.kind is cue.kind
        and cue.at_s < other.at_s <= progress_s
        and other.name not in state.fired
        and holds(state, other.when)
        for other in state.stage.cues
    )


def _leave(state: State, t_s: float, leaving: Exit, out: Outbox) -> State:
    """Take an exit on dead reckoning, unless the last report is too old: then ask for one and wait for it."""
    going_around = leaving.when is When.NOT_VISUAL
    age_s = state.age_s(t_s)
    if isinstance(leaving.trigger, TimeElapsed):
        # It ends by the clock wherever it has led, even of a flight that is lost on it.
        age_s = min(age_s, t_s - state.entered_s)
    if not going_around and age_s > _max_age_s(state, leaving.trigger):
        state = ask_position(state, t_s, f"{state.stage.event}: the last report is too old", out)
        return state.but(fired=state.fired | {blocked(leaving)})
    return enter(state, t_s, leaving.to, out)
