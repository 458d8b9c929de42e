"""
Eight simulated hours in one flight, to see that it stays as small, and as fast, as it began.

    python benchmarks/soak.py --hours 8

One dialogue holds for the whole time: a report every half minute, a question or a word in between, time
passed whenever the dialogue asks for it, every record written to a log on disk and then dropped, as `fly`
does. After each hour it prints the memory in use (Python's own count, after a collection), the process's
resident memory and the time the hour took. It fails where the last hour holds more than a twentieth over
the first.
"""

import argparse
import gc
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from assistant.conversation import Conversation, hear_and_speak, run_until  # noqa: E402 - after the path
from assistant.dialogue import Dialogue  # noqa: E402
from assistant.engine.compiler import compile_plan  # noqa: E402
from assistant.engine.conditions import Conditions, WindAtLevel  # noqa: E402
from assistant.flight_log import Header, Writer  # noqa: E402
from assistant.language.transcript import Transcript  # noqa: E402
from assistant.procedure.load import load_procedure  # noqa: E402

PROCEDURE = ROOT / "procedures" / "skarrow-tacan-24.yaml"
BETWEEN = (
    "next",
    "established",
    "say again",
    "mumble",
    "minimum",
    "altitude at four miles",
    "one more",
    "wind 250/20",
)
REPORT_EVERY_S = 30.0
GROWTH = 1.05


def resident_kib() -> int:
    """Resident memory of this process, KiB."""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1])
    return 0


def reports(plan: object) -> list[str]:
    """What is read all the way round the hold, outbound and inbound, a reading each half minute."""
    said = []
    for name in ("hold_outbound", "hold_inbound"):
        timeline = plan.stage(name).timeline  # type: ignore[attr-defined] - a plan
        at_s = 15.0
        while at_s < timeline.duration_s:
            place = timeline.at(at_s)
            said.append(f"radial {round(place.radial_deg) or 360:03d}, {place.dme_nm:.1f} DME, 4000")
            at_s += REPORT_EVERY_S
    return said


def main() -> None:
    """Fly, measure, print, judge."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=8.0)
    arguments = parser.parse_args()
    text = PROCEDURE.read_text(encoding="utf-8")
    conditions = Conditions(wind=(WindAtLevel(wind_from_mag_deg=250.0, wind_kt=20.0),))
    plan = compile_plan(load_procedure(text, PROCEDURE.name), conditions)
    conversation = Conversation(Dialogue(plan))
    around = reports(plan)
    tracemalloc.start()
    used: list[int] = []
    count = said = 0
    with tempfile.NamedTemporaryFile() as file:
        writer = Writer(file)  # type: ignore[arg-type] - a binary file
        writer.begin(
            Header(
                leadradial="soak",
                started_utc="2026-01-01T00:00:00+00:00",
                procedure_name=PROCEDURE.name,
                procedure_text=text,
                conditions=conditions,
                prompting="full",
            )
        )
        now_s, begun_s = 0.0, time.monotonic()
        while now_s < arguments.hours * 3600.0:
            now_s += REPORT_EVERY_S / 2.0
            words = around[said // 2 % len(around)] if said % 2 == 0 else BETWEEN[said // 2 % len(BETWEEN)]
            said += 1
            transcript = Transcript(text=words, started_t_s=now_s, ended_t_s=now_s)
            for record in run_until(conversation, now_s):
                writer.write((record,))
                count += 1
            for record in hear_and_speak(conversation, transcript, now_s):
                writer.write((record,))
                count += 1
            if now_s % 3600.0 == 0.0:
                gc.collect()
                used.append(tracemalloc.get_traced_memory()[0])
                took_s, begun_s = time.monotonic() - begun_s, time.monotonic()
                print(
                    f"hour {now_s / 3600.0:.0f}: {used[-1] / 1024:.0f} KiB in use, "
                    f"{resident_kib()} KiB resident, {count} records, "
                    f"{file.tell() / 1e6:.1f} MB of log, {took_s:.1f} s"
                )
    if used[-1] > GROWTH * used[0]:
        raise SystemExit(f"memory grew from {used[0]} to {used[-1]} bytes")
    print("flat")


if __name__ == "__main__":
    main()
