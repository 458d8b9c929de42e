"""
How many whole approaches a second, and where the time goes.

    python benchmarks/closed_loop.py            approaches a second on all cores, and a profile of one
    python benchmarks/closed_loop.py --models   the track of the point mass against JSBSim's, the same cases
    python benchmarks/closed_loop.py --fleet    the bare kinematics on arrays
    python -m benchmarks.closed_loop --every 1000 [--beside 150] [--procedure NAME] [--model jsbsim]
                                                the limits of every demonstration procedure (or one), a line
                                                each, with still-air technique beside the first flights
    python -m benchmarks.closed_loop --spoken 5 [--first SEED] [--procedure NAME] [--snr DB]
                                                flights whose every report is spoken in noise and heard by
                                                the recogniser
"""

import argparse
import cProfile
import os
import pstats
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from assistant.engine.conditions import Conditions
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Category
from assistant.simulation.campaign import Campaign, fly_campaign, fly_seed
from assistant.simulation.case import draw, fly_case
from assistant.simulation.fleet import Fleet
from assistant.simulation.report import report
from assistant.simulation.track import track_of

FILE = Path(__file__).parent.parent / "procedures/skarrow-tacan-24.yaml"


def campaign(flights: int, model: str = "point") -> Campaign:
    """Flights of the demonstration arc."""
    procedure = load_procedure(FILE.read_text(encoding="utf-8"), str(FILE))
    return Campaign(procedure=procedure, conditions=Conditions(), flights=flights, model=model)


def throughput() -> None:
    """Approaches a second, and a profile."""
    cores = os.cpu_count() or 1
    fly_campaign(campaign(cores * 8), cores=cores)
    begun_s = time.perf_counter()
    flights = fly_campaign(campaign(200), cores=cores)
    took_s = time.perf_counter() - begun_s
    flown_s = sum(flight.measures.flown_s for flight in flights)
    print(
        f"{len(flights) / took_s:.1f} approaches/s on {cores} cores;"
        f" {flown_s / len(flights) / 60.0:.0f} min each"
    )
    profile = cProfile.Profile()
    profile.enable()
    for seed in range(10):
        fly_seed(campaign(1), seed)
    profile.disable()
    pstats.Stats(profile).sort_stats("tottime").print_stats(18)


def models() -> None:
    """The same cases in both flight models: how far the point mass's track is from JSBSim's."""
    procedure = campaign(1).procedure
    for category in (Category.A, Category.C):
        gaps: list[float] = []
        for seed in range(1, 7):
            case = draw(
                procedure,
                Conditions().for_category(category),
                seed,
                wind_is_random=True,
                any_category=False,
            )
            case = replace(case, habits=replace(case.habits, forgets=0.0, misreads=0.0, mishears=0.0))
            ours = track_of(fly_case(procedure, case).samples)
            theirs = track_of(fly_case(procedure, replace(case, model="jsbsim")).samples)
            every = slice(None, None, 5)
            off = np.hypot(
                ours.east_nm[every, None] - theirs.east_nm[None, every],
                ours.north_nm[every, None] - theirs.north_nm[None, every],
            ).min(axis=1)
            gaps.extend(off.tolist())
        p50, p95 = np.percentile(gaps, (50, 95))
        print(f"category {category.value}: track against JSBSim's: median {p50:.2f} NM, 95 % {p95:.2f} NM")


def fleet() -> None:
    """The kinematics alone."""
    count, steps = 1000, 1800
    flying = Fleet(
        east_nm=np.zeros(count),
        north_nm=np.zeros(count),
        altitude_ft=np.full(count, 4000.0),
        heading_mag_deg=np.zeros(count),
        ias_kt=np.full(count, 180.0),
    )
    wanted = np.random.default_rng(1).uniform(0.0, 360.0, count)
    begun_s = time.perf_counter()
    for _ in range(steps):
        flying.advance(
            heading_mag_deg=wanted,
            bank_deg=np.full(count, 25.0),
            to_altitude_ft=np.full(count, 3000.0),
            vertical_fpm=np.full(count, 1000.0),
            to_ias_kt=np.full(count, 180.0),
            wind_east_kt=np.full(count, 20.0),
            wind_north_kt=np.zeros(count),
            step_s=0.5,
        )
    print(f"{count / (time.perf_counter() - begun_s):.0f} bare flights of 15 minutes a second, one process")


