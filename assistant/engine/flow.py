"""
Time passing: which cue, exit or warning is due next, and what happens when it is.

Everything that the clock brings about has an exact moment, worked out from the state alone. `advance` handles
those moments in order, each at its own time, so that it makes no difference how often, or how late, the
engine is ticked.

Three rules hold here for all stages. Old knowledge is not spoken as fact: past the limit of age a turn or
descent becomes a request for a report, once. A descent that only dead reckoning has reached is called late by
the spread, never early. A cue that was overtaken by a later one of its kind is dropped and noted.
"""

from dataclasses import replace
from typing import NamedTuple

from assistant.engine.along_arc import arc_heading_deg, is_heading_called, with_heading
from assistant.engine.altitudes import is_minimum_called, level_moment, say_level
from assistant.engine.compile_final import VISUAL_QUESTION
from assistant.engine.cues import FOLLOWS_S, turned_from
from assistant.engine.descents import climbing, descend
from assistant.engine.entering import ARC_CALL_S, TURN_CALL_S, call_s, enter, is_led
from assistant.engine.estimate import (
    SPREAD_BASE_S,
    floor_ft,
    obeyed_after_s,
    soonest_s,
    surely_passed_s,
)
from assistant.engine.events import CalloutKind, Figures, Priority
from assistant.engine.joining_arc import joining_figures
from assistant.engine.needle_ahead import turn_begins_s
from assistant.engine.outbox import Outbox
from assistant.engine.plan import FOREVER_S, Cue, Exit, Phase, Stage, When
from assistant.engine.state import State
from assistant.engine.triggers import RadialReached, TimeElapsed, Trigger

# Past these ages a place is no longer spoken as fact. By the clock alone (a timed leg) it holds longer.
MAX_AGE_S = 60.0
MAX_AGE_TIMED_S = 240.0
# The next heading of an arc is better called from a minute and a half ago than not at all: straight on, the
# arc is left for certain.
MAX_AGE_ARC_S = 100.0
# A turn on to an arc so soon after another one is called so much earlier.
ARC_FROM_CUT_S, ARC_CUT_OVER_S, ARC_FROM_TURN_S = 6.5, 45.0, 1.5
# And this much sooner even where its place is known: from outside, the heading called leads on to the arc.
_RATHER_OUTSIDE_S = 2.0
# A report this long before the leg begins, read after it was called, is no reading error: a turn is called
# 8 s early at most.
_READ_BEFORE_S = 10.0
# How long a pilot may be silent before being asked for a report, once.
SILENCE_S = {Phase.FINAL: 40.0, Phase.HOLD: 100.0}
SILENCE_USUAL_S = 75.0
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


class Moment(NamedTuple):
    """Something that comes due by itself, and when."""

    t_s: float
    what: Cue | Exit | str


_NEVER = Moment(FOREVER_S, "")


def next_moment(state: State) -> Moment | None:
    """What the clock brings next, None when nothing but a report can change anything."""
    if state.ended:
        return None
    stage = state.stage
    first = _NEVER if stage.timeline is None else _first_place(state, stage)
    level = level_moment(state)
    # Of two at one moment a level comes first, a silence last.
    if level is not None and level.t_s <= first.t_s:
        first = Moment(level.t_s, level.name)
    if "position" not in state.asked and state.observed_s is not None and stage.phase is not Phase.LANDING:
        silence_s = max(state.observed_s + SILENCE_S.get(stage.phase, SILENCE_USUAL_S), state.since_s)
        if silence_s < first.t_s:
            first = Moment(silence_s, "silence")
    return first if first.t_s < FOREVER_S else None


def _first_place(state: State, stage: Stage) -> Moment:
    """The first cue or exit that dead reckoning comes to; of two at one time the cue."""
    first = _NEVER
    for cue in stage.cues:
        if cue.name not in state.fired and not _waits(state, cue) and holds(state, cue.when):
            due_s = _cue_time(state, cue)
            if due_s < first.t_s:
                first = Moment(due_s, cue)
    for leaving in stage.exits:
        if leaving.at_s is not None and _blocked(leaving) not in state.fired and holds(state, leaving.when):
            due_s = _exit_time(state, leaving, leaving.at_s)
            if due_s < first.t_s:
                first = Moment(due_s, leaving)
    return first


