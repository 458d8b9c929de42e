"""
What the clock brings next, and when: the exact moment of each cue, exit or silence, from the state alone.

An exit is called before its place where a turn begins there. A descent that only dead reckoning has reached
is due late by its spread, never early.
"""

from typing import NamedTuple

from assistant.engine.altitudes import level_moment
from assistant.engine.cues import FOLLOWS_S
from assistant.engine.entering import ARC_CALL_S, TURN_CALL_S, call_s, is_led
from assistant.engine.estimate import obeyed_after_s, soonest_s, surely_passed_s
from assistant.engine.needle_ahead import turn_begins_s
from assistant.engine.plan import FOREVER_S, Cue, Exit, Phase, Stage, When
from assistant.engine.state import State

# A turn on to an arc so soon after another one is called so much earlier.
ARC_FROM_CUT_S, ARC_CUT_OVER_S, ARC_FROM_TURN_S = 6.5, 45.0, 1.5
# And this much sooner even where its place is known: from outside, the heading called leads on to the arc.
_RATHER_OUTSIDE_S = 2.0
# "Say again range" is answered within this (common practice, no source).
_ANSWERED_WITHIN_S = 15.0
# How long a pilot may be silent before being asked for a report, once.
SILENCE_S = {Phase.FINAL: 40.0, Phase.HOLD: 100.0}
SILENCE_USUAL_S = 75.0


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
            due_s = cue_time_s(state, cue)
            if due_s < first.t_s:
                first = Moment(due_s, cue)
    for leaving in stage.exits:
        if leaving.at_s is not None and blocked(leaving) not in state.fired and holds(state, leaving.when):
            due_s = exit_time(state, leaving, leaving.at_s)
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


def cue_time_s(state: State, cue: Cue) -> float:
    """When a cue of the stage in hand is due: a descent once its place is surely passed."""
    if cue.at_s <= 0.0 and not cue.descends:
        return state.since_s  # a stage's own action is called as it is entered, however early that was
    if cue.follows:
        return _after(state, cue)
    if not cue.descends:
        return max(state.time_of(cue.at_s), state.since_s)
    passed_s = surely_passed_s(state, cue.at_s, obeyed_after_s=obeyed_after_s(cue.kind))
    return max(passed_s, _answered_s(state), state.since_s)


def _answered_s(state: State) -> float:
    """
    By when a range or radial that was challenged is said again: until then the place is in doubt.

    No descent is called meanwhile, and no hold is left: said again, the reading would be looked for on a leg
    that the aircraft is not on.
    """
    if state.doubt is None or state.doubt.item == "altitude":
        return float("-inf")
    return state.doubt.report.t_s + _ANSWERED_WITHIN_S


def _after(state: State, cue: Cue) -> float:
    """When a cue is due that follows another one: called, or waiting for a report."""
    before = next((one for one in state.stage.cues if one.name == cue.follows), None)
    called_s = FOREVER_S if before is None else cue_time_s(state, before)
    own_s = max(state.time_of(cue.at_s), state.since_s)
    return own_s if called_s == FOREVER_S else max(called_s + FOLLOWS_S, own_s)


def exit_time(state: State, leaving: Exit, at_s: float) -> float:
    """When an exit is taken by the clock: at its place, called before it where a turn begins there."""
    passing_s = max(state.time_of(at_s), soonest_s(state, leaving.trigger, at_s))
    if _leads_to_arc(state, leaving) and (begins_s := turn_begins_s(state, leaving)) is not None:
        return max(begins_s - ARC_CALL_S - _RATHER_OUTSIDE_S, state.since_s)
    called_s = max(passing_s - call_before_s(state, leaving), state.since_s)
    return max(called_s, _answered_s(state)) if state.stage.phase is Phase.HOLD else called_s


def _leads_to_arc(state: State, leaving: Exit) -> bool:
    return leaving.to not in state.plan.racetracks and state.plan.stage(leaving.to).arc is not None


def _waits(state: State, cue: Cue) -> bool:
    """Whether a descent waits for a report, the last one having been too old when it was due."""
    return cue.descends and waiting(cue) in state.fired


def waiting(cue: Cue) -> str:
    """How a descent that waits for a report stands among the fired: as a blocked exit, opened by a report."""
    return f"exit {cue.name}"


def blocked(leaving: Exit) -> str:
    """How an exit that waits for a report stands among the fired."""
    return f"exit {leaving.to}"
