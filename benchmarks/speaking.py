"""
How late the voice is, on a virtual loudspeaker; `python benchmarks/speaking.py [--rounds N] [--json]`.

Needs PulseAudio (see .ci/run) and the extra "voice". Each figure is from the recording of the loudspeaker,
against the system's own clock; the device's buffer is in it, a real device's is not.

- answers: from the end of the pilot's words (as text) to the first sample of the answer;
- due: from the moment a callout is due to its first sample;
- due, decoding: the same while the listener's process decodes one report after another;
- cut off: from the moment a safety callout is due to the last sample of what it interrupts;
- ready: from starting `leadradial fly` with all sounds kept to its first line after the voice is open;
- synthesis: making one sentence that nobody foresaw, evened out, in a process that is warm.
"""

import argparse
import asyncio
import json
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "audio")]

from virtual_sound import VirtualSound, tone_spans  # noqa: E402  # after the path

from assistant.adapters.speech_in.audio import read_audio  # noqa: E402
from assistant.adapters.speech_in.listening_process import ListenerChoice, ListenerProcess  # noqa: E402
from assistant.adapters.speech_out.rendering import Pyttsx3Renderer  # noqa: E402
from assistant.adapters.speech_out.sound import evened  # noqa: E402
from assistant.cli.microphone import made_listener  # noqa: E402
from assistant.language.grammar import Names  # noqa: E402

PROCEDURE = ROOT / "procedures" / "skarrow-tacan-24.yaml"
REPORT = ROOT / "audio_fixtures" / "festival-kal" / "09.flac"
PROGRAM = [sys.executable, "-c", "from assistant.cli.app import main; main()"]
FREQUENCIES_HZ = tuple(range(500, 2500, 200))


def scene(sound: VirtualSound, folder: str, **parts: object) -> Callable[[int], list[tuple[float, float]]]:
    """Play a scene (see tests/audio/rig.py); when each of its tones sounded, in its own seconds."""
    asked, recorded = Path(folder) / "scene.json", Path(folder) / "scene.npz"
    asked.write_text(json.dumps(parts), encoding="utf-8")
    subprocess.run(  # noqa: S603  # our own program
        [sys.executable, str(ROOT / "tests" / "audio" / "rig.py"), str(asked), str(recorded)],
        env=sound.environment,
        check=True,
        capture_output=True,
        timeout=120,
    )
    with np.load(recorded) as loaded:
        samples, began_s = loaded["samples"], float(loaded["began_s"])

    def spans(frequency_hz: int) -> list[tuple[float, float]]:
        found = tone_spans(samples, frequency_hz)
        return [(began_s + begin, began_s + end) for begin, end in found if end - begin > 0.05]

    return spans


def answers_ms(sound: VirtualSound, folder: str) -> list[float]:
    """From the pilot's words to the first sample of the answer."""
    lines = [(1.0 + 0.6 * n, f"question {n}") for n in range(len(FREQUENCIES_HZ))]
    answers = {
        text: [("ANSWER", f"{hz} for 0.25.")] for (_, text), hz in zip(lines, FREQUENCIES_HZ, strict=True)
    }
    spans = scene(sound, folder, due={}, answers=answers, lines=lines, end_s=lines[-1][0] + 1.0)
    return [1000.0 * (spans(hz)[0][0] - t_s) for (t_s, _), hz in zip(lines, FREQUENCIES_HZ, strict=True)]


def due_ms(sound: VirtualSound, folder: str) -> list[float]:
    """From the moment a callout is due to its first sample."""
    due = {1.0 + 0.6 * n: [("ACTION", f"{hz} for 0.25.")] for n, hz in enumerate(FREQUENCIES_HZ)}
    spans = scene(sound, folder, due=due, end_s=max(due) + 1.0)
    return [1000.0 * (spans(hz)[0][0] - t_s) for t_s, hz in zip(due, FREQUENCIES_HZ, strict=True)]


