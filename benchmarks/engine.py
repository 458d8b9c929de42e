"""
Engine time of a whole approach: how long one step takes, and how long all of them.

Run `python benchmarks/engine.py [TRANSCRIPT] [--json]`; without a transcript, the golden flight with the most
reports is flown. The flight is played once to learn every input of the engine, ticks included; then a fresh
engine is given those inputs again and again, each step timed alone. Beside it stands the dialogue as a whole:
hearing, engine and words.
"""

import argparse
import json
import statistics
import sys
import time
from pathlib import Path
from typing import get_args

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from driver import Flight  # noqa: E402  # found by the line above

from assistant.adapters.transcript_file import TimedTranscript, read_transcript  # noqa: E402  # likewise
from assistant.conversation import play  # noqa: E402  # likewise
from assistant.engine.core import Engine  # noqa: E402  # likewise
from assistant.engine.events import EngineInput  # noqa: E402  # likewise

REPETITIONS = 40


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Time the engine over a whole approach.")
    parser.add_argument("transcript", nargs="?", type=Path, default=None)
    parser.add_argument("--json", action="store_true", help="one JSON object instead of a table")
    arguments = parser.parse_args()
    path = arguments.transcript or longest_golden_flight()
    if path is None:
        parser.error("there is no golden flight yet; give a transcript")
    timed = read_transcript(path.read_text(encoding="utf-8"), str(path))
    if timed.procedure is None:
        parser.error(f"{path} names no procedure")
    figures = {"flight": path.name, "reports": len(timed.heard), **measured(timed, timed.procedure)}
    if arguments.json:
        print(json.dumps(figures))
        return
    for name, value in figures.items():
        print(f"{name:<24} {value:>12.1f}" if isinstance(value, float) else f"{name:<24} {value:>12}")


def longest_golden_flight() -> Path | None:
    """The golden flight with the most lines of the pilot's, None where there is none."""
    flights = (ROOT / "tests" / "golden").glob("*.txt")
    return max(flights, key=lambda path: path.read_text(encoding="utf-8").count(" PILOT "), default=None)


def measured(timed: TimedTranscript, procedure: str) -> dict[str, int | float]:
    """Step times in microseconds, whole flights in milliseconds."""
    flags = " ".join(timed.setup)
    inputs: list[EngineInput] = []
    dialogue_ms: list[float] = []
    for _ in range(REPETITIONS // 4):
        flight = Flight.with_flags(procedure, flags)
        begun_s = time.perf_counter()
        records = list(play(flight.conversation, timed.heard, timed.until_s))
        dialogue_ms.append((time.perf_counter() - begun_s) * 1e3)
        inputs = [record for record in records if isinstance(record, get_args(EngineInput))]
    steps_us: list[float] = []
    totals_ms: list[float] = []
    for _ in range(REPETITIONS):
        engine = Engine(flight.plan)
        total_us = 0.0
        for event in inputs:
            begun_s = time.perf_counter()
            engine.handle(event)
            step_us = (time.perf_counter() - begun_s) * 1e6
            steps_us.append(step_us)
            total_us += step_us
        totals_ms.append(total_us / 1e3)
    return {
        "engine inputs": len(inputs),
        "step median us": statistics.median(steps_us),
        "step 95 percent us": statistics.quantiles(steps_us, n=20)[-1],
        "step worst us": max(steps_us),
        "engine whole flight ms": statistics.median(totals_ms),
        "dialogue whole flight ms": statistics.median(dialogue_ms),
    }


if __name__ == "__main__":
    main()
