"""
What the pilot's next report should say: dead reckoning with its spread, as windows for range, height, radial.

A recogniser's second decode is held to these windows (`language.choice`). They are wide on purpose: a window
that misses what is true turns a good report into a question, one that is too wide only helps less. The spread
is the engine's own (`engine.estimate`), plus what the set and the reading may be off.
"""

from math import degrees

from assistant.engine.estimate import shown_ft, spread_s
from assistant.engine.events import Said
from assistant.engine.plan import Phase
from assistant.engine.state import State
from assistant.language.choice import Expectation

OLDEST_S = 180.0
"""A place older than this is no ground to judge what was heard by."""

DME_SLACK_NM = 0.6
RADIAL_SLACK_DEG = 4.0
ALTITUDE_SLACK_FT = 250.0
# In a turn, or nearer than this, the needle swings and a radial is not to be expected.
NEAR_NM = 3.0
# Half as much again as the engine's spread, which is one of dead reckoning and not of ears.
SPREAD_FACTOR = 1.5
# Faster than this nobody descends on an approach but jets on a penetration, who are told so.
CHANGE_FPM = 3000.0
# More than 1000 ft/min on final is no stabilised approach (Flight Safety Foundation, briefing note 7.1); half
# as much again is wide enough. A wider window let 800 ft be heard for 1800.
CHANGE_ON_FINAL_FPM = 1500.0

_NEAR_THE_END = frozenset((Said.VISUAL, Said.NOT_VISUAL, Said.LANDED))
_IN_A_HOLD = frozenset((Said.ENTERING_HOLD, Said.ONE_MORE, Said.LEAVING))
# "Landed" was heard for "leveled".
_BEFORE_LANDING = frozenset((Said.LEVEL, Said.ON_ARC, Said.OUTBOUND, Said.NEEDLE_MOVING))
_ENDING = frozenset((Phase.FINAL, Phase.LANDING))
_HOLDING = frozenset((Phase.ARRIVAL, Phase.HOLD, Phase.MISSED))


def expectation(state: State, now_s: float) -> Expectation:
    """
    The windows at a time; each is None where nothing is known, or what is known is too old.

    Landing and sight of the runway are expected near the end only, a hold's statements about a hold only,
    what belongs to legs before the landing before it only.
    """
    awaited = _awaited(state)
    statements = frozenset(
        said
        for said in Said
        if (said not in _NEAR_THE_END or state.stage.phase in _ENDING)
        and (said not in _IN_A_HOLD or state.stage.phase in _HOLDING)
        and (said not in _BEFORE_LANDING or state.stage.phase is not Phase.LANDING)
    )
    place = state.place(now_s)
    indicated_ft = _indicated_ft(state, now_s)
    if place is None or state.lost or state.age_s(now_s) > OLDEST_S:
        return Expectation(indicated_ft=indicated_ft, statements=statements, awaited=awaited)
    late_nm = SPREAD_FACTOR * spread_s(state, now_s) * place.groundspeed_kt / 3600.0
    slack_nm = DME_SLACK_NM + late_nm
    radial_deg: tuple[float, float] | None = None
    if place.dme_nm - slack_nm > NEAR_NM:
        slack_deg = RADIAL_SLACK_DEG + degrees(late_nm / (place.dme_nm - late_nm))
        radial_deg = (place.radial_deg - slack_deg, place.radial_deg + slack_deg)
    return Expectation(
        dme_nm=(max(place.dme_nm - slack_nm, 0.0), place.dme_nm + slack_nm),
        indicated_ft=indicated_ft,
        radial_deg=radial_deg,
        statements=statements,
        awaited=awaited,
    )


def _awaited(state: State) -> frozenset[Said]:
    """The statements by which the flight goes on from here, and answers to what was asked."""
    stage = state.stage
    found: set[Said] = set()
    if stage.phase is Phase.HOLD:
        found.add(Said.LEAVING)
    elif stage.phase is Phase.LANDING:
        found |= {Said.LANDED, Said.GOING_AROUND}
    elif stage.phase is Phase.FINAL:
        found |= {Said.VISUAL, Said.GOING_AROUND}
    if stage.course is not None and not state.established:
        found.add(Said.ESTABLISHED)
    if stage.arc is not None and not state.established:
        found.add(Said.ON_ARC)
    if state.doubt is not None or state.is_sight_asked:
        found |= {Said.AFFIRM, Said.NEGATIVE}
    return frozenset(found)


def _indicated_ft(state: State, now_s: float) -> tuple[float, float] | None:
    """What the needle may show: from the last reading to the altitude reckoned, and some more."""
    known, reckoned_ft = state.altitude, state.altitude_ft(now_s)
    if known is None or reckoned_ft is None or now_s - known.read_s > OLDEST_S:
        return None
    change_fpm = CHANGE_ON_FINAL_FPM if state.stage.phase is Phase.FINAL else CHANGE_FPM
    reach_ft = change_fpm / 60.0 * max(now_s - known.read_s, 0.0)
    # Before any altitude was called the pilot is already on the way to the one that the leg ends at.
    called_or_due_ft = state.target_ft if state.target_ft is not None else state.stage.target_ft
    wanted_ft = called_or_due_ft if called_or_due_ft is not None else reckoned_ft
    lowest_ft = min(reckoned_ft, max(wanted_ft, known.altitude_ft - reach_ft))
    highest_ft = max(reckoned_ft, min(max(wanted_ft, known.altitude_ft), known.altitude_ft + reach_ft))
    low_ft, high_ft = (shown_ft(state, altitude_ft) for altitude_ft in (lowest_ft, highest_ft))
    return (low_ft - ALTITUDE_SLACK_FT, high_ft + ALTITUDE_SLACK_FT)
