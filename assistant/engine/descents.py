"""Calling a descent: altimeter first, the rate where it is worth saying, the height lost from then on."""

from dataclasses import replace

from assistant.engine.estimate import floor_ft
from assistant.engine.events import CalloutKind, Datum, Figures, PositionReport, Priority
from assistant.engine.outbox import Outbox, datum_at
from assistant.engine.plan import Cue, Phase
from assistant.engine.state import Descent, State
from assistant.nav.altimetry import qfe_from_qnh_hpa
from assistant.procedure.model import Category

# Loss of height assumed after a descent was called, until two altitudes show the real one (common practice).
_LIGHT_FPM, _FAST_FPM = 700.0, 1500.0
# No aircraft is told to go down faster than this at low level (common practice, no source).
_LIGHT_MOST_FPM, _FAST_MOST_FPM = 1500.0, 3000.0
_REACTION_S = 3.0
# "Descending" is said as it begins, so soon after that was expected.
_BEGUN_WITHIN_S = 20.0
# From the call to the descent: words, hand, and the aircraft's own inertia. And the most that may be asked.
BEGINS_AFTER_S, MOST_SHARE = 8.0, 1.25
# With less time or height to lose than this, or at nearly the rate wanted, another call would be in the way.
_WORTH_HURRYING_S, _WORTH_HURRYING_FT, _HURRY_FROM_SHARE = 20.0, 150.0, 1.25
# Below this share of the usual rate any descent is enough, and the number would only be chatter.
_RATE_WORTH_SAYING = 1.0


def descend(state: State, t_s: float, cue: Cue, figures: Figures, out: Outbox) -> State:
    """
    Call a descent, the altimeter setting first where it changes.

    Nothing to call for an aircraft that is there.
    """
    target_ft = figures.altitude_ft
    if target_ft is None:
        raise ValueError("a descent has an altitude to descend to")
    called = Descent(state.stage_name, cue.name, state.target_ft, state.altitude)
    state = _set_altimeter(state, t_s, cue, out)
    altitude_ft = state.altitude_ft(t_s)
    if cue.kind is CalloutKind.DESCEND and altitude_ft is not None and altitude_ft < target_ft + 50.0:
        out.drop(t_s, cue.name, "at that altitude already")
        return state.but(target_ft=target_ft)
    if cue.kind is CalloutKind.FINAL_DESCENT and state.progress_s(t_s) > cue.at_s + cue.window_s:
        figures = replace(figures, event=None)
    if cue.kind is CalloutKind.DESCEND and altitude_ft is not None:
        figures = replace(figures, descent_fpm=_rate_wanted_fpm(state, t_s, altitude_ft - target_ft))
    if cue.kind is CalloutKind.FINAL_DESCENT and figures.descent_fpm is not None:
        figures = replace(figures, descent_fpm=_begun_late_fpm(state, t_s, cue, figures.descent_fpm))
    out.say(state, t_s, cue.kind, cue.priority, cue.name, figures)
    light = state.plan.conditions.category in (Category.A, Category.B)
    rate_fpm = figures.descent_fpm or (_LIGHT_FPM if light else _FAST_FPM)
    known = state.altitude
    if known is not None:
        now_ft = known.at_ft(t_s, state.target_ft)
        known = replace(known, altitude_ft=now_ft, t_s=t_s + _REACTION_S, descent_fpm=rate_fpm)
    if cue.kind is CalloutKind.FINAL_DESCENT:
        # One descent to the minimum, the floors on the way watched as it goes.
        target_ft = state.plan.minimum_ft
    return state.but(target_ft=target_ft, altitude=known, descent=called, asked=state.asked - {"level"})


