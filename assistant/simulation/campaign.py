"""
Many flights of one procedure, on as many cores as there are, each by its own seed.

The work is handed out by `joblib` where it is installed, so that a cluster's back end can take it over with
`joblib.parallel_config`; without it by the standard library's processes. The same seeds give the same
flights in any number of processes and any order.
"""

import gc
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from heapq import merge
from importlib.util import find_spec

from assistant.engine.conditions import Conditions
from assistant.flight_log import Record, TruePlace
from assistant.nav.geometry import polar_from_plane, slant_nm_from_ground
from assistant.procedure.model import Procedure
from assistant.simulation.case import Case, draw, fly_case
from assistant.simulation.flight import Flown
from assistant.simulation.measures import Measures, measure
from assistant.simulation.thinned import Thinned, thinned

_CHUNK = 4
_TRUE_EVERY_S = 4
_OBJECTS_A_FLIGHT = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Campaign:
    """
    What is to be flown.

    still_air: fly every case a second time without wind sums, to compare. any_category: A to D by chance,
    else that of the conditions. keeps_records: for a log of each flight.
    """

    procedure: Procedure
    conditions: Conditions
    flights: int
    seed: int = 1
    wind_is_random: bool = True
    any_category: bool = True
    still_air: bool = False
    model: str = "point"
    keeps_records: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """
    What a log of a flight holds: the conditions that the assistant knew, and all records.

    Among them, every few seconds, where the aircraft truly was.
    """

    conditions: Conditions
    records: tuple[Record, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """One flight's measures, thinned track, and the measures of the same case in still-air technique."""

    measures: Measures
    track: Thinned
    still_air: Measures | None
    logged: Logged | None = None


def fly_campaign(
    campaign: Campaign, *, cores: int | None = None, told: Callable[[int], None] = lambda _: None
) -> list[Flight]:
    """Fly them all, in order of seed; `told` hears how many are done."""
    found: list[Flight] = []
    for flight in _flown(campaign, cores or os.cpu_count() or 1):
        found.append(flight)
        told(len(found))
    return found


def _flown(campaign: Campaign, cores: int) -> Iterator[Flight]:
    seeds = range(campaign.seed, campaign.seed + campaign.flights)
    fly_one = partial(fly_seed, campaign)
    if cores == 1 or campaign.flights <= _CHUNK:
        yield from map(fly_one, seeds)
    elif find_spec("joblib") is not None:
        from joblib import Parallel, delayed  # noqa: PLC0415 - an extra

        yield from Parallel(n_jobs=cores, return_as="generator", batch_size=_CHUNK)(
            delayed(fly_one)(seed) for seed in seeds
        )
    else:
        with ProcessPoolExecutor(cores) as pool:
            yield from pool.map(fly_one, seeds, chunksize=_CHUNK)


def fly_seed(campaign: Campaign, seed: int) -> Flight:
    """The flight of one seed."""
    with _few_collections():
        return _fly_seed(campaign, seed)


@contextmanager
def _few_collections() -> Iterator[None]:
    """A flight leaves thousands of records and hardly a cycle: looking for those took a tenth of its time."""
    usual = gc.get_threshold()
    gc.set_threshold(_OBJECTS_A_FLIGHT, *usual[1:])
    try:
        yield
    finally:
        gc.set_threshold(*usual)


def _fly_seed(campaign: Campaign, seed: int) -> Flight:
    case = draw(
        campaign.procedure,
        campaign.conditions,
        seed,
        wind_is_random=campaign.wind_is_random,
        any_category=campaign.any_category,
        model=campaign.model,
    )
    flown = fly_case(campaign.procedure, case)
    beside: Measures | None = None
    if campaign.still_air:
        beside = measure(fly_case(campaign.procedure, case, still_air=True), seed=seed, wind=_wind(case))
    return Flight(
        measures=measure(flown, seed=seed, wind=_wind(case)),
        track=thinned(flown),
        still_air=beside,
        logged=_logged(flown) if campaign.keeps_records else None,
    )


def _logged(flown: Flown) -> Logged:
    elevation_ft = flown.plan.procedure.navaid.elevation_ft
    true: list[TruePlace] = []
    for sample in flown.samples[::_TRUE_EVERY_S]:
        polar = polar_from_plane(sample.point)
        true.append(
            TruePlace(
                t_s=sample.t_s,
                radial_deg=round(polar.radial_deg, 2),
                dme_nm=round(
                    slant_nm_from_ground(polar.ground_nm, max(sample.altitude_ft - elevation_ft, 0.0)), 3
                ),
                altitude_ft=round(sample.altitude_ft),
            )
        )
    # What was said and decided stays in its order; of one moment it comes first.
    records = merge(flown.records, true, key=lambda record: record.t_s)
    return Logged(conditions=flown.plan.conditions, records=tuple(records))


def _wind(case: Case) -> tuple[float, float]:
    if not case.wind:
        return 360.0, 0.0
    return case.wind[0].wind_from_mag_deg, case.wind[0].wind_kt
