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
from assistant.engine.estimate import FAST_FPM, SPREAD_BASE_S, floor_ft, surely_passed_s
from assistant.engine.events import CalloutKind, Datum, Figures, Priority, StageEntered
from assistant.engine.outbox import Outbox, datum_at
from assistant.engine.plan import FOREVER_S, Cue, Exit, Phase, Racetrack, Stage, When
from assistant.engine.state import State
from assistant.engine.triggers import TimeElapsed
from assistant.nav.altimetry import qfe_from_qnh_hpa
from assistant.nav.arcs import arc_heading
from assistant.nav.geometry import normalize_deg
from assistant.nav.holding import entry_sector
from assistant.procedure.model import ArcDirection, Category

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
# Loss of height assumed after a descent was called, until two altitudes show the real one (common practice).
_LIGHT_FPM, _FAST_FPM = 700.0, 1500.0
_REACTION_S = 3.0
# Below this any usual descent is enough, and the number would only be chatter.
_RATE_WORTH_SAYING_FPM = 1000.0
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
            Moment(max(state.time_of(leaving.at_s), state.since_s), 2, leaving)
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
        case When.NOT_VISUAL:
            return not state.visual


def _cue_time(state: State, cue: Cue) -> float:
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
    figures = cue.figures
    if (
        cue.kind is CalloutKind.HEADING
        and state.stage.arc is not None
        and figures.heading_mag_deg is not None
    ):
        figures = replace(figures, heading_mag_deg=_arc_heading_deg(state, t_s, figures))
    if cue.kind in (CalloutKind.DESCEND, CalloutKind.FINAL_DESCENT):
        return _descend(state, t_s, cue, figures, out)
    if cue.kind is CalloutKind.MAINTAIN:
        figures = replace(figures, altitude_ft=max(figures.altitude_ft or 0.0, floor_ft(state, t_s) or 0.0))
    out.say(state, t_s, cue.kind, cue.priority, cue.name, figures)
    if cue.kind in (CalloutKind.GO_AROUND, CalloutKind.CLIMB):
        state = climbing(state, t_s, figures)
    return state


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
    if state.dme_nm is not None and t_s - state.dme_s < MAX_AGE_S:
        offset_nm = state.dme_nm - stage.arc.arc_dme_nm
    sign = 1.0 if stage.arc.direction is ArcDirection.CLOCKWISE else -1.0
    middle_deg = normalize_deg(figures.radial_deg + sign * 5.0)
    return arc_heading(
        middle_deg, stage.arc.direction.value, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt, offset_nm
    ).heading_deg


def _descend(state: State, t_s: float, cue: Cue, figures: Figures, out: Outbox) -> State:
    """
    Call a descent, the altimeter setting first where it changes.

    Nothing to call for an aircraft that is there.
    """
    target_ft = figures.altitude_ft
    if target_ft is None:
        raise ValueError("a descent has an altitude to descend to")
    state = _set_altimeter(state, t_s, cue, out)
    altitude_ft = state.altitude_ft(t_s)
    if cue.kind is CalloutKind.DESCEND and altitude_ft is not None and altitude_ft < target_ft + 50.0:
        out.drop(t_s, cue.name, "at that altitude already")
        return state.but(target_ft=target_ft)
    if cue.kind is CalloutKind.FINAL_DESCENT and state.progress_s(t_s) > cue.at_s + cue.window_s:
        figures = replace(figures, event=None)
    if cue.kind is CalloutKind.DESCEND and altitude_ft is not None:
        figures = replace(figures, descent_fpm=_rate_wanted_fpm(state, t_s, altitude_ft - target_ft))
    out.say(state, t_s, cue.kind, cue.priority, cue.name, figures)
    light = state.plan.conditions.category in (Category.A, Category.B)
    rate_fpm = figures.descent_fpm or (_LIGHT_FPM if light else _FAST_FPM)
    known = state.altitude
    if known is not None and altitude_ft is not None:
        known = replace(known, altitude_ft=altitude_ft, t_s=t_s + _REACTION_S, descent_fpm=rate_fpm)
    if cue.kind is CalloutKind.FINAL_DESCENT:
        # One descent to the minimum, the floors on the way watched as it goes.
        target_ft = state.plan.minimum_ft
    return state.but(target_ft=target_ft, altitude=known, asked=state.asked - {"level"})


def _rate_wanted_fpm(state: State, t_s: float, to_lose_ft: float) -> float | None:
    """
    The rate that loses a height before the stage ends, with a fifth of the time to spare; None where any rate
    does.

    Also None where no rate would: then the pilot knows better what the aircraft can do.
    """
    ends_s = [leaving.at_s for leaving in state.stage.exits if leaving.at_s is not None]
    if not ends_s:
        return None
    left_min = (min(ends_s) - state.progress_s(t_s)) / state.rate / 60.0
    rate_fpm = to_lose_ft / max(0.8 * left_min, 0.1)
    return rate_fpm if _RATE_WORTH_SAYING_FPM <= rate_fpm <= FAST_FPM else None


def _set_altimeter(state: State, t_s: float, cue: Cue, out: Outbox) -> State:
    """From standard to the day's setting when the descent goes below the transition altitude."""
    conditions = state.plan.conditions
    if state.datum is not Datum.STANDARD or datum_at(state, cue.figures.altitude_ft or 0.0) is Datum.STANDARD:
        return state
    out.say(
        state,
        t_s,
        CalloutKind.SET_ALTIMETER,
        Priority.ACTION,
        "altimeter",
        altimeter_figures(state, conditions.datum),
    )
    return state.but(datum=conditions.datum)


