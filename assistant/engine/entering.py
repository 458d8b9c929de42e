"""Coming to another stage: what is kept of what was known, and where its turn begins."""

from assistant.engine.estimate import ahead_carried_s
from assistant.engine.events import StageEntered
from assistant.engine.needle_ahead import foreseen
from assistant.engine.outbox import Outbox
from assistant.engine.plan import Phase, Plan, Racetrack, Stage
from assistant.engine.state import State
from assistant.nav.holding import entry_sector

# A turn begins this long after its call: its words take three or four seconds, those of the turn on to an arc
# five, the pilot two, the roll in two (measured over flights by callouts). A heading alone is three words.
TURN_CALL_S, ARC_CALL_S, HEADING_CALL_S = 8.0, 10.5, 5.0
# The legs of a hold that end over its fix.
_TO_THE_FIX = ("hold_inbound", "hold_offset_inbound", "hold_parallel_return")


def is_led(plan: Plan, name: str) -> bool:
    """Whether a stage is called before its place, so that the aircraft turns there."""
    if name in plan.racetracks:
        return True
    stage = plan.stage(name)
    return stage.turns and stage.phase not in (Phase.FINAL, Phase.LANDING, Phase.MISSED)


def call_s(stage: Stage) -> float:
    """How long before its place a stage's turn is called, s."""
    return TURN_CALL_S if stage.arc is None else ARC_CALL_S


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
    if left.name in _TO_THE_FIX and name == "hold_outbound" and circuits_left:
        circuits_left -= 1
    stage = state.plan.stage(name)
    if name.startswith("hold_entry"):
        circuits_left = None if left.phase is not Phase.ARRIVAL else circuits_left
    predicted = not stated and (state.observed_s is None or state.observed_s < t_s - 1e-6)
    out.add(StageEntered(t_s=t_s, stage=name, predicted=predicted))
    confirmed = None
    if predicted:
        confirmed = state.confirmed if state.predicted else state.without_history()
    progress_s = _entry_progress_s(state, t_s, stage, stated=stated)
    entered = state.but(
        stage_name=name,
        since_s=t_s,
        entered_s=t_s,
        predicted=predicted,
        confirmed=confirmed,
        anchor_s=t_s,
        anchor_progress_s=progress_s,
        rate=1.0,
        ahead_s=ahead_carried_s(state, t_s, stage, progress_s),
        headings=(),
        joining=None if stage.arc is None else foreseen(state, t_s + ARC_CALL_S),
        heading_mag_deg=_heading_from_deg(state, t_s, stage),
        established=state.established and not stage.turns,
        floor_carried_ft=_floor_carried_ft(state, stage),
        visual=state.visual and stage.phase in (Phase.FINAL, Phase.LANDING),
        circuits_left=circuits_left,
        radial_asked_s=None,
        fired=frozenset(),
        asked=state.asked & {"position", "level", "near minimum", "minimum"},
    )
    if stage.phase is Phase.MISSED:
        entered = entered.but(asked=entered.asked - {"near minimum", "minimum"})
    return entered


def _heading_from_deg(state: State, t_s: float, stage: Stage) -> float | None:
    """
    The heading that a stage's first turn begins from, where it may be another than planned.

    Read on the way to the first fix; or that of a cut on which the course was not joined before its end.
    """
    if state.stage.phase is Phase.ARRIVAL:
        return state.heading_mag_deg
    if not stage.free_turn or state.established:
        return None
    ahead = foreseen(state, t_s + TURN_CALL_S)
    return None if ahead is None else ahead.heading_mag_deg


def _floor_carried_ft(state: State, stage: Stage) -> float:
    """An altitude that waits for "established" waits on, into the next stage, until it is said or seen."""
    if state.established or stage.phase in (Phase.HOLD, Phase.MISSED):
        return 0.0
    return max(state.floor_carried_ft, state.stage.floor_until_established_ft or 0.0)


def _entry_progress_s(state: State, t_s: float, stage: Stage, *, stated: bool) -> float:
    """
    Where on the new timeline the flight is. A turn begins a little after its call; a leg straight on goes on.

    A missed approach flown early starts on the final's own timeline.
    """
    if stage.timeline is None:
        return 0.0
    if stage.name in ("landing", "missed_early"):
        return state.progress_s(t_s)
    if stage.turns or state.timeline is None:
        return -call_s(stage) if not stated and is_led(state.plan, stage.name) else 0.0
    leaving = next((leaving for leaving in state.stage.exits if leaving.to == stage.name), None)
    if leaving is None or leaving.at_s is None:
        return 0.0
    # By the clock alone it ends here and now, even where reckoning was ahead of what the last range allows.
    is_shown = state.observed_s is not None and state.observed_s >= t_s - 1e-6
    return max(state.progress_s(t_s) - leaving.at_s, 0.0) if is_shown else 0.0


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
