"""Questions of the pilot, answered from the plan and the state; they change nothing."""

from assistant.engine.advice import height_due_ft, rate_to_threshold_fpm
from assistant.engine.cues import next_figures
from assistant.engine.descents import altimeter_figures
from assistant.engine.estimate import floor_ft, sector_floor_ft
from assistant.engine.events import Asked, CalloutKind, Figures, Priority, Request
from assistant.engine.flow import MAX_AGE_S
from assistant.engine.outbox import Outbox
from assistant.engine.plan import Phase
from assistant.engine.state import State


def answer(state: State, request: Request, out: Outbox) -> None:  # noqa: C901, PLR0912 - one case a question is the table
    """Answer one question; what is not known is said to be not known, never guessed."""
    t_s = request.t_s

    def reply(kind: CalloutKind, figures: Figures | None) -> None:
        if figures is None:
            unknown = Figures(item=request.asked.value.replace("_", " "))
            out.say(state, t_s, CalloutKind.UNKNOWN, Priority.ANSWER, request.asked.value, unknown)
        else:
            out.say(state, t_s, kind, Priority.ANSWER, request.asked.value, figures)

    match request.asked:
        case Asked.NEXT:
            reply(CalloutKind.NEXT, next_event(state))
        case Asked.SAY_AGAIN:
            # What was said last is known where it is said: `dialogue` answers this one.
            pass
        case Asked.MINIMUM:
            reply(CalloutKind.MINIMUM_IS, Figures(altitude_ft=state.plan.minimum_ft))
        case Asked.FLOOR:
            floor = floor_ft(state, t_s)
            reply(CalloutKind.FLOOR, None if floor is None else Figures(altitude_ft=floor))
        case Asked.ALTITUDE_DUE:
            reply(CalloutKind.ALTITUDE_DUE, _altitude_due(state, request))
        case Asked.HEADING:
            reply(CalloutKind.HEADING, _heading(state, t_s))
        case Asked.RATE:
            reply(CalloutKind.RATE, _rate(state, t_s))
        case Asked.MISSED_APPROACH:
            reply(CalloutKind.TEXT, Figures(text=state.plan.procedure.missed_approach.text))
        case Asked.SECTOR_ALTITUDE:
            sector = sector_floor_ft(state)
            reply(CalloutKind.SECTOR_ALTITUDE, None if sector is None else Figures(altitude_ft=sector))
        case Asked.POSITION:
            reply(CalloutKind.POSITION, _position(state, t_s))
        case Asked.ALTIMETER:
            reply(CalloutKind.SET_ALTIMETER, altimeter_figures(state, state.datum))
        case Asked.WIND:
            reply(CalloutKind.WIND, _wind(state))
        case Asked.FREQUENCY:
            reply(CalloutKind.FREQUENCY, _frequency(state, request.name))
        case Asked.NOTES:
            notes = state.plan.procedure.notes
            sentences = " ".join(f"{note.rstrip('.')}." for note in notes)
            reply(CalloutKind.TEXT, Figures(text=sentences) if notes else None)


def next_event(state: State) -> Figures | None:
    """The next event: what, where, and the altitude due there."""
    return next_figures(state.stage) if state.stage.event else None


def _altitude_due(state: State, request: Request) -> Figures | None:
    """On final: on the slope at the range asked or at the one here. Before: the altitude of the segment."""
    t_s = request.t_s
    dme_nm = request.dme_nm
    if dme_nm is None and state.stage.phase in (Phase.FINAL, Phase.LANDING):
        place = state.place(t_s)
        dme_nm = None if place is None or state.age_s(t_s) > MAX_AGE_S else place.dme_nm
    if dme_nm is not None:
        due_ft = height_due_ft(state, dme_nm, t_s)
        if due_ft is not None:
            return Figures(dme_nm=dme_nm, altitude_ft=max(due_ft, state.plan.minimum_ft))
        if request.dme_nm is not None:
            return None
    floor = floor_ft(state, t_s)
    due_ft = state.target_ft if state.target_ft is not None else state.stage.target_ft
    if due_ft is None or state.stage.phase is Phase.LANDING:
        return None
    return Figures(altitude_ft=max(due_ft, floor or 0.0))


def _heading(state: State, t_s: float) -> Figures | None:
    """The heading of the nominal flight here; on a course the one that holds it in today's wind."""
    timeline = state.timeline
    if timeline is None or state.age_s(t_s) > MAX_AGE_S:
        return None
    progress_s = state.progress_s(t_s)
    index = next(
        (i for i, at_s in enumerate(timeline.times_s) if at_s >= progress_s), len(timeline.times_s) - 1
    )
    return Figures(heading_mag_deg=timeline.headings_deg[index])


def _rate(state: State, t_s: float) -> Figures | None:
    """On final the rate to the threshold crossing height from the altitude last read."""
    altitude_ft = state.altitude_ft(t_s)
    if (
        state.stage.phase not in (Phase.FINAL, Phase.LANDING)
        or state.age_s(t_s) > MAX_AGE_S
        or altitude_ft is None
    ):
        return None
    rate_fpm = rate_to_threshold_fpm(state, altitude_ft, t_s)
    return None if rate_fpm is None else Figures(descent_fpm=rate_fpm)


def _position(state: State, t_s: float) -> Figures | None:
    """Radial and range by dead reckoning, with the age of the report it rests on."""
    place = state.place(t_s)
    age_s = state.age_s(t_s)
    if place is None or age_s > MAX_AGE_S:
        return None
    return Figures(dme_nm=place.dme_nm, radial_deg=place.radial_deg, time_s=age_s)


def _wind(state: State) -> Figures | None:
    if not state.plan.conditions.wind:
        return None
    return Figures(wind_from_mag_deg=state.stage.wind_from_mag_deg, wind_kt=state.stage.wind_kt)


def _frequency(state: State, name: str | None) -> Figures | None:
    """The frequency asked for by name, or the chart's first."""
    frequencies = state.plan.procedure.frequencies
    if name is not None:
        wanted = name.casefold()
        frequencies = tuple(entry for entry in frequencies if wanted in entry.name.casefold())
    if not frequencies:
        return None
    return Figures(event=frequencies[0].name, frequency_mhz=frequencies[0].frequency_mhz)
