"""
What a pilot states.

Established, leaving, visual, going around, disregard. Each moves the flight on, or back.
"""

from dataclasses import replace

from assistant.engine.advice import rate_to_threshold_fpm, runway_figures
from assistant.engine.compile_missed import EARLY
from assistant.engine.cues import PREPARE_LONGEST_S
from assistant.engine.descents import begun, climbing
from assistant.engine.entering import enter
from assistant.engine.estimate import floor_ft
from assistant.engine.events import CalloutKind, Figures, Priority, Said, StageEntered, Statement
from assistant.engine.outbox import Outbox
from assistant.engine.plan import HOLD_ENTRY, Phase, Stage
from assistant.engine.reports import take_report
from assistant.engine.state import State

# How far ahead in the plan a statement may move the flight: the pilot may have turned before we called it.
_AHEAD = 2
# A turn of less than this may be over before it was called.
_SHORT_TURN_S = 35.0
# Before this share of a turn can have been flown since its call, "established" means the leg before it.
_TURN_SHARE = 0.5
_BEFORE_FINAL = (Phase.ARRIVAL, Phase.HOLD)


def take_statement(  # noqa: C901, PLR0912 - one case a statement is the table
    state: State, statement: Statement, out: Outbox
) -> State:
    """Handle one statement."""
    t_s, said = statement.t_s, statement.said
    if said is Said.DISREGARD:
        return _disregard(state, t_s, out)
    if said in (Said.AFFIRM, Said.NEGATIVE):
        return _settle_doubt(state, statement, out)
    state = state.but(since_s=t_s, before_report=state.without_history())
    match said:
        case Said.ENTERING_HOLD:
            return _enter_hold(state, t_s, out)
        case Said.LEAVING | Said.ONE_MORE:
            return _circuits(state, t_s, said, out)
        case Said.ESTABLISHED | Said.ON_ARC | Said.INBOUND | Said.OUTBOUND | Said.TURNING:
            return _joined(state, t_s, said, out)
        case Said.VISUAL:
            return _visual(state, t_s, out)
        case Said.NOT_VISUAL:
            return _not_visual(state, t_s, out)
        case Said.GOING_AROUND:
            return _go_around(state, t_s, out)
        case Said.LANDED:
            _confirm(state, t_s, "landed", out)
            return state.but(ended=True)
        case Said.NEEDLE_MOVING:
            return state.but(fired=state.fired | {"needle"})
        case Said.DESCENDING:
            return begun(state, t_s)
        case Said.LEVEL:
            known = state.altitude
            return state.but(altitude=None if known is None else replace(known, descent_fpm=0.0))
        case _:
            return state


def _confirm(state: State, t_s: float, item: str, out: Outbox) -> None:
    out.say(state, t_s, CalloutKind.CONFIRM, Priority.CONFIRMATION, item, Figures(item=item))


def _disregard(state: State, t_s: float, out: Outbox) -> State:
    """The state before the last report, run on to now; what that brings again was called already."""
    before = state.before_report
    _confirm(state, t_s, "disregarded", out)
    if before is None:
        return state.but(doubt=None)
    if before.stage_name != state.stage_name:
        out.add(StageEntered(t_s=t_s, stage=before.stage_name))
    called = state.fired if before.stage_name == state.stage_name else frozenset()
    return replace(
        before,
        fired=before.fired | called,
        asked=before.asked | state.asked,
        reached_s=state.reached_s,
        since_s=t_s,
    )


def _settle_doubt(state: State, statement: Statement, out: Outbox) -> State:
    """Yes or no: to a challenge first, else to the question whether the runway is seen."""
    yes = statement.said is Said.AFFIRM
    if state.doubt is not None:
        if not yes:
            return state.but(doubt=None, since_s=statement.t_s)
        # The reading was true when it was made; what counts now is that it was meant.
        again = replace(state.doubt.report, t_s=statement.t_s)
        return take_report(state, again, out)
    if state.is_sight_asked:
        said = Said.VISUAL if yes else Said.NOT_VISUAL
        return take_statement(state, Statement(t_s=statement.t_s, said=said), out)
    return state


def _enter_hold(state: State, t_s: float, out: Outbox) -> State:
    if state.plan.procedure.hold is None or state.stage.phase not in (Phase.ARRIVAL, Phase.MISSED):
        _confirm(state, t_s, "roger", out)
        return state
    return enter(state.but(observed_s=t_s), t_s, HOLD_ENTRY, out)


def _circuits(state: State, t_s: float, said: Said, out: Outbox) -> State:
    """How long to stay in the hold. On the way to it, "leaving" means not to enter it."""
    if state.stage.phase not in _BEFORE_FINAL or state.plan.procedure.hold is None:
        _confirm(state, t_s, "roger", out)
        return state
    leaving = said is Said.LEAVING
    _confirm(state, t_s, "leaving at the fix" if leaving else "one more circuit", out)
    return state.but(circuits_left=0 if leaving else 1)


def _joined(state: State, t_s: float, said: Said, out: Outbox) -> State:
    """The pilot is on a leg: this one, or one just ahead whose turn was begun before it was called."""
    stage = state.stage
    on_this_leg = said is Said.ESTABLISHED and (stage.arc or stage.course) and not _is_near_end(state, t_s)
    if said in stage.joined_by or on_this_leg:
        return state if _is_of_leg_before(state, t_s, said) else _established(state, said)
    if _is_turn_just_begun(state, t_s, said):
        return state
    for ahead in _stages_ahead(state)[: 1 if said is Said.ESTABLISHED and stage.course else _AHEAD]:
        if said in ahead.joined_by:
            state = enter(state.but(observed_s=t_s, lost=False), t_s, ahead.name, out)
            return _established(state, said)
    return state


