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

from assistant.engine.altitudes import level_moment, say_level
from assistant.engine.cues import turned_from
from assistant.engine.descents import climbing, descend
from assistant.engine.entering import CALL_S, enter, is_led
from assistant.engine.estimate import SPREAD_BASE_S, floor_ft, surely_passed_s
from assistant.engine.events import CalloutKind, Figures, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.plan import FOREVER_S, Cue, Exit, Phase, When
from assistant.engine.state import State
from assistant.engine.triggers import TimeElapsed
from assistant.nav.arcs import arc_heading
from assistant.nav.geometry import normalize_deg
from assistant.procedure.model import ArcDirection

# Past these ages a place is no longer spoken as fact. By the clock alone (a timed leg) it holds longer.
MAX_AGE_S = 60.0
MAX_AGE_TIMED_S = 240.0
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
# Nearer to the arc than this, the reference heading is right (common practice: half a mile is worth a
# correction; the sets read tenths, so a third is seen).
ARC_OFFSET_NM = 0.3


class Moment(NamedTuple):
    """Something that comes due by itself, and when."""

    t_s: float
    order: int
    what: Cue | Exit | str


def next_moment(state: State) -> Moment | None:
    """What the clock brings next, None when nothing but a report can change anything."""
    if state.ended:
        return None
    moments: list[Moment] = []
    timeline = state.timeline
    if timeline is not None:
        moments.extend(
            Moment(_cue_time(state, cue), 1, cue)
            for cue in state.stage.cues
            if cue.name not in state.fired and holds(state, cue.when)
        )
        moments.extend(
            Moment(
                max(state.time_of(leaving.at_s) - call_before_s(state, leaving), state.since_s), 2, leaving
            )
            for leaving in state.stage.exits
            if leaving.at_s is not None
            and _blocked(leaving) not in state.fired
            and holds(state, leaving.when)
        )
    level = level_moment(state)
    if level is not None:
        moments.append(Moment(level.t_s, 0, level.name))
    if (
        "position" not in state.asked
        and state.observed_s is not None
        and state.stage.phase is not Phase.LANDING
    ):
        silence_s = SILENCE_S.get(state.stage.phase, SILENCE_USUAL_S)
        moments.append(Moment(max(state.observed_s + silence_s, state.since_s), 3, "silence"))
    first = min(moments, key=lambda moment: (moment.t_s, moment.order), default=None)
    return first if first is not None and first.t_s < FOREVER_S else None


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
    room_s = 0.0 if left is None or leaving.at_s is None else (leaving.at_s - left.turn_end_s) / 2.0
    return min(max(room_s, 0.0), CALL_S)


def _cue_time(state: State, cue: Cue) -> float:
    if cue.at_s <= 0.0 and not cue.descends:
        return state.since_s  # a stage's own action is called as it is entered, however early that was
    due_s = surely_passed_s(state, cue.at_s) if cue.descends else state.time_of(cue.at_s)
    return max(due_s, state.since_s)


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
    return state.but(reached_s=max(state.reached_s, to_s))


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
    return state.but(asked=state.asked | {"position"})


def _call(state: State, t_s: float, cue: Cue, out: Outbox) -> State:
    """Call a cue, unless its moment has passed, a later one says more, or the place is too old to be sure."""
    state = state.but(fired=state.fired | {cue.name})
    progress_s = state.progress_s(t_s)
    if progress_s > cue.at_s + cue.window_s * state.rate + SPREAD_BASE_S and not cue.descends:
        out.drop(t_s, cue.name, "its moment had passed")
        return state
    if cue.kind in _BEFORE_MINIMUM and "near minimum" in state.asked:
        out.drop(t_s, cue.name, "the minimum was called")
        return state
    if cue.kind in _OVERTAKEN and _is_overtaken(state, cue, progress_s):
        out.drop(t_s, cue.name, "overtaken by a later one")
        return state
    if cue.needs_position and cue.at_s > 0.0 and state.age_s(t_s) > _max_age_s(state, cue.trigger):
        out.drop(t_s, cue.name, "the last report is too old")
        return ask_position(state, t_s, cue.name, out)
    if cue.kind is CalloutKind.SAY_POSITION and "position" in state.asked:
        out.drop(t_s, cue.name, "a report was asked for already")
        return state
    figures = _as_headed(state, cue)
    if (
        cue.kind is CalloutKind.HEADING
        and state.stage.arc is not None
        and figures.heading_mag_deg is not None
    ):
        figures = replace(figures, heading_mag_deg=_arc_heading_deg(state, t_s, figures))
    if cue.kind in (CalloutKind.DESCEND, CalloutKind.FINAL_DESCENT):
        return descend(state, t_s, cue, figures, out)
    if cue.kind is CalloutKind.MAINTAIN:
        figures = replace(figures, altitude_ft=max(figures.altitude_ft or 0.0, floor_ft(state, t_s) or 0.0))
    out.say(state, t_s, cue.kind, cue.priority, cue.name, figures)
    if cue.kind in (CalloutKind.GO_AROUND, CalloutKind.CLIMB):
        state = climbing(state, t_s, figures)
    return state


def _as_headed(state: State, cue: Cue) -> Figures:
    """A cue's figures; a stage's own turn as it is from the heading that the pilot read out."""
    is_first = cue.at_s <= 0.0 and cue.name == "turn" and state.stage.free_turn
    if not is_first or state.heading_mag_deg is None:
        return cue.figures
    return turned_from(cue.figures, state.heading_mag_deg)


def _max_age_s(state: State, trigger: object) -> float:
    return (
        MAX_AGE_TIMED_S if isinstance(trigger, TimeElapsed) or state.stage.phase is Phase.HOLD else MAX_AGE_S
    )


def _is_overtaken(state: State, cue: Cue, progress_s: float) -> bool:
    return any(
        other.kind is cue.kind
        and cue.at_s < other.at_s <= progress_s
        and other.name not in state.fired
        and holds(state, other.when)
        for other in state.stage.cues
    )


def _arc_heading_deg(state: State, t_s: float, figures: Figures) -> float:
    """The heading of the next piece of an arc, corrected for how far off the arc the last range was."""
    stage = state.stage
    if stage.arc is None or figures.heading_mag_deg is None or figures.radial_deg is None:
        raise ValueError("a heading along an arc has a radial and a heading")
    offset_nm = 0.0
    timeline = state.timeline
    # A range read in the turn on to the arc is not one of the arc.
    on_arc = timeline is not None and state.progress_s(state.dme_s) >= timeline.turn_end_s
    if state.dme_nm is not None and t_s - state.dme_s < MAX_AGE_S and on_arc:
        offset_nm = state.dme_nm - stage.arc.arc_dme_nm
    sign = 1.0 if stage.arc.direction is ArcDirection.CLOCKWISE else -1.0
    middle_deg = normalize_deg(figures.radial_deg + sign * 5.0)
    return arc_heading(
        middle_deg, stage.arc.direction.value, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt, offset_nm
    ).heading_deg


def _leave(state: State, t_s: float, leaving: Exit, out: Outbox) -> State:
    """Take an exit on dead reckoning, unless the last report is too old: then ask for one and wait for it."""
    going_around = leaving.when is When.NOT_VISUAL
    if not going_around and state.age_s(t_s) > _max_age_s(state, leaving.trigger):
        state = ask_position(state, t_s, f"{state.stage.event}: the last report is too old", out)
        return state.but(fired=state.fired | {_blocked(leaving)})
    return enter(state, t_s, leaving.to, out)