def every(flights: int, beside: int, names: list[str], model: str, cores: int) -> None:
    """The limits of procedures over many flights, as rows of a table, and who fell outside them."""
    for name in names:
        file = FILE.parent / f"{name}.yaml"
        procedure = load_procedure(file.read_text(encoding="utf-8"), str(file))
        asked = Campaign(procedure=procedure, conditions=Conditions(), flights=flights, model=model)
        begun_s = time.perf_counter()
        flown = fly_campaign(asked, cores=cores)
        took_s = time.perf_counter() - begun_s
        whole = report([flight.measures for flight in flown])
        shares = [
            f"{100.0 * limit.share:.1f} ({limit.kept}/{limit.of})" if limit.of else ""
            for limit in whole.limits
        ]
        each_ms = 1000.0 * took_s / flights
        print(" | ".join([name, *shares, str(whole.below_floor_callouts), f"{each_ms:.0f} ms"]), flush=True)
        for limit in whole.limits:
            if limit.outside:
                print(f"    outside, {limit.name}: {' '.join(map(str, limit.outside))}")
        erred = [one.measures.seed for one in flown if one.measures.below_floor and one.measures.erred]
        print(f"    of the callouts below the floor, after a slip of the pilot's: {erred}", flush=True)
        if beside:
            both = fly_campaign(replace(asked, flights=beside, still_air=True), cores=cores)
            still = [flight.still_air for flight in both if flight.still_air is not None]
            ratios = report([flight.measures for flight in both], still)
            print(
                f"    still air beside {beside}: within half scale {_shown(ratios.still_air_within)}, lateral"
                f" {_shown(ratios.ratio_lateral)} times, roll-out {_shown(ratios.ratio_rollout)} times ours",
                flush=True,
            )


def _shown(value: float | None) -> str:
    return "-" if value is None else f"{value:.3g}"


def spoken(flights: int, first: int, procedure: str, snr_db: float) -> None:
    """Flights through the recogniser."""
    from benchmarks.spoken_loop import spoken as fly_them  # noqa: PLC0415  # loads the recogniser

    file = FILE.parent / f"{procedure}.yaml"
    chart = load_procedure(file.read_text(encoding="utf-8"), str(file))
    fly_them(chart, range(first, first + flights), snr_db)


def main() -> None:
    """Do what was asked for."""
    parser = argparse.ArgumentParser(description="How many approaches a second, and where the time goes.")
    parser.add_argument("--models", action="store_true")
    parser.add_argument("--fleet", action="store_true")
    parser.add_argument("--every", type=int, metavar="N")
    parser.add_argument("--beside", type=int, default=0, metavar="N")
    parser.add_argument("--model", default="point", choices=("point", "jsbsim"))
    parser.add_argument("--cores", type=int, default=1)
    parser.add_argument("--spoken", type=int, metavar="N")
    parser.add_argument("--first", type=int, default=1, metavar="SEED")
    parser.add_argument("--procedure", metavar="NAME")
    parser.add_argument("--snr", type=float, default=15.0, metavar="DB")
    asked = parser.parse_args()
    if asked.spoken:
        spoken(asked.spoken, asked.first, asked.procedure or "ulvane-vor-dme-35", asked.snr)
    elif asked.every:
        stems = sorted(path.stem for path in FILE.parent.glob("*.yaml"))
        names = [asked.procedure] if asked.procedure else stems
        every(asked.every, asked.beside, names, asked.model, asked.cores)
    elif asked.models:
        models()
    elif asked.fleet:
        fleet()
    else:
        throughput()


if __name__ == "__main__":
    main()
