"""What many flights show together: shares within limits, distributions, and the flights worth looking at."""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from assistant.simulation.measures import HALF_SCALE_SHARE, Measures

ARC_WIDE_NM, ARC_NARROW_NM = 1.0, 0.5
# Looked at in words: as many of the flights outside a limit.
_NAMED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A distribution: how many, and its 1st, 10th, 50th, 90th, 99th percentiles and ends."""

    count: int
    least: float
    p1: float
    p10: float
    p50: float
    p90: float
    p99: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit: how many flights it applies to, how many keep it, which do not."""

    name: str
    kept: int
    of: int
    outside: tuple[int, ...]

    @property
    def share(self) -> float:
        """The share that keeps it; 1 where it applies to none."""
        return self.kept / self.of if self.of else 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The whole of a campaign. `ratio_lateral`: still-air technique's median lateral error over ours."""

    flights: int
    ended: dict[str, int]
    limits: tuple[Limit, ...]
    spreads: dict[str, Spread]
    lateral_by_stage_nm: dict[str, Spread]
    unspoken: dict[str, int]
    slips: dict[str, int]
    below_floor_callouts: int
    ratio_lateral: float | None
    ratio_rollout: float | None
    still_air_within: float | None


def report(flights: Iterable[Measures], still_air: Iterable[Measures] = ()) -> Report:
    """Put flights together; `still_air` are the same cases flown without wind sums."""
    all_of = list(flights)
    beside = list(still_air)
    stages = sorted({name for one in all_of for name in one.lateral_nm})
    return Report(
        flights=len(all_of),
        ended=dict(Counter(one.ended for one in all_of)),
        limits=limits(all_of),
        spreads={
            name: spread
            for name, value in _MEASURES.items()
            if (spread := spread_of(value(one) for one in all_of)) is not None
        },
        lateral_by_stage_nm={
            name: spread
            for name in stages
            if (spread := spread_of(one.lateral_nm.get(name) for one in all_of)) is not None
        },
        unspoken=_summed(one.unspoken for one in all_of),
        slips=_summed(one.slips for one in all_of),
        below_floor_callouts=sum(one.below_floor for one in all_of),
        ratio_lateral=_ratio(beside, all_of, lambda one: one.lateral_share),
        ratio_rollout=_ratio(beside, all_of, lambda one: _absolute(one.rollout_nm)),
        still_air_within=None if not beside else limits(beside)[0].share,
    )


def limits(flights: list[Measures]) -> tuple[Limit, ...]:
    """The limits that flights are held to, each over the flights that came so far."""
    return (
        _limit(
            "within half scale from established to the missed approach point",
            flights,
            lambda one: one.lateral_share is not None and one.lateral_share <= HALF_SCALE_SHARE,
            lambda _: True,
        ),
        _limit(
            f"arc within {ARC_WIDE_NM:g} NM",
            flights,
            lambda one: (one.arc_nm or 0.0) <= ARC_WIDE_NM,
            lambda one: one.arc_nm is not None,
        ),
        _limit(
            f"arc within {ARC_NARROW_NM:g} NM",
            flights,
            lambda one: (one.arc_nm or 0.0) <= ARC_NARROW_NM,
            lambda one: one.arc_nm is not None,
        ),
        _limit(
            "never below the floor in force (pilots who misheard or misread left out)",
            flights,
            lambda one: (one.floor_margin_ft or 0.0) >= 0.0,
            lambda one: one.floor_margin_ft is not None and not one.erred,
        ),
        _limit(
            "over the final fix at most 100 ft above its altitude",
            flights,
            lambda one: (one.above_faf_ft or 0.0) <= 100.0,
            lambda one: one.above_faf_ft is not None,
        ),
        _limit(
            "no callout below the floor in force", flights, lambda one: one.below_floor == 0, lambda _: True
        ),
    )


def _limit(
    name: str, flights: list[Measures], keeps: Callable[[Measures], bool], applies: Callable[[Measures], bool]
) -> Limit:
    concerned = [one for one in flights if applies(one)]
    outside = [one.seed for one in concerned if not keeps(one)]
    return Limit(
        name=name, kept=len(concerned) - len(outside), of=len(concerned), outside=tuple(outside[:_NAMED])
    )


def spread_of(values: Iterable[float | None]) -> Spread | None:
    """The distribution of what was measured; None where nothing was."""
    there = np.array([value for value in values if value is not None], dtype=float)
    if there.size == 0:
        return None
    p1, p10, p50, p90, p99 = (float(value) for value in np.percentile(there, (1, 10, 50, 90, 99)))
    return Spread(
        count=int(there.size),
        least=float(there.min()),
        p1=p1,
        p10=p10,
        p50=p50,
        p90=p90,
        p99=p99,
        most=float(there.max()),
    )


def _ratio(
    beside: list[Measures], ours: list[Measures], value: Callable[[Measures], float | None]
) -> float | None:
    theirs, own = spread_of(map(value, beside)), spread_of(map(value, ours))
    if theirs is None or own is None or own.p50 == 0.0:
        return None
    return theirs.p50 / own.p50


def _absolute(value: float | None) -> float | None:
    return None if value is None else abs(value)


def _summed(counts: Iterable[dict[str, int]]) -> dict[str, int]:
    total: Counter[str] = Counter()
    for count in counts:
        total.update(count)
    return dict(total.most_common())


_MEASURES: dict[str, Callable[[Measures], float | None]] = {
    "lateral error, share of full scale": lambda one: one.lateral_share,
    "arc error, NM": lambda one: one.arc_nm,
    "hold inbound roll-out error, NM": lambda one: _absolute(one.rollout_nm),
    "least height above the floor, ft": lambda one: one.floor_margin_ft,
    "over the final fix above its altitude, ft": lambda one: one.above_faf_ft,
    "fastest sink on final, ft/min": lambda one: one.sank_fpm,
    "range where the minimum was reached, NM": lambda one: one.minimum_dme_nm,
    "off the course at the missed approach point, NM": lambda one: _absolute(one.map_across_nm),
    "above the minimum at the missed approach point, ft": lambda one: one.map_above_minimum_ft,
    "callouts a minute": lambda one: one.callouts_per_min,
    "longest silence, s": lambda one: one.longest_silence_s,
    "reports challenged": lambda one: float(one.challenges),
}
