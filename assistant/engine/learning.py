"""
What a report that is believed adds to what is known: altitude and rate, place, pace.

A place becomes progress along the leg where it tells one; a range alone on an arc tells how far off it the
aircraft is. Who is lost stays so until a radial and a range together lie on a leg. Whether the report can be
true was asked before.
"""

from assistant.engine.descents import altimeter_figures
from assistant.engine.doubting import other_setting
from assistant.engine.established import place_reported, shows_established
from assistant.engine.estimate import (
    ahead_s,
    altitude_reported_ft,
    beside_s,
    point_of,
    spread_s,
)
from assistant.engine.events import CalloutKind, PositionReport, Priority
from assistant.engine.flow import ask_position
from assistant.engine.jumping import held_back
from assistant.engine.outbox import Outbox
from assistant.engine.placing import progress_from
from assistant.engine.plan import Phase
from assistant.engine.relocate import arrival_stage, relocate, take_back
from assistant.engine.state import AltitudeKnown, State
from assistant.nav.geometry import PlanePoint

# Two altitudes nearer in time than this give no rate worth having.
_RATE_AFTER_S = 8.0
_RATE_LIMIT_FPM = 8000.0
# Progress rate from two reports: enough time between them, and not beyond what wind and speed explain. It
# counts by how far apart they are, since two readings are off by as many seconds as reading takes, while
# wind and speed differ from the plan's by a twentieth, mostly.
_PACE_AFTER_S = 20.0
_PACE_LIMITS = (0.75, 1.35)
_PACE_READ_S, _PACE_SHARE = 2.5, 0.05


def take_altitude(state: State, report: PositionReport, out: Outbox) -> State:
    """Know the altitude read and the rate that two show; ask for the altimeter where another setting fits."""
    altitude_ft = altitude_reported_ft(state, report)
    if altitude_ft is None:
        return state
    setting = other_setting(state, report, report.t_s)
    if setting is not None:
        check_altimeter(state, report.t_s, out)
    known = state.altitude
    rate_fpm = known.descent_fpm if known is not None else 0.0
    if known is not None:
        since_s = report.observed_t_s - max(known.t_s, known.read_s)
        if since_s >= _RATE_AFTER_S:
            measured_fpm = (known.altitude_ft - altitude_ft) / since_s * 60.0
            rate_fpm = measured_fpm if abs(measured_fpm) < _RATE_LIMIT_FPM else rate_fpm
            if abs(rate_fpm) < 150.0:
                rate_fpm = 0.0
    if (
        state.target_ft is not None
        and altitude_ft <= state.target_ft + 50.0
        and rate_fpm > 0.0
        and not state.visual
    ):
        rate_fpm = 0.0
    return state.but(
        altitude=AltitudeKnown(
            altitude_ft=altitude_ft, t_s=report.observed_t_s, read_s=report.observed_t_s, descent_fpm=rate_fpm
        ),
        asked=state.asked - {"altitude?"},
    )


def check_altimeter(state: State, t_s: float, out: Outbox) -> None:
    """Ask for the altimeter to be looked at: the altitude read fits another setting."""
    figures = altimeter_figures(state, state.datum)
    out.say(state, t_s, CalloutKind.CHECK_ALTIMETER, Priority.ACTION, "altimeter", figures)