def altimeter_figures(state: State, datum: Datum) -> Figures:
    """The setting of an altimeter on a datum today."""
    conditions = state.plan.conditions
    if datum is Datum.QFE:
        return Figures(datum=datum, qfe_hpa=qfe_hpa(state))
    return Figures(datum=datum, qnh_hpa=conditions.qnh_hpa if datum is Datum.QNH else 1013.25)


def qfe_hpa(state: State) -> float:
    """Today's QFE at the procedure's QFE datum."""
    return qfe_from_qnh_hpa(state.plan.conditions.qnh_hpa, state.plan.procedure.qfe_elevation_ft)


def climbing(state: State, t_s: float, figures: Figures) -> State:
    """From here on the aircraft climbs, at a rate nobody was told."""
    altitude_ft = state.altitude_ft(t_s)
    known = state.altitude
    if known is not None and altitude_ft is not None:
        known = replace(known, altitude_ft=altitude_ft, t_s=t_s, descent_fpm=0.0)
    return state.but(target_ft=figures.altitude_ft, altitude=known)


def _leave(state: State, t_s: float, leaving: Exit, out: Outbox) -> State:
    """Take an exit on dead reckoning, unless the last report is too old: then ask for one and wait for it."""
    going_around = leaving.when is When.NOT_VISUAL
    if not going_around and state.age_s(t_s) > _max_age_s(state, leaving.trigger):
        state = ask_position(state, t_s, f"{state.stage.event}: the last report is too old", out)
        return state.but(fired=state.fired | {_blocked(leaving)})
    return enter(state, t_s, leaving.to, out)


def enter(state: State, t_s: float, name: str, out: Outbox, *, stated: bool = False) -> State:
    """
    Come to another stage. It is predicted where neither the pilot said so (`stated`) nor a report has shown
    it.
    """
    left = state.stage
    racetrack = state.plan.racetracks.get(name)
    if racetrack is not None:
        name = entry_name(racetrack, _heading_at_fix_deg(state, t_s, racetrack))
    circuits_left = state.circuits_left
    if left.name in ("hold_inbound", "hold_parallel_return") and name == "hold_outbound" and circuits_left:
        circuits_left -= 1
    stage = state.plan.stage(name)
    if name.startswith("hold_entry"):
        circuits_left = None if left.phase is not Phase.ARRIVAL else circuits_left
    predicted = not stated and (state.observed_s is None or state.observed_s < t_s - 1e-6)
    out.add(StageEntered(t_s=t_s, stage=name, predicted=predicted))
    confirmed = None
    if predicted:
        confirmed = state.confirmed if state.predicted else state.without_history()
    entered = state.but(
        stage_name=name,
        since_s=t_s,
        entered_s=t_s,
        predicted=predicted,
        confirmed=confirmed,
        anchor_s=t_s,
        anchor_progress_s=_entry_progress_s(state, t_s, stage),
        rate=1.0,
        established=state.established and not stage.turns,
        floor_carried_ft=_floor_carried_ft(state, stage),
        visual=state.visual and stage.phase in (Phase.FINAL, Phase.LANDING),
        circuits_left=circuits_left,
        fired=frozenset(),
        asked=state.asked & {"position", "level", "near minimum", "minimum"},
    )
    if stage.phase is Phase.MISSED:
        entered = entered.but(asked=entered.asked - {"near minimum", "minimum"})
    return entered


def _floor_carried_ft(state: State, stage: Stage) -> float:
    """An altitude that waits for "established" waits on, into the next stage, until it is said or seen."""
    if state.established or stage.phase in (Phase.HOLD, Phase.MISSED):
        return 0.0
    return max(state.floor_carried_ft, state.stage.floor_until_established_ft or 0.0)


def _entry_progress_s(state: State, t_s: float, stage: Stage) -> float:
    """
    Where on the new timeline the flight is. A turn begins when it is called; a leg straight on goes on.

    A missed approach flown early starts on the final's own timeline.
    """
    if stage.timeline is None:
        return 0.0
    if stage.name in ("landing", "missed_early"):
        return state.progress_s(t_s)
    if stage.turns or state.timeline is None:
        return 0.0
    leaving = next((leaving for leaving in state.stage.exits if leaving.to == stage.name), None)
    if leaving is None or leaving.at_s is None:
        return 0.0
    return max(state.progress_s(t_s) - leaving.at_s, 0.0)


def _heading_at_fix_deg(state: State, t_s: float, racetrack: Racetrack) -> float:
    """
    The heading with which the hold's fix is crossed.

    Read by the pilot on the arrival, else the nominal track's.
    """
    if state.heading_mag_deg is not None and state.stage.phase is Phase.ARRIVAL:
        return state.heading_mag_deg
    place = state.place(t_s)
    if place is not None:
        return place.track_deg
    # Nothing is known of the heading: the direct entry's is as good as any.
    return racetrack.inbound_course_mag_deg


def entry_name(racetrack: Racetrack, heading_deg: float) -> str:
    """The stage of the way into a racetrack, by the heading at the fix and what the chart permits."""
    found = entry_sector(heading_deg, racetrack.inbound_course_mag_deg, racetrack.turn.value)
    permitted = {sector.value: name for sector, name in racetrack.entries}
    if found.sector in permitted:
        return permitted[found.sector]
    # Within five degrees of the boundary the sector next door serves as well; else what there is.
    return permitted.get(found.also or "", racetrack.entries[0][1])
