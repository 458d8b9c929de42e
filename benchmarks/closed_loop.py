"""
How many whole approaches a second, and where the time goes.

    python benchmarks/closed_loop.py [--each 40] [--cores 2]
                                                approaches a second over all procedures, and where the time
                                                of one goes
    python benchmarks/closed_loop.py --models 12 [--procedure NAME]
                                                the track of the point mass against JSBSim's, the same cases
    python benchmarks/closed_loop.py --fleet    the bare kinematics on arrays
    python -m benchmarks.closed_loop --every 1000 [--first 1] [--beside 150] [--procedure NAME]
                                     [--model jsbsim] [--category C] [--cores 2]
                                                the limits of every demonstration procedure (or one), a line
                                                each, with still-air technique beside the first flights;
                                                --first SEED: their seeds begin there
"""

import argparse
import cProfile
import pstats
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from assistant.engine.conditions import Conditions
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Category, Procedure
from assistant.simulation.campaign import Campaign, fly_campaign
from assistant.simulation.case import draw, fly_case
from assistant.simulation.fleet import Fleet
from assistant.simulation.report import report
from assistant.simulation.track import track_of

FILES = sorted((Path(__file__).parent.parent / "procedures").glob("*.yaml"))


def campaign_of(name: str) -> Campaign:
    """Flights of one demonstration procedure."""
    file = next(file for file in FILES if file.stem == name)
    procedure = load_procedure(file.read_text(encoding="utf-8"), str(file))
    return Campaign(procedure=procedure, conditions=Conditions(), flights=1)


def throughput(flights: int, cores: int) -> None:
    """Approaches a second over all procedures with this many flights of each, and where the time goes."""
    campaigns = [replace(campaign_of(file.stem), flights=flights) for file in FILES]
    fly_campaign(replace(campaigns[0], flights=cores * 16), cores=cores)  # the processes are started
    all_s = flown_s = 0.0
    for asked in campaigns:
        begun_s = time.perf_counter()
        flown = fly_campaign(asked, cores=cores)
        took_s = time.perf_counter() - begun_s
        all_s += took_s
        flown_s += sum(flight.measures.flown_s for flight in flown)
        print(f"{asked.procedure.ident}: {1000.0 * took_s / flights:.1f} ms", flush=True)
    count = flights * len(campaigns)
    each_ms = 1000.0 * all_s * cores / count
    print(
        f"{count / all_s:.1f} approaches/s on {cores} cores: {each_ms:.1f} ms of a core each,"
        f" for {flown_s / count / 60.0:.0f} min of flight"
    )
    begun_s = time.process_time()
    for asked in campaigns:
        fly_campaign(replace(asked, flights=10), cores=1)
    spent_ms = 1000.0 * (time.process_time() - begun_s) / (10 * len(campaigns))
    print(f"in one process: {spent_ms:.1f} ms of processor time each")
    profile = cProfile.Profile()
    profile.enable()
    for asked in campaigns:
        fly_campaign(replace(asked, flights=3, seed=1001), cores=1)  # lines not heard yet
    profile.disable()
    _print_parts(pstats.Stats(profile))


# Where the time of a flight goes: a part, and the functions whose time with all they call is its own.
_PARTS = {
    "planning the day": (("compiler.py", "compile_plan"),),
    "aircraft": (("point_mass.py", "advance"),),
    "pilot": (("pilot.py", "advance"), ("pilot.py", "speak"), ("pilot.py", "hear")),
    "hearing": (("hearing.py", "hear"),),
    "engine": (("core.py", "handle"), ("core.py", "wake_at_s")),
    "wording": (("dialogue.py", "next_words"),),
    "measuring": (("measures.py", "measure"), ("thinned.py", "thinned")),
}


def _print_parts(stats: pstats.Stats) -> None:
    entries = stats.stats  # type: ignore[attr-defined]  # documented by its use in the standard library alone
    spent = {
        (Path(file).name, name): cumulative for (file, _, name), (_, _, _, cumulative, _) in entries.items()
    }
    whole = spent["campaign.py", "_fly_seed"]
    shares = {part: sum(spent[key] for key in keys) / whole for part, keys in _PARTS.items()}
    shares["the rest"] = 1.0 - sum(shares.values())
    print(", ".join(f"{part} {100.0 * share:.0f} %" for part, share in shares.items()))
    stats.sort_stats("tottime").print_stats(12)


def models(flights: int, names: list[str]) -> None:
    """
    The same cases in both flight models: how far the point mass's track is from JSBSim's.

    In category A the light single, in C the jet; by pilots without slips, which would part the two.
    """
    for name in names:
        procedure = campaign_of(name).procedure
        for category in (Category.A, Category.C):
            gaps = [gap for seed in range(1, flights + 1) for gap in _gaps_nm(procedure, category, seed)]
            p50, p95 = np.percentile(gaps, (50, 95))
            print(
                f"{name}, category {category.value}, {flights} flights: track against JSBSim's:"
                f" median {p50:.2f} NM, 95 % {p95:.2f} NM",
                flush=True,
            )


def _gaps_nm(procedure: Procedure, category: Category, seed: int) -> list[float]:
    """From each place of the point mass, five seconds apart, to the nearest that JSBSim came to, NM."""
    conditions = Conditions().for_category(category)
    case = draw(procedure, conditions, seed, wind_is_random=True, any_category=False)
    case = replace(case, habits=replace(case.habits, forgets=0.0, misreads=0.0, mishears=0.0, turns_late=0.0))
    ours = track_of(fly_case(procedure, case).samples)
    theirs = track_of(fly_case(procedure, replace(case, model="jsbsim")).samples)
    every = slice(None, None, 5)
    off_nm = np.hypot(
        ours.east_nm[every, None] - theirs.east_nm[None, :],
        ours.north_nm[every, None] - theirs.north_nm[None, :],
    ).min(axis=1)
    return [float(each_nm) for each_nm in off_nm]


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


def every(asked_for: Campaign, beside: int, names: list[str], cores: int) -> None:
    """The limits of procedures, each flown as asked for, as rows of a table, and who fell outside them."""
    flights = asked_for.flights
    for name in names:
        asked = replace(asked_for, procedure=campaign_of(name).procedure)
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


def main() -> None:
    """Do what was asked for."""
    parser = argparse.ArgumentParser(description="How many approaches a second, and where the time goes.")
    parser.add_argument("--each", type=int, default=40, metavar="N", help="flights of each, for the speed")
    parser.add_argument("--models", type=int, metavar="N")
    parser.add_argument("--fleet", action="store_true")
    parser.add_argument("--every", type=int, metavar="N")
    parser.add_argument("--first", type=int, default=1, metavar="SEED")
    parser.add_argument("--beside", type=int, default=0, metavar="N")
    parser.add_argument("--model", default="point", choices=("point", "jsbsim"))
    parser.add_argument("--category", choices=[category.value for category in Category])
    parser.add_argument("--cores", type=int, default=1)
    parser.add_argument("--procedure", metavar="NAME")
    asked = parser.parse_args()
    names = [asked.procedure] if asked.procedure else [file.stem for file in FILES]
    if asked.every:
        campaign = replace(campaign_of(names[0]), flights=asked.every, seed=asked.first, model=asked.model)
        if asked.category is not None:
            conditions = campaign.conditions.for_category(Category(asked.category))
            campaign = replace(campaign, conditions=conditions, any_category=False)
        every(campaign, asked.beside, names, asked.cores)
    elif asked.models:
        models(asked.models, names)
    elif asked.fleet:
        fleet()
    else:
        throughput(asked.each, asked.cores)


if __name__ == "__main__":
    main()