def _is_near_end(state: State, t_s: float) -> bool:
    """
    Whether the stage is about to end: then "established" may mean the next course, turned on to early.

    Only where that begins with a short turn: a long one cannot have been flown by then, and straight on no
    fix is passed by being established. Nor is an arc meant, which has words of its own.
    """
    ends = [leaving for leaving in state.stage.exits if leaving.at_s is not None]
    if not ends:
        return False
    first = min(ends, key=lambda leaving: leaving.at_s or 0.0)
    if first.to in state.plan.racetracks or (first.at_s or 0.0) - state.progress_s(t_s) >= PREPARE_LONGEST_S:
        return False
    ahead = state.plan.stage(first.to)
    if ahead.arc is not None:
        return False
    return ahead.turns and ahead.timeline is not None and ahead.timeline.turn_end_s < _SHORT_TURN_S


def _is_of_leg_before(state: State, t_s: float, said: Said) -> bool:
    """
    Whether "established" comes so soon after a turn was called that it can only mean the leg left by it.

    Taken for the leg to come, it would release a descent in the turn. Half a turn is left to pilots who
    began before the call.
    """
    timeline = state.timeline
    if said is not Said.ESTABLISHED or not state.stage.turns or timeline is None:
        return False
    return t_s < state.entered_s + _TURN_SHARE * timeline.turn_end_s


def _is_turn_just_begun(state: State, t_s: float, said: Said) -> bool:
    """Whether "established" comes in the first half of a leg that is all turn: it means the one before."""
    stage, timeline = state.stage, state.timeline
    if said is not Said.ESTABLISHED or not stage.turns or stage.course is not None or timeline is None:
        return False
    return t_s < state.entered_s + _TURN_SHARE * timeline.duration_s


def _established(state: State, said: Said) -> State:
    if said in (Said.ESTABLISHED, Said.ON_ARC):
        return state.but(established=True)
    return state


def _stages_ahead(state: State) -> list[Stage]:
    """The next stages along the exits, the main way first; from the hold, the other half of the circuit."""
    found: list[Stage] = []
    name = state.stage_name
    if state.stage.phase is Phase.ARRIVAL:
        name = state.plan.after_hold
        found.append(state.plan.stage(name))
    for _ in range(_AHEAD - len(found)):
        exits = state.plan.stage(name).exits
        if not exits or exits[0].to == HOLD_ENTRY:
            break
        name = exits[0].to
        found.append(state.plan.stage(name))
    return found


def _visual(state: State, t_s: float, out: Outbox) -> State:
    """Visual references: on final the landing; before it, noted, since the floors still hold there."""
    if state.stage.phase is Phase.LANDING:
        return state
    if state.stage.phase is not Phase.FINAL:
        _confirm(state, t_s, "visual", out)
        return state
    altitude_ft = state.altitude_ft(t_s)
    rate_fpm = None if altitude_ft is None else rate_to_threshold_fpm(state, altitude_ft, t_s)
    state = enter(state.but(visual=True), t_s, "landing", out, stated=True)
    figures = replace(runway_figures(state, t_s), descent_fpm=rate_fpm)
    out.say(state, t_s, CalloutKind.LAND, Priority.ACTION, "visual", figures)
    return state


def _not_visual(state: State, t_s: float, out: Outbox) -> State:
    """
    References lost below the minimum.

    Go around. Above it: nothing changes until the missed approach point.
    """
    if state.stage.phase is Phase.LANDING:
        return _go_around(state, t_s, out)
    if state.stage.phase is Phase.FINAL:
        # Not below the minimum, nor below a step-down that still binds.
        level_ft = max(state.plan.minimum_ft, floor_ft(state, t_s) or 0.0)
        figures = Figures(altitude_ft=level_ft, item="until the missed approach point")
        out.say(state, t_s, CalloutKind.MAINTAIN, Priority.ACTION, "not visual", figures)
    return state


def _go_around(state: State, t_s: float, out: Outbox) -> State:
    """
    The missed approach: at once from the missed approach point on, on the final track to that point before
    it.

    Not from the hold or before it, where there is nothing to go around from.
    """
    stage = state.stage
    if stage.phase is Phase.MISSED:
        return state
    if stage.phase in _BEFORE_FINAL:
        _confirm(state, t_s, "not on the approach", out)
        return state
    plan = state.plan
    first = plan.stage(plan.missed)
    map_s = plan.stage(EARLY).exits[0].at_s
    on_final = stage.phase in (Phase.FINAL, Phase.LANDING)
    before_point = not on_final or (map_s is not None and state.progress_s(t_s) < map_s)
    early = before_point and on_final and first.turns
    state = enter(state, t_s, EARLY if early else plan.missed, out, stated=True)
    going = state.stage.cues[0]
    # Said here, and not by the stage's own cue, since the event that the cue names has not come.
    figures = replace(going.figures, event=None)
    out.say(state, t_s, going.kind, going.priority, going.name, figures)
    return climbing(state.but(fired=state.fired | {going.name}), t_s, figures)
