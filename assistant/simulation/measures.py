"""What one flight shows: lateral and vertical errors, where the minimum was reached, how much was said."""

from collections import Counter
from dataclasses import dataclass
from itertools import zip_longest

import numpy as np

from assistant.engine.events import CalloutKind, ReportRefused
from assistant.engine.plan import Phase
from assistant.flight_log import NotSpoken, Spoken
from assistant.language.phraseology import spoken_duration_s
from assistant.nav.geometry import FT_PER_NM
from assistant.simulation.flight import Flown
from assistant.simulation.floors import Span, established_from, floors_ft, spans
from assistant.simulation.track import HALF_SCALE_DEG, Numbers, Track, half_scale_nm, track_of

# "Climb" as well: to a level below the floor it would take down who is above it.
_TO_A_LEVEL = (CalloutKind.DESCEND, CalloutKind.FINAL_DESCENT, CalloutKind.FLOOR, CalloutKind.BELOW_FLOOR)
# A level given may be below the floor by no more than rounding.
_ROUNDING_FT = 1.0
# The quickest pilot begins to obey this long after the last word (the least of the reactions flown).
_QUICKEST_S = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """
    One flight in figures; None where the flight never came to what is measured.

    Shares are of full-scale deflection. lateral_share: the most between established and the missed approach
    point; lateral_nm: by stage, the most off its course once established. arc_nm: the most off the arc
    between the turns. rollout_nm: off the course when the last inbound turn of the hold was over.
    floor_margin_ft: the least by which the aircraft was above the floor in force. above_faf_ft: above the
    final fix's altitude when it was passed. sank_fpm: the fastest on final. below_floor: callouts that named
    a level below the floor truly in force. level_error_ft at the missed approach point is above the minimum.
    """

    seed: int
    category: str
    wind_from_mag_deg: float
    wind_kt: float
    ended: str
    flown_s: float
    lateral_share: float | None
    lateral_nm: dict[str, float]
    arc_nm: float | None
    rollout_nm: float | None
    floor_margin_ft: float | None
    floor_stage: str
    above_faf_ft: float | None
    sank_fpm: float | None
    minimum_dme_nm: float | None
    map_across_nm: float | None
    map_above_minimum_ft: float | None
    below_floor: int
    callouts_per_min: float
    longest_silence_s: float
    unspoken: dict[str, int]
    challenges: int
    slips: dict[str, int]

    @property
    def completed(self) -> bool:
        """Whether the flight came to a runway or away from it, as it was meant to."""
        return self.ended != "time"

    @property
    def erred(self) -> bool:
        """Whether the pilot misheard or misread, beyond forgetting or turning late."""
        return any(what.startswith("mis") for what in self.slips)


def measure(flown: Flown, *, seed: int, wind: tuple[float, float]) -> Measures:
    """Measure a flight; `wind` is where from and how strong."""
    track = track_of(flown.samples)
    parts = spans(flown, track)
    floor_ft = floors_ft(track, parts)
    final = next((part for part in parts if part.stage.phase is Phase.FINAL), None)
    margin_ft, at = _least_margin(track, floor_ft)
    missed_at = _missed_approach_point(flown, track, parts)
    spoken = [record for record in flown.records if isinstance(record, Spoken)]
    times_s = np.array([0.0, *(record.t_s for record in spoken), track.t_s[-1]])
    minimum_at = _minimum_reached(flown, track, final)
    return Measures(
        seed=seed,
        category=flown.plan.conditions.category.value,
        wind_from_mag_deg=wind[0],
        wind_kt=wind[1],
        ended=flown.ended,
        flown_s=float(track.t_s[-1]),
        lateral_share=_lateral_share(track, parts, missed_at),
        lateral_nm=_lateral_nm(track, parts, missed_at),
        arc_nm=_arc_nm(flown, track, parts),
        rollout_nm=_rollout_nm(track, parts),
        floor_margin_ft=margin_ft,
        floor_stage=next((part.stage.name for part in parts if part.begin <= at < part.end), ""),
        above_faf_ft=None if final is None else _above_faf_ft(flown, track, final),
        sank_fpm=None
        if final is None
        else float(-track.vertical_fpm[final.begin : final.end].min(initial=0.0)),
        minimum_dme_nm=None if minimum_at is None else _dme_nm(flown, track, minimum_at),
        map_across_nm=None if missed_at is None else _across_nm(track, final, missed_at),
        map_above_minimum_ft=(
            None if missed_at is None else float(track.altitude_ft[missed_at] - flown.plan.minimum_ft)
        ),
        below_floor=_below_floor(spoken, track, floor_ft),
        callouts_per_min=len(spoken) / float(track.t_s[-1]) * 60.0,
        longest_silence_s=float(np.diff(times_s).max()),
        unspoken=dict(Counter(_why(record) for record in flown.records if isinstance(record, NotSpoken))),
        challenges=sum(isinstance(record, ReportRefused) for record in flown.records),
        slips=dict(Counter(slip.what for slip in flown.slips)),
    )


