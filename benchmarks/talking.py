"""
How soon a spoken question is answered aloud; `python benchmarks/talking.py [--questions N] [--by switch]`.

--real-time runs the program as on an idle machine (`chrt --rr`), where that is allowed.

Needs PulseAudio (see .ci/run) and the extras "voice", "hearing" and "talk". `leadradial fly` is talked to
through a virtual microphone, and answers on a virtual loudspeaker; both are recorded, on the system's own
clock. The questions are synthetic, in a quiet room. Without an answer within four seconds one is missed.

- switch: from the release of the console's talk switch to the first sample of the answer;
- open: from the last sound of the words in the microphone to the first sample of the answer.
"""

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "audio")]

from virtual_sound import FIRST, Recording, VirtualSound, loud_spans  # noqa: E402  # after the path

PROCEDURE = ROOT / "procedures" / "skarrow-tacan-24.yaml"
PROGRAM = [sys.executable, "-c", "from assistant.cli.app import main; main()"]
QUESTIONS = ("minimum", "next")
VOICES = ("festival-slt_hts", "festival-kal", "festival-ked", "flite-slt")
WAIT_S = 4.0
ANSWER_OVER_S = 7.0
"""An open microphone hears nothing while the voice answers: the next question comes after that."""


def questions(folder: Path) -> list[Path]:
    """The questions as files that end with their last word."""
    made = []
    for line in (ROOT / "audio_fixtures" / "manifest.jsonl").read_text(encoding="utf-8").splitlines():
        entry = json.loads(line)
        if entry["voice"] in VOICES and entry["words"].strip(".?").lower() in QUESTIONS:
            words, rate_hz = soundfile.read(ROOT / "audio_fixtures" / entry["file"], dtype="float32")
            last = int(np.flatnonzero(np.abs(words) > 0.02 * np.max(np.abs(words)))[-1])
            path = folder / f"{len(made)}.wav"
            room = np.random.default_rng(len(made)).normal(0.0, 0.0005, rate_hz * 3 // 4).astype(np.float32)
            soundfile.write(path, np.concatenate([room, words[:last]]), rate_hz)
            made.append(path)
    return made


def answered_ms(
    sound: VirtualSound, folder: Path, count: int, *, is_open: bool, before: tuple[str, ...] = ()
) -> list[float | None]:
    """How long each answer took; None for a question without one. before: what starts the program."""
    environment = sound.environment | {
        "HOME": str(folder),
        "XDG_CACHE_HOME": str(folder),
        "PYTHONPATH": str(ROOT),
    }
    # Callouts are kept from one flight to the next: what is measured is not the first flight ever.
    subprocess.run(  # noqa: S603  # our own program
        [*PROGRAM, "say", "--plan", str(PROCEDURE)], env=environment, check=True, capture_output=True
    )
    asked = questions(folder)
    flags = ["--open-microphone"] if is_open else ["--microphone", "pulse"]
    log = folder / f"{time.monotonic_ns()}.jsonl"
    released_s = []
    with subprocess.Popen(  # noqa: S603  # our own program
        [*before, *PROGRAM, "fly", str(PROCEDURE), *flags, "--log", str(log)],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as program:
        keyboard, output = program.stdin, program.stdout
        assert keyboard is not None
        assert output is not None
        while b"Flight log" not in output.readline():
            pass
        time.sleep(2.0)
        answers, words = Recording(sound.environment), Recording(sound.environment, "micfeed")
        for number in range(count):
            if not is_open:
                keyboard.write(b"\n")
                keyboard.flush()
            sound.hear(asked[number % len(asked)])
            released_s.append(time.monotonic())
            if not is_open:
                keyboard.write(b"\n")
                keyboard.flush()
            time.sleep(ANSWER_OVER_S if is_open else WAIT_S)
        program.communicate(timeout=30)
    said, said_s = answers.stop()
    heard, heard_s = words.stop()
    begins = [said_s + begin for begin, _ in loud_spans(said, window_s=0.005, gap_s=1.0)]
    spoken_s = [heard_s + end for _, end in loud_spans(heard, window_s=0.005, gap_s=1.0)]
    return [
        next((1000.0 * (begin - end) for begin in begins if end < begin < end + WAIT_S), None)
        for end in (spoken_s if is_open else released_s)
    ]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="How soon a spoken question is answered aloud.")
    parser.add_argument("--questions", type=int, default=20)
    parser.add_argument("--by", choices=("switch", "open"), help="one of the two alone")
    parser.add_argument("--real-time", action="store_true", help="before all else that the machine does")
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    sound = VirtualSound()
    try:
        with tempfile.TemporaryDirectory() as folder:
            measured = {
                name: answered_ms(
                    sound,
                    Path(folder),
                    arguments.questions,
                    is_open=is_open,
                    before=FIRST if arguments.real_time else (),
                )
                for name, is_open in (("switch", False), ("open", True))
                if arguments.by in (None, name)
            }
    finally:
        sound.close()
    for name, took in measured.items():
        answered = [ms for ms in took if ms is not None]
        row = {
            "asked": len(took),
            "answered": len(answered),
            "median_ms": round(statistics.median(answered)),
            "p95_ms": round(float(np.percentile(answered, 95))),
            "most_ms": round(max(answered)),
        }
        print(json.dumps({"by": name, **row}) if arguments.json else f"{name:<8}{row}")


if __name__ == "__main__":
    main()