def due_while_decoding_ms(sound: VirtualSound, folder: str) -> list[float]:
    """From the moment a callout is due to its first sample, while reports are decoded without a pause."""
    choice = ListenerChoice(recogniser="pocketsphinx", model=None, names=Names(fixes=(), frequencies=()))
    listener, is_over, report = ListenerProcess(made_listener, choice), threading.Event(), read_audio(REPORT)
    listener.started()

    def decode_on() -> None:
        while not is_over.is_set():
            asyncio.run(listener.understand(report, 0.0))

    decoding = threading.Thread(target=decode_on)
    decoding.start()
    try:
        return due_ms(sound, folder)
    finally:
        is_over.set()
        decoding.join()
        listener.close()


def cut_ms(sound: VirtualSound, folder: str) -> list[float]:
    """From a safety callout to the last sample of what it interrupts."""
    safe_at_s = [1.0 + 0.8 * n for n in range(10)]
    due = {t_s - 0.3: [("ANSWER", "500 for 3.")] for t_s in safe_at_s}
    due |= {t_s: [("SAFETY", "1500 for 0.2.")] for t_s in safe_at_s}
    ends_s = [end for _, end in scene(sound, folder, due=due, end_s=safe_at_s[-1] + 0.5)(500)]
    return [1000.0 * (min(end for end in ends_s if end > t_s - 0.05) - t_s) for t_s in safe_at_s]


def ready_s(sound: VirtualSound, folder: str, cache: str) -> float:
    """From starting the program to its first line with the voice open."""
    environment = sound.environment | {"HOME": folder, "XDG_CACHE_HOME": cache, "PYTHONPATH": str(ROOT)}
    log = Path(folder) / f"{time.monotonic_ns()}.jsonl"
    begun_s = time.monotonic()
    with subprocess.Popen(  # noqa: S603  # our own program
        [*PROGRAM, "fly", str(PROCEDURE), "--log", str(log)],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as program:
        output = program.stdout
        while output is not None and b"Flight log" not in output.readline():
            pass
        took_s = time.monotonic() - begun_s
        program.communicate(timeout=30)
    return took_s


def synthesis_ms() -> list[float]:
    """Making sentences that nobody foresaw."""
    renderer = Pyttsx3Renderer()
    evened(renderer.render("Ready."))
    took_ms = []
    for n in range(20):
        begun_s = time.monotonic()
        evened(renderer.render(f"Heard two niner decimal {['one', 'two', 'three', 'four'][n % 4]} DME?"))
        took_ms.append(1000.0 * (time.monotonic() - begun_s))
    renderer.close()
    return took_ms


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="How late the voice is.")
    parser.add_argument("--rounds", type=int, default=4)
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    sound = VirtualSound()
    try:
        with tempfile.TemporaryDirectory() as folder:
            cache = str(Path(folder) / "cache")
            subprocess.run(  # noqa: S603  # our own program
                [*PROGRAM, "say", "--plan", str(PROCEDURE)],
                env=os.environ | {"XDG_CACHE_HOME": cache, "PYTHONPATH": str(ROOT)},
                check=True,
                capture_output=True,
            )
            rounds = range(arguments.rounds)
            measured = {
                "answers, ms": [ms for _ in rounds for ms in answers_ms(sound, folder)],
                "due, ms": [ms for _ in rounds for ms in due_ms(sound, folder)],
                "due, decoding, ms": [ms for _ in rounds for ms in due_while_decoding_ms(sound, folder)],
                "cut off, ms": [ms for _ in rounds for ms in cut_ms(sound, folder)],
                "ready, s": [ready_s(sound, folder, cache) for _ in rounds],
                "synthesis, ms": synthesis_ms(),
            }
    finally:
        sound.close()
    table = {
        name: {
            "n": len(values),
            "median": round(statistics.median(values), 3),
            "p95": round(float(np.percentile(values, 95)), 3),
            "most": round(max(values), 3),
        }
        for name, values in measured.items()
    }
    if arguments.json:
        print(json.dumps(table, indent=2))
        return
    print(f"{'':<20}{'n':>5}{'median':>10}{'p95':>10}{'most':>10}")
    for name, row in table.items():
        print(f"{name:<20}{row['n']:>5}{row['median']:>10}{row['p95']:>10}{row['most']:>10}")


if __name__ == "__main__":
    main()