def faster(state: State, report: PositionReport, out: Outbox) -> State:
    """
    Call the rate of a descent that will not be over at the final approach fix, by an altitude read in it.

    Once a leg. It was enough when the descent was called, or seemed so from where the aircraft was thought.
    """
    t_s, known, target_ft = report.observed_t_s, state.altitude, state.target_ft
    if state.stage.phase is not Phase.INTERMEDIATE or "faster" in state.asked or report.indicated_ft is None:
        return state
    altitude_ft = state.altitude_ft(t_s)
    if known is None or altitude_ft is None or target_ft is None or target_ft < (floor_ft(state, t_s) or 0.0):
        return state
    ends_s = [leaving.at_s for leaving in state.stage.exits if leaving.at_s is not None]
    left_s = state.time_of(min(ends_s)) - t_s if ends_s else 0.0
    if left_s < _WORTH_HURRYING_S or altitude_ft < target_ft + _WORTH_HURRYING_FT:
        return state
    wanted_fpm = _rate_wanted_fpm(state, t_s, altitude_ft - target_ft)
    if wanted_fpm is None or wanted_fpm <= _HURRY_FROM_SHARE * known.descent_fpm:
        return state
    figures = Figures(altitude_ft=target_ft, descent_fpm=wanted_fpm)
    out.say(state, report.t_s, CalloutKind.DESCEND, Priority.ACTION, "faster", figures)
    return state.but(asked=state.asked | {"faster"}, altitude=replace(known, descent_fpm=wanted_fpm))


def begun(state: State, t_s: float) -> State:
    """
    The descent begins now, as the pilot says: until here the altitude was kept.

    Said long after the call it tells nothing: height may have been lost since.
    """
    known = state.altitude
    if known is None or known.descent_fpm <= 0.0 or known.read_s > known.t_s:
        return state
    if not -_REACTION_S <= t_s - known.t_s <= _BEGUN_WITHIN_S:
        return state
    return state.but(altitude=replace(known, t_s=t_s))


def _begun_late_fpm(state: State, t_s: float, cue: Cue, planned_fpm: float) -> float:
    """
    The rate that meets the slope at the minimum from where the descent will truly begin.

    That is after the words and the pilot's hand, and later still where the fix was surely passed only then.
    """
    at_fix_ft = state.plan.altitude_due_ft(state.plan.profile[-1][0]) if state.plan.profile else None
    if at_fix_ft is None:
        return planned_fpm
    sloping_s = (at_fix_ft - state.plan.decision_ft) / planned_fpm * 60.0
    late_s = max(state.progress_s(t_s) - cue.at_s, 0.0) / state.rate + BEGINS_AFTER_S
    if sloping_s <= 2.0 * late_s:
        return planned_fpm
    return min(planned_fpm * sloping_s / (sloping_s - late_s), MOST_SHARE * planned_fpm)


def _rate_wanted_fpm(state: State, t_s: float, to_lose_ft: float) -> float | None:
    """
    The rate that loses a height before the stage ends, with a fifth of the time to spare; None where any rate
    does.

    Where none would, the most that the aircraft can take: the height left at the fix is named there.
    """
    ends_s = [leaving.at_s for leaving in state.stage.exits if leaving.at_s is not None]
    if not ends_s:
        return None
    left_min = ((min(ends_s) - state.progress_s(t_s)) / state.rate - BEGINS_AFTER_S) / 60.0
    rate_fpm = to_lose_ft / max(0.8 * left_min, 0.1)
    light = state.plan.conditions.category in (Category.A, Category.B)
    usual_fpm, most_fpm = (_LIGHT_FPM, _LIGHT_MOST_FPM) if light else (_FAST_FPM, _FAST_MOST_FPM)
    return min(rate_fpm, most_fpm) if rate_fpm >= _RATE_WORTH_SAYING * usual_fpm else None


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
    known = state.altitude
    if known is not None:
        now_ft = known.at_ft(t_s, state.target_ft)
        known = replace(known, altitude_ft=now_ft, t_s=t_s, descent_fpm=0.0)
    return state.but(target_ft=figures.altitude_ft, altitude=known)
