"""
Every hold in every wind: the solved outbound heading and the drift rule, flown on an integrated trajectory.

Run `python benchmarks/holds.py`. One line for each airspeed and wind, over 36 wind
directions and both sides: how many were solved, how far off course the inbound turn rolled out at worst (NM),
solved and by three times the drift; then how long one solution takes.
"""

import sys
import time
from pathlib import Path

_ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(_ROOT), str(_ROOT / "tests" / "nav")]

import flown  # noqa: E402 - found by the path above

from assistant.nav import holding, turns  # noqa: E402 - found by the path above
from assistant.nav.errors import NoSolution  # noqa: E402 - found by the path above

COURSE_DEG = 130.0
SPEEDS_KT = (90.0, 120.0, 150.0, 180.0, 230.0, 300.0)
WINDS_KT = tuple(float(wind_kt) for wind_kt in range(5, 45, 5))


def rolled_out_nm(air: flown.Air, side: str, outbound: holding.Outbound) -> float:
    """Where the inbound turn rolls out, off the course, on the integrated trajectory."""
    out = flown.turn(air, flown.start(0.0, 0.0, outbound.inbound_heading_deg), outbound.heading_deg, side)
    end = flown.straight(air, out, outbound.straight_s)
    back = flown.turn(air, end, outbound.inbound_heading_deg, side)
    return abs(flown.across_nm(back, COURSE_DEG))


def main() -> None:
    """Prints the table; fails if a solved hold is more than 0.1 NM off."""
    print("tas_kt wind_kt solved worst_solved_nm worst_rule_nm mean_rule_nm")
    spent_s, count, worst_nm, refused = 0.0, 0, 0.0, 0
    for tas_kt in SPEEDS_KT:
        bank_deg = turns.bank_in_use_deg(tas_kt)
        for wind_kt in WINDS_KT:
            solved_nm, rule_nm = [], []
            for wind_from_deg in range(0, 360, 10):
                air = flown.Air(tas_kt, bank_deg, float(wind_from_deg), wind_kt)
                for side in ("left", "right"):
                    by_rule = holding.outbound_by_rule(COURSE_DEG, side, *air)
                    rule_nm.append(rolled_out_nm(air, side, by_rule))
                    begin_s = time.perf_counter()
                    try:
                        solved = holding.outbound_solved(COURSE_DEG, side, *air)
                    except NoSolution:
                        refused += 1
                        continue
                    finally:
                        spent_s += time.perf_counter() - begin_s
                        count += 1
                    solved_nm.append(rolled_out_nm(air, side, solved))
            worst_nm = max(worst_nm, *solved_nm)
            print(
                f"{tas_kt:6.0f} {wind_kt:7.0f} {len(solved_nm):3d}/72 {max(solved_nm):15.5f}"
                f" {max(rule_nm):13.2f} {sum(rule_nm) / len(rule_nm):12.2f}"
            )
    print(f"{count} holds, {refused} without a solution, worst solved {worst_nm:.5f} NM")
    print(f"{1000.0 * spent_s / count:.2f} ms for one solution")
    assert worst_nm < 0.1


if __name__ == "__main__":
    main()
