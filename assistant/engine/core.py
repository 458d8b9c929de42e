"""
The engine: `step(state, event)`, and `Engine`, which holds the state between calls.

Theory. The engine is a function from a state and an event to a state and outputs. Time comes in with the
events; between them nothing happens that could not be worked out later, so `wake_at_s` only says when it
would be good to ask. Every event first brings the state up to its own time (`flow.advance`), then is handled
by its kind, then whatever it made due at once is called. Validation comes before change: a refused report
leaves everything but the doubt as it was.

What is left out: words (that is `language`), the order of speaking and the pilot's prompting (that is
`dialogue`), and anything that would need to know the clock.
"""

from dataclasses import dataclass, replace

from assistant.engine.advice import height_due_ft
from assistant.engine.answers import answer, next_event
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import WindAtLevel
from assistant.engine.descents import qfe_hpa
from assistant.engine.due import next_moment
from assistant.engine.estimate import floor_ft
from assistant.engine.events import (
    CalloutKind,
    ConditionsGiven,
    Datum,
    EngineInput,
    EngineOutput,
    Figures,
    NotUnderstood,
    PositionReport,
    PositionSample,
    Priority,
    Request,
    Statement,
    Tick,
)
from assistant.engine.flow import MAX_AGE_S, advance
from assistant.engine.outbox import Outbox, as_flown, datum_at
from assistant.engine.plan import Phase, Plan, PlanError
from assistant.engine.reports import take_report
from assistant.engine.state import State
from assistant.engine.statements import take_statement
from assistant.nav.altimetry import qnh_from_qfe_hpa
from assistant.nav.geometry import radial_dme_from_position, slant_nm_from_ground

# A QFE given and the one that the QNH gives may differ by rounding of both; more is worth a word.
_QFE_SLACK_HPA = 1.5


def begin(plan: Plan) -> State:
    """The state at the start of a session: nothing known, the altimeter on the datum of the first level."""
    hold = plan.procedure.hold
    first = hold.minimum.datum if hold is not None else plan.procedure.legs[0].altitude.datum
    datum = Datum.STANDARD if first is Datum.STANDARD else plan.conditions.datum
    return State(plan=plan, stage_name=plan.first, datum=datum)


def step(
    state: State, event: EngineInput, unsaid: frozenset[str] = frozenset()
) -> tuple[State, tuple[EngineOutput, ...]]:
    """
    Handle one event; `unsaid` are the cues of callouts that still wait to be said.

    Events must come in order of `t_s`; ValueError otherwise, with nothing changed.
    """
    if event.t_s < state.reached_s - 1e-9:
        raise ValueError(f"an event at {event.t_s:.3f} s comes after {state.reached_s:.3f} s was reached")
    out = Outbox()
    state = advance(state, event.t_s, out)
    match event:
        case PositionReport():
            state = take_report(state, event, out, unsaid=unsaid)
        case PositionSample():
            state = take_report(state, as_report(state, event), out, quiet=True, unsaid=unsaid)
        case Statement():
            state = take_statement(state, event, out)
        case Request():
            answer(state, event, out)
        case ConditionsGiven():
            state = _take_conditions(state, event, out)
        case NotUnderstood():
            out.say(state, event.t_s, CalloutKind.SAY_AGAIN, Priority.ANSWER, "not understood")
        case Tick():
            return state, tuple(out.outputs)
    state = advance(state, event.t_s, out)
    return state, tuple(out.outputs)


def as_report(state: State, sample: PositionSample) -> PositionReport:
    """A feed's sample as what the pilot would read: magnetic radial, slant range, altitude on QNH."""
    navaid = state.plan.procedure.navaid
    polar = radial_dme_from_position(
        navaid.latitude_deg,
        navaid.longitude_deg,
        navaid.declination_deg,
        sample.latitude_deg,
        sample.longitude_deg,
    )
    above_ft = max(sample.altitude_ft - navaid.elevation_ft, 0.0)
    return PositionReport(
        t_s=sample.t_s,
        observed_t_s=sample.observed_t_s,
        radial_deg=polar.radial_deg,
        dme_nm=slant_nm_from_ground(polar.ground_nm, above_ft),
        indicated_ft=sample.altitude_ft,
        datum=Datum.QNH,
        heading_mag_deg=(sample.track_true_deg - navaid.declination_deg) % 360.0,
        groundspeed_kt=sample.groundspeed_kt,
    )