def _why(record: NotSpoken) -> str:
    return f"{record.callout.kind.value}: {record.reason}"


def _least_margin(track: Track, floor_ft: Numbers) -> tuple[float | None, int]:
    bound = floor_ft > 0.0
    if not bound.any():
        return None, 0
    margins_ft = np.where(bound, track.altitude_ft - floor_ft, np.inf)
    at = int(np.argmin(margins_ft))
    return float(margins_ft[at]), at


def _missed_approach_point(flown: Flown, track: Track, parts: list[Span]) -> int | None:
    """When the missed approach point was flown past on the final approach or after it."""
    final = next((part for part in parts if part.stage.phase is Phase.FINAL), None)
    stage = flown.plan.stage("final")
    if final is None or stage.timeline is None or stage.exits[0].at_s is None:
        return None
    place = stage.timeline.at(stage.exits[0].at_s)
    along_nm, _ = track.along_and_across_nm(place.point, place.track_deg)
    past = np.flatnonzero(along_nm[final.begin :] >= 0.0)
    if past.size:
        return final.begin + int(past[0])
    # A point beyond the threshold is never reached by who lands.
    return len(track.t_s) - 1 if flown.ended == "landed" else None


def _inbound(parts: list[Span]) -> list[Span]:
    """The stages on a course from the last turn before the final approach to its end."""
    found: list[Span] = []
    finals = [at for at, part in enumerate(parts) if part.stage.phase is Phase.FINAL]
    for part in reversed(parts[: finals[-1] + 1] if finals else []):
        if part.stage.phase is Phase.MISSED:
            continue  # called too early, and taken back
        if part.stage.course is None or part.stage.phase not in (
            Phase.FINAL,
            Phase.INTERMEDIATE,
            Phase.INITIAL,
        ):
            break
        found.append(part)
        if part.stage.turns:
            break
    return found[::-1]


def _lateral_share(track: Track, parts: list[Span], missed_at: int | None) -> float | None:
    """
    The most, as a share of full scale, from established on the way in to the missed approach point.

    Or to where the pilot went around before it: from there on a missed approach is flown.
    """
    if missed_at is None:
        return None
    finals = [at for at, part in enumerate(parts) if part.stage.phase is Phase.FINAL]
    away = [part.called for part in parts[finals[-1] + 1 :] if part.stage.phase is Phase.MISSED]
    missed_at = min([missed_at, *away])
    worst: float | None = None
    limit_nm = half_scale_nm(track)
    began = False
    for part in _inbound(parts):
        course = part.stage.course
        start = part.begin if began else established_from(track, part)
        if course is None or start is None:
            continue
        began = True
        end = missed_at if part.stage.phase is Phase.FINAL else min(part.end, missed_at)
        if end <= start:
            continue
        _, across_nm = track.along_and_across_nm(course.anchor, course.course_mag_deg)
        share = float((np.abs(across_nm[start:end]) / limit_nm[start:end]).max()) * 0.5
        worst = share if worst is None else max(worst, share)
    return worst


