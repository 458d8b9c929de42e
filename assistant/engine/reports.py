"""
A report of the pilot (or a sample of a feed): watched, judged, taken in, answered.

The order matters. The floor is watched first, from the report itself, before anything is judged or queued.
Then plausibility: a report that cannot be true changes nothing and is asked for again; said twice it is
believed. Only then does it become knowledge, and may end the stage. What it says about the flying is answered
last.
"""

from dataclasses import replace
from math import degrees

from assistant.engine.advice import advise
from assistant.engine.compile_final import due_cue_name
from assistant.engine.descents import faster
from assistant.engine.doubting import FAST_FPM, doubtful_item, doubtful_place, other_setting
from assistant.engine.entering import enter
from assistant.engine.established import shows_established
from assistant.engine.estimate import (
    CONVERTED_SLACK_FT,
    FLOOR_SLACK_FT,
    altitude_reported_ft,
    floor_ft,
    shown_ft,
)
from assistant.engine.events import (
    HEARD_SURELY,
    Callout,
    CalloutKind,
    Figures,
    PositionReport,
    Priority,
    ReportRefused,
)
from assistant.engine.flow import advance
from assistant.engine.learning import check_altimeter, take_altitude, take_place
from assistant.engine.minimum import near_minimum
from assistant.engine.outbox import Outbox
from assistant.engine.passing import passed_exit
from assistant.engine.placing import progress_from
from assistant.engine.plan import Phase
from assistant.engine.radial_again import radial_again
from assistant.engine.state import Doubt, State
from assistant.engine.unsaid import recall
from assistant.nav.geometry import difference_deg

# A reading within this of the value challenged confirms it.
_AGREES_NM, _AGREES_DEG, _AGREES_FT = 1.0, 5.0, 300.0
_FAR_NM = 10.0
_FIELD = {"range": "dme_nm", "radial": "radial_deg", "altitude": "indicated_ft"}
# A minimum safe altitude clears obstacles by this much (ICAO Doc 8168 Vol I): nobody comes in lower.
_FAR_TOO_LOW_FT = 1000.0
# An altitude due, answered so near a whole mile, is that mile's own.
_SAME_MILE_NM = 0.4


def take_report(
    state: State,
    report: PositionReport,
    out: Outbox,
    *,
    quiet: bool = False,
    unsaid: frozenset[str] = frozenset(),
) -> State:
    """
    Handle one report; `quiet` for a feed's samples, which come by themselves and need no answer.

    `unsaid` are the cues called that still wait to be said.
    """
    t_s, begun = report.t_s, len(out.outputs)
    report = with_fix(state, report)
    reckoned, before = state, state.without_history()
    unsure, is_meant = _unsure_item(report) or _far_too_low(state, report), _agrees(state, report)
    # What was not heard surely, or cannot well be, is asked back first: "flight level one eight", heard of
    # one eight four, would have a pilot told to climb to a floor that lies far below.
    warned = (unsure is None or is_meant) and _watch_floor(state, report, out)
    impossible = doubtful_item(state, report, report.observed_t_s)
    doubtful = impossible or unsure
    believed_late = doubtful is not None and is_meant
    if doubtful is not None and not believed_late:
        return _refuse(state, report, doubtful, out)
    doubt = state.doubt
    if believed_late or doubt is None or getattr(report, _FIELD[doubt.item]) is not None:
        # Settled. A doubted radial is not settled by a report without one.
        doubt = None
    state = state.but(since_s=t_s, doubt=doubt, before_report=before)
    state = take_altitude(state, report, out)
    state = take_place(state, report, out, anywhere=believed_late and impossible is not None)
    state = _exits(state, report, out)
    state = recall(state, reckoned, t_s, unsaid, out)
    if state.stage.phase is Phase.FINAL and not state.visual:
        state = near_minimum(state, report, out)
    if state.stage.phase is Phase.FINAL and report.dme_nm is not None and report.indicated_ft is not None:
        # The answer says what is due here: no need to say it again for the whole mile beside it.
        state = state.but(fired=state.fired | _miles_answered(report.dme_nm))
    state = radial_again(state, report, out)
    # What the report made due is called before it is answered; a descent called just now needs no height
    # check.
    state = advance(state, t_s, out)
    if quiet or warned:
        return state
    hurried = faster(state, report, out)
    return advise(state, report, out) if hurried is state and not _is_turning_point(out, begun) else hurried


def _miles_answered(dme_nm: float) -> frozenset[str]:
    mile = round(dme_nm)
    return frozenset({due_cue_name(mile)}) if abs(dme_nm - mile) <= _SAME_MILE_NM else frozenset()


def _is_turning_point(out: Outbox, begun: int) -> bool:
    """
    Whether this report brought an action: then that is what to hear, not a correction of what is over.

    `begun` outputs were there before it: what time alone brought is no work of the report.
    """
    brought = out.outputs[begun:]
    return any(isinstance(output, Callout) and output.priority <= Priority.ACTION for output in brought)