def holds(state: State, when: When) -> bool:
    """Whether a condition of the plan is true."""
    match when:
        case When.ALWAYS:
            return True
        case When.STAYING:
            return state.circuits_left != 0
        case When.LEAVING:
            return state.circuits_left == 0
        case When.ESTABLISHED:
            return state.established
        case When.NOT_ESTABLISHED:
            return not state.established
        case When.RELEASED:
            return state.established or state.floor_carried_ft == 0.0
        case When.NOT_VISUAL:
            return not state.visual


def call_before_s(state: State, leaving: Exit) -> float:
    """
    How long before its place an exit is called: where a turn begins, so long that the aircraft turns there.

    Not where the place itself binds: at the missed approach point and where the descent to the minimum
    begins.
    """
    if not is_led(state.plan, leaving.to):
        return 0.0
    left = state.stage.timeline
    # A leg that is nearly all turn has no room for it.
    straight_s = 0.0 if left is None or leaving.at_s is None else leaving.at_s - left.turn_end_s
    room_s = straight_s / 2.0
    led_s = TURN_CALL_S if leaving.to in state.plan.racetracks else call_s(state.plan.stage(leaving.to))
    if _leads_to_arc(state, leaving):
        # An arc turned on to late is overshot, whatever is flown on it: the turn before may end in this one,
        # and who has just come out of that one still cuts to the needle and has farther to turn.
        from_cut_s = 0.0
        if state.stage.turns and not state.established:
            from_cut_s = ARC_FROM_CUT_S if straight_s < ARC_CUT_OVER_S else ARC_FROM_TURN_S
        room_s, led_s = straight_s + from_cut_s, led_s + from_cut_s
    return min(max(room_s, 0.0), led_s)


def _cue_time(state: State, cue: Cue) -> float:
    if cue.at_s <= 0.0 and not cue.descends:
        return state.since_s  # a stage's own action is called as it is entered, however early that was
    if cue.follows:
        return _after(state, cue)
    if not cue.descends:
        return max(state.time_of(cue.at_s), state.since_s)
    return max(surely_passed_s(state, cue.at_s, obeyed_after_s=obeyed_after_s(cue.kind)), state.since_s)


def _after(state: State, cue: Cue) -> float:
    """When a cue is due that follows another one: called, or waiting for a report."""
    before = next((one for one in state.stage.cues if one.name == cue.follows), None)
    called_s = FOREVER_S if before is None else _cue_time(state, before)
    own_s = max(state.time_of(cue.at_s), state.since_s)
    return own_s if called_s == FOREVER_S else max(called_s + FOLLOWS_S, own_s)


def _exit_time(state: State, leaving: Exit, at_s: float) -> float:
    """When an exit is taken by the clock: at its place, called before it where a turn begins there."""
    passing_s = max(state.time_of(at_s), soonest_s(state, leaving.trigger, at_s))
    if _leads_to_arc(state, leaving) and (begins_s := turn_begins_s(state, leaving)) is not None:
        return max(begins_s - ARC_CALL_S - _RATHER_OUTSIDE_S, state.since_s)
    return max(passing_s - call_before_s(state, leaving), state.since_s)


def _leads_to_arc(state: State, leaving: Exit) -> bool:
    return leaving.to not in state.plan.racetracks and state.plan.stage(leaving.to).arc is not None


def _waits(state: State, cue: Cue) -> bool:
    """Whether a descent waits for a report, the last one having been too old when it was due."""
    return cue.descends and _waiting(cue) in state.fired


def _waiting(cue: Cue) -> str:
    # Named as a blocked exit is: the next report opens both.
    return f"exit {cue.name}"


def _blocked(leaving: Exit) -> str:
    return f"exit {leaving.to}"


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
        state = state.but(fired=state.fired - {cue.name} | {_waiting(cue)})
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
        _exit_time(state, leaving, leaving.at_s)
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
        return state.but(fired=state.fired | {_blocked(leaving)})
    return enter(state, t_s, leaving.to, out)