def _lateral_nm(track: Track, parts: list[Span], missed_at: int | None) -> dict[str, float]:
    found: dict[str, float] = {}
    for part in parts:
        start = established_from(track, part)
        course = part.stage.course
        end = part.end
        if part.stage.phase is Phase.FINAL and missed_at is not None:
            end = missed_at
        if (
            start is None
            or course is None
            or end <= start
            or part.stage.phase in (Phase.LANDING, Phase.MISSED)
        ):
            continue
        _, across_nm = track.along_and_across_nm(course.anchor, course.course_mag_deg)
        off_nm = float(np.abs(across_nm[start:end]).max())
        found[part.stage.name] = max(found.get(part.stage.name, 0.0), off_nm)
    return found


def _slant_nm(flown: Flown, track: Track) -> Numbers:
    above_ft = np.maximum(track.altitude_ft - flown.plan.procedure.navaid.elevation_ft, 0.0)
    return np.hypot(track.ground_nm, above_ft / FT_PER_NM)


def _dme_nm(flown: Flown, track: Track, at: int) -> float:
    return float(_slant_nm(flown, track)[at])


def _arc_nm(flown: Flown, track: Track, parts: list[Span]) -> float | None:
    """
    The most off an arc while established on it: from when the turn on to it is over to the turn off it.

    The turn off is called some seconds before or after the true lead radial; the arc ends with the first.
    """
    worst: float | None = None
    for part, following in zip_longest(parts, parts[1:]):
        stage = part.stage
        if stage.arc is None or stage.timeline is None:
            continue
        start = part.begin + round(stage.timeline.turn_end_s) + 5
        end = part.end if following is None else min(part.end, following.called)
        if start >= end:
            continue
        off_nm = np.abs(_slant_nm(flown, track)[start:end] - stage.arc.arc_dme_nm)
        worst = max(worst or 0.0, float(off_nm.max()))
    return worst


def _rollout_nm(track: Track, parts: list[Span]) -> float | None:
    """How far off the inbound course the aircraft was when its last inbound turn in the hold was over."""
    for part in reversed(parts):
        course = part.stage.course
        if part.stage.name not in ("hold_inbound", "hold_offset_inbound") or course is None:
            continue
        off_deg = np.abs(
            (track.track_deg[part.begin : part.end] - course.course_mag_deg + 180.0) % 360.0 - 180.0
        )
        over = np.flatnonzero(off_deg < 12.0)
        if over.size == 0:
            return None
        _, across_nm = track.along_and_across_nm(course.anchor, course.course_mag_deg)
        return float(across_nm[part.begin + int(over[0])])
    return None


def _above_faf_ft(flown: Flown, track: Track, final: Span) -> float:
    before = flown.plan.stage("final").floor_until_established_ft or 0.0
    return float(track.altitude_ft[min(final.begin, len(track.t_s) - 1)] - before)


def _minimum_reached(flown: Flown, track: Track, final: Span | None) -> int | None:
    """When the altitude at which the minimum is called was first reached on final."""
    if final is None:
        return None
    low = np.flatnonzero(track.altitude_ft[final.begin :] <= flown.plan.decision_ft)
    return final.begin + int(low[0]) if low.size else None


def _across_nm(track: Track, final: Span | None, at: int) -> float | None:
    course = None if final is None else final.stage.course
    if course is None:
        return None
    _, across_nm = track.along_and_across_nm(course.anchor, course.course_mag_deg)
    return float(across_nm[at])


def _below_floor(spoken: list[Spoken], track: Track, floor_ft: Numbers) -> int:
    return sum(_lowers_below(record, track, floor_ft) for record in spoken)


def _lowers_below(record: Spoken, track: Track, floor_ft: Numbers) -> bool:
    """
    Whether a callout would take the aircraft below the floor in force.

    That is the floor which truly holds, by the true track, when the quickest pilot could begin to obey: the
    words are said, and half a second is over. Until then nothing can take the aircraft anywhere.
    """
    level_ft = record.callout.figures.altitude_ft
    if record.callout.kind not in _TO_A_LEVEL or level_ft is None:
        return False
    obeyed_s = record.t_s + spoken_duration_s(record.text) + _QUICKEST_S
    return bool(level_ft < floor_ft[track.position(obeyed_s)] - _ROUNDING_FT)


HALF_SCALE_SHARE = 0.5
"""Half scale as a share of full scale, which is twice `HALF_SCALE_DEG`."""
FULL_SCALE_DEG = 2.0 * HALF_SCALE_DEG