def with_fix(state: State, report: PositionReport) -> PositionReport:
    """A fix named in a report stands for its radial and range, as far as the pilot did not read them."""
    if report.fix is None:
        return report
    try:
        fix = state.plan.procedure.fix(report.fix)
    except LookupError:
        return report
    if fix.radial_deg is None:
        return replace(report, dme_nm=report.dme_nm)
    return replace(
        report,
        radial_deg=fix.radial_deg if report.radial_deg is None else report.radial_deg,
        dme_nm=fix.dme_nm if report.dme_nm is None else report.dme_nm,
    )


def _watch_floor(state: State, report: PositionReport, out: Outbox) -> bool:
    """Warn of an altitude below the floor in force; the report's own place decides which floor that is."""
    altitude_ft = altitude_reported_ft(state, report)
    if altitude_ft is None:
        return False
    highest = floor_ft(state, report.observed_t_s, progress_s=float("-inf"))
    if highest is None or altitude_ft >= highest:
        # Above every floor of the stage: no need to ask which of them holds here.
        return False
    found = None
    if report.dme_nm is not None and doubtful_place(state, report, report.observed_t_s) is None:
        # A place that cannot be true is no reason to take a lower floor for the one that holds.
        found = progress_from(state, report, report.observed_t_s)
    progress_s = found[0] if found is not None else None
    if progress_s is not None and shows_established(state, report, progress_s):
        state = state.but(established=True)
    floor = floor_ft(state, report.observed_t_s, progress_s=progress_s)
    if floor is None:
        return False
    datum = report.datum if report.datum is not None else state.datum
    as_printed = (datum, round(shown_ft(state, floor, datum))) in state.plan.published
    if altitude_ft >= floor - (FLOOR_SLACK_FT if as_printed else CONVERTED_SLACK_FT):
        return False
    out.say(state, report.t_s, CalloutKind.BELOW_FLOOR, Priority.SAFETY, "floor", Figures(altitude_ft=floor))
    return True


def _agrees(state: State, report: PositionReport) -> bool:
    """Whether a report says again what was challenged, as far as the aircraft can have flown since."""
    doubt = state.doubt
    if doubt is None or getattr(report, _FIELD[doubt.item]) is None:
        return False
    flown_s = report.observed_t_s - doubt.report.observed_t_s
    flown_nm = (state.stage.tas_kt + state.stage.wind_kt) * flown_s / 3600.0
    around_deg = degrees(flown_nm / max(doubt.report.dme_nm or report.dme_nm or _FAR_NM, 1.0))
    for now, then, slack in (
        (report.dme_nm, doubt.report.dme_nm, _AGREES_NM + flown_nm),
        (report.radial_deg, doubt.report.radial_deg, _AGREES_DEG + around_deg),
        (report.indicated_ft, doubt.report.indicated_ft, _AGREES_FT + FAST_FPM / 60.0 * flown_s),
    ):
        if now is None or then is None:
            continue
        apart = abs(difference_deg(then, now)) if now is report.radial_deg else abs(now - then)
        if apart > slack:
            return False
    return True


def _unsure_item(report: PositionReport) -> str | None:
    """What to ask back in a report that was heard too badly to be taken; None in one heard well."""
    if report.confidence >= HEARD_SURELY:
        return None
    return next((item for item, field in _FIELD.items() if getattr(report, field) is not None), None)


def _far_too_low(state: State, report: PositionReport) -> str | None:
    """The first altitude of a flight, where it lies so far below the floor that it cannot well be."""
    altitude_ft = altitude_reported_ft(state, report)
    if altitude_ft is None or state.altitude is not None:
        return None
    least_ft = floor_ft(state, report.observed_t_s)
    return "altitude" if least_ft is not None and altitude_ft < least_ft - _FAR_TOO_LOW_FT else None


def _refuse(state: State, report: PositionReport, item: str, out: Outbox) -> State:
    """Challenge: say again, with what was heard; the state stays as it was but for the doubt."""
    t_s = report.t_s
    unsure = _unsure_item(report) is not None
    reason = f"{item} was not heard surely" if unsure else f"{item} does not fit what is known"
    out.add(ReportRefused(t_s=t_s, report=report, reason=reason))
    setting = other_setting(state, report, t_s) if item == "altitude" and not unsure else None
    if setting is not None:
        check_altimeter(state, t_s, out)
    else:
        asked = set(_FIELD) if unsure else {item}
        indicated_ft = report.indicated_ft if "altitude" in asked else None
        heard = Figures(
            item=item,
            dme_nm=report.dme_nm if "range" in asked else None,
            radial_deg=report.radial_deg if "radial" in asked else None,
            indicated_ft=indicated_ft,
            datum=(report.datum or state.datum) if indicated_ft is not None else None,
        )
        out.say(state, t_s, CalloutKind.CHALLENGE, Priority.ACTION, "challenge", heard)
    return state.but(doubt=Doubt(report=report, item=item), since_s=t_s)


def _exits(state: State, report: PositionReport, out: Outbox) -> State:
    """Leave every stage whose end this report shows to be passed."""
    for _ in range(4):
        left = passed_exit(state, report)
        if left is None:
            return state
        state = enter(
            state.but(observed_s=max(state.observed_s or report.t_s, report.t_s)), report.t_s, left, out
        )
        # What was believed only in part stays so: on the next leg it would be taken whole.
        if not state.stage.turns and not state.held_back:
            state = take_place(state, report, out)
    return state