def take_place(state: State, report: PositionReport, out: Outbox, *, anywhere: bool = False) -> State:
    """
    Fix progress by the place reported.

    `anywhere`: the pilot insists, so look for the place in the whole plan.
    """
    heading_deg = report.heading_mag_deg
    state = state.but(heading_mag_deg=heading_deg if heading_deg is not None else state.heading_mag_deg)
    if report.dme_nm is None and report.radial_deg is None:
        return state
    state = take_back(state, report, out)
    if not anywhere and not state.held_back and (held := held_back(state, report)) is not None:
        return held
    was_held_back = state.held_back
    state = state.but(held_back=False)
    lost = state.lost
    if anywhere or (lost and report.dme_nm is not None and report.radial_deg is not None):
        state, lost = relocate(state, report, out)
    point = place_reported(state, report)
    both = point is not None and report.radial_deg is not None and report.dme_nm is not None
    state = state.but(
        seen=(report.observed_t_s, point) if both else state.seen,
        dme_nm=report.dme_nm if report.dme_nm is not None else state.dme_nm,
        dme_s=report.observed_t_s if report.dme_nm is not None else state.dme_s,
        range_before=_range_before(state, report),
        radial_deg=report.radial_deg if report.radial_deg is not None else state.radial_deg,
        asked=state.asked if lost and state.lost else state.asked - {"position"},
    )
    if state.stage.phase is Phase.ARRIVAL:
        return _take_arrival(state, report, point)
    if lost:
        item = "radial" if report.radial_deg is None else "range" if report.dme_nm is None else "position"
        return ask_position(state.but(lost=True, observed_s=None), report.t_s, "lost", out, item=item)
    found = progress_from(state, report, report.observed_t_s)
    fired = frozenset(name for name in state.fired if not name.startswith("exit "))
    before = state
    state = state.but(observed_s=report.observed_t_s, predicted=False, confirmed=None, fired=fired)
    if found is None:
        # It tells no place along the leg: what was unsure of that stays so.
        state = state.but(ahead_s=spread_s(before, report.observed_t_s))
        if state.stage.arc is not None and point is not None:
            # A range alone: how far off the arc it is flown, if not how far along.
            return state.but(point=point, point_s=report.observed_t_s)
        return state
    progress_s, off_nm = found
    established = state.established or shows_established(state, report, progress_s)
    return state.but(
        lost=False,
        established=established,
        rate=_pace(state, progress_s, report),
        ahead_s=ahead_s(before, report, progress_s, was_held_back=was_held_back)
        + beside_s(before, progress_s, off_nm),
        anchor_s=report.observed_t_s,
        anchor_progress_s=progress_s,
        point=point if point is not None else state.point,
        point_s=report.observed_t_s if point is not None else state.point_s,
    )


def _range_before(state: State, report: PositionReport) -> tuple[float, float] | None:
    """The range read before the one that is known once this report is taken in, and when."""
    if report.dme_nm is None or state.dme_nm is None or state.dme_s >= report.observed_t_s:
        return state.range_before
    return state.dme_nm, state.dme_s


def _pace(state: State, progress_s: float, report: PositionReport) -> float:
    """How much faster than planned the stage is being flown, from the last report on it to this one."""
    gone_s = report.observed_t_s - state.anchor_s
    timeline = state.timeline
    if report.groundspeed_kt is not None and timeline is not None:
        planned_kt = max(timeline.at(progress_s).groundspeed_kt, 1.0)
        return min(max(report.groundspeed_kt / planned_kt, _PACE_LIMITS[0]), _PACE_LIMITS[1])
    turn_end_s = 0.0 if timeline is None else timeline.turn_end_s
    if gone_s < _PACE_AFTER_S or state.anchor_progress_s < turn_end_s:
        return state.rate
    measured = min(max((progress_s - state.anchor_progress_s) / gone_s, _PACE_LIMITS[0]), _PACE_LIMITS[1])
    trusted = 1.0 / (1.0 + (_PACE_READ_S / (_PACE_SHARE * gone_s)) ** 2)
    return state.rate + trusted * (measured - state.rate)


def _take_arrival(state: State, report: PositionReport, point: PlanePoint | None) -> State:
    """On the way to the first fix: a straight line from the place reported, at the speed planned."""
    if point is None and state.radial_deg is not None and state.dme_nm is not None:
        point = point_of(state, state.radial_deg, state.dme_nm, state.altitude_ft(report.observed_t_s))
    if point is None:
        return state.but(observed_s=None)
    return state.but(
        arrival=arrival_stage(state, point),
        # A place is known again: the way out that waited for one is open.
        fired=frozenset(name for name in state.fired if not name.startswith("exit ")),
        observed_s=report.observed_t_s,
        anchor_s=report.observed_t_s,
        anchor_progress_s=0.0,
        rate=1.0,
        point=point,
        point_s=report.observed_t_s,
    )