def _take_conditions(state: State, given: ConditionsGiven, out: Outbox) -> State:
    """New wind, setting or temperature: the plan is compiled again, the flight keeps its place in it."""
    conditions = state.plan.conditions
    if given.wind_from_mag_deg is not None and given.wind_kt is not None:
        wind = WindAtLevel(wind_from_mag_deg=given.wind_from_mag_deg, wind_kt=given.wind_kt)
        conditions = replace(conditions, wind=(wind,))
    qnh_hpa = given.qnh_hpa
    if given.qfe_hpa is not None and qnh_hpa is None and abs(given.qfe_hpa - qfe_hpa(state)) > _QFE_SLACK_HPA:
        qnh_hpa = qnh_from_qfe_hpa(given.qfe_hpa, state.plan.procedure.qfe_elevation_ft)
    if qnh_hpa is not None:
        conditions = replace(conditions, qnh_hpa=qnh_hpa)
    if given.temperature_c is not None:
        conditions = replace(conditions, temperature_c=given.temperature_c)
    datum = given.datum if given.datum is not None else state.datum
    if given.datum in (Datum.QNH, Datum.QFE):
        conditions = replace(conditions, datum=given.datum)
    try:
        plan = compile_plan(state.plan.procedure, conditions)
    except PlanError:
        figures = Figures(item="conditions", wind_from_mag_deg=given.wind_from_mag_deg, wind_kt=given.wind_kt)
        out.say(state, given.t_s, CalloutKind.UNKNOWN, Priority.ANSWER, "conditions", figures)
        return state
    state = _carried_over(state.but(datum=datum, since_s=given.t_s), plan, given.t_s)
    confirmed = Figures(
        item="wind"
        if given.wind_kt is not None
        else "temperature"
        if given.temperature_c is not None
        else "altimeter",
        datum=given.datum,
        qnh_hpa=given.qnh_hpa,
        qfe_hpa=given.qfe_hpa,
        wind_from_mag_deg=given.wind_from_mag_deg,
        wind_kt=given.wind_kt,
        temperature_c=given.temperature_c,
    )
    out.say(state, given.t_s, CalloutKind.CONFIRM, Priority.CONFIRMATION, "conditions", confirmed)
    return state


def _carried_over(state: State, plan: Plan, t_s: float) -> State:
    """The state in a plan compiled again: the same share of the stage flown, the same things called."""
    before = state.stage.timeline
    after = plan.stage(state.stage_name).timeline
    progress_s = state.progress_s(t_s)
    if before is not None and after is not None:
        progress_s *= after.duration_s / before.duration_s
    return state.but(
        plan=plan,
        anchor_s=t_s,
        anchor_progress_s=progress_s,
        confirmed=None,
        before_report=state.without_history(),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """
    What a screen shows at a glance.

    The next event, and the altitudes due and not to be gone below, as the needle reads.
    """

    stage: str
    event: str
    dme_nm: float | None
    radial_deg: float | None
    time_to_s: float | None
    due_ft: float | None
    floor_ft: float | None
    datum: Datum


class Engine:
    """An engine that holds its state: what `dialogue` and the benchmarks drive."""

    def __init__(self, plan: Plan) -> None:
        self.state = begin(plan)

    def handle(self, event: EngineInput, unsaid: frozenset[str] = frozenset()) -> tuple[EngineOutput, ...]:
        """Handle one event; see `step`."""
        self.state, outputs = step(self.state, event, unsaid)
        return outputs

    @property
    def wake_at_s(self) -> float | None:
        """When the next thing is due by the clock alone; None while only the pilot can bring something."""
        moment = next_moment(self.state)
        return None if moment is None else moment.t_s

    def glance(self, now_s: float) -> Glance:
        """The state of the flight for a screen."""
        state = self.state
        figures = next_event(state)
        leaving = next((leaving for leaving in state.stage.exits if leaving.at_s is not None), None)
        fresh = state.age_s(now_s) <= MAX_AGE_S
        to_go_s = None
        if leaving is not None and leaving.at_s is not None and fresh:
            to_go_s = max(state.time_of(leaving.at_s) - now_s, 0.0)
        due_ft: float | None = state.target_ft if state.target_ft is not None else state.stage.target_ft
        place = state.place(now_s)
        if state.stage.phase is Phase.FINAL and place is not None and fresh:
            due_ft = height_due_ft(state, place.dme_nm, now_s) or due_ft
        floor = floor_ft(state, now_s)

        def shown(altitude_ft: float | None) -> float | None:
            if altitude_ft is None:
                return None
            return as_flown(state, Figures(altitude_ft=altitude_ft)).indicated_ft

        return Glance(
            stage=state.stage.title,
            event="" if figures is None or figures.event is None else figures.event,
            dme_nm=None if figures is None else figures.dme_nm,
            radial_deg=None if figures is None else figures.radial_deg,
            time_to_s=to_go_s,
            due_ft=shown(max(due_ft, floor or 0.0)) if due_ft is not None else None,
            floor_ft=shown(floor),
            datum=datum_at(state, due_ft or floor or 0.0),
        )
