"""
How soon after the talk switch is let go a report is decided: `python -m benchmarks.releasing`.

Recordings of held-out voices are played at their own speed into the program's way of listening by a switch,
with the listener in its own processes; only the microphone is not one. The switch is pressed 0.6 s after the
recording begins, where its words do, and let go `--held` seconds after the last of them (0.2; not more). What
was quiet after the words in a recording is cut off first. Measured: from the release to the decision;
and the memory of the processes that listen, a page that several share counted in part (PSS), where Linux
tells.

Run it on an idle machine: it measures waiting.
"""

import argparse
import asyncio
import os
import random
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import cast

import numpy as np

from assistant.adapters.console import WallClock
from assistant.adapters.speech_in.audio import RATE_HZ, Samples, read_audio
from assistant.adapters.speech_in.level_meter import Faults
from assistant.adapters.speech_in.listener import meaning
from assistant.adapters.speech_in.listening_process import ListenerChoice, ListenerProcess
from assistant.adapters.speech_in.live_speech import Ears, EarState, pressed_speech
from assistant.adapters.speech_in.microphone import HELD_LEAST_S, Microphone, MicrophoneState
from assistant.cli.microphone import made_listener
from assistant.language.choice import Expectation
from assistant.language.transcript import Transcript
from benchmarks.hearing import FIXTURES, expected, fixtures, kinds
from benchmarks.hearing_table import LEVELS, NAMES
from benchmarks.sounds import BEFORE_S, in_noise

_AFTER_S = 0.2
"""Of noise alone, which `in_noise` lets follow the words."""


class PlayedMicrophone:
    """A recording as a microphone hears it: as much of it as has been played."""

    name = "recording"
    state = MicrophoneState.LISTENING
    level_db = -20.0
    held_s = HELD_LEAST_S

    def __init__(self) -> None:
        self._sound: Samples = np.zeros(0, dtype=np.float32)
        self._begun_s = time.perf_counter()

    def play(self, sound: Samples) -> None:
        """Begin with a recording, after which all is quiet; positions begin anew."""
        quiet = np.random.default_rng(1).normal(0.0, 1e-4, 2 * RATE_HZ).astype(np.float32)
        self._sound, self._begun_s = np.concatenate([sound, quiet]), time.perf_counter()

    @property
    def position(self) -> int:
        """How many samples there have been."""
        return round((time.perf_counter() - self._begun_s) * RATE_HZ)

    def between(self, first: int, last: int) -> Samples:
        """As a microphone: nothing that is not there yet."""
        return self._sound[max(first, 0) : max(min(last, self.position), 0)]


class Switch:
    """A talk switch that the benchmark moves."""

    name = "switch"

    def start(self, on_change: Callable[[bool], None]) -> None:
        """As every talk switch."""
        self.move = on_change

    def close(self) -> None:
        """As every talk switch."""


def _memory_mb(processes: Iterator[int]) -> float | None:
    """What processes use together, MB; None where the system does not tell."""
    total_kb = 0
    for process in processes:
        path = Path(f"/proc/{process}/smaps_rollup")
        if not path.exists():
            return None
        total_kb += next(
            int(line.split()[1])
            for line in path.read_text(encoding="ascii").splitlines()
            if line[:4] == "Pss:"
        )
    return total_kb / 1024


def _below(process: int) -> Iterator[int]:
    """The processes that a process has begun, and those that they have."""
    for children in Path(f"/proc/{process}/task").glob("*/children"):
        for child in map(int, children.read_text(encoding="ascii").split()):
            yield child
            yield from _below(child)


def _to_the_last_word(sound: Samples) -> Samples:
    """Without what is 40 dB below the loudest, at its end."""
    return sound[: int(np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())[-1]) + 1]


async def _measured(
    sounds: list[tuple[Samples, Expectation]], process: ListenerProcess, held_s: float
) -> list[float]:
    played, switch = PlayedMicrophone(), Switch()
    microphone = cast("Microphone", played)
    now: list[Expectation] = []
    ears = Ears(
        microphone=microphone,
        listener=process,
        clock=WallClock(),
        expected=lambda _: now[-1],
        state=EarState(microphone, "ready"),
        tell=lambda _: None,
        faults=Faults(),
    )
    speech = pressed_speech(ears, [switch])
    decided: asyncio.Queue[float] = asyncio.Queue()

    async def listen() -> None:
        async for item in speech:
            if isinstance(item, Transcript):
                decided.put_nowait(time.perf_counter())

    listening = asyncio.create_task(listen())
    await asyncio.sleep(0.1)
    took = []
    for sound, expectation in sounds:
        now.append(expectation)
        played.play(sound)
        await asyncio.sleep(BEFORE_S)
        switch.move(True)
        await asyncio.sleep(len(sound) / RATE_HZ - BEFORE_S - _AFTER_S + held_s)
        released_s = time.perf_counter()
        switch.move(False)
        took.append(await asyncio.wait_for(decided.get(), 10.0) - released_s)
        await asyncio.sleep(0.3)
    listening.cancel()
    return took


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sample", type=int, default=30)
    parser.add_argument("--held", type=float, default=_AFTER_S, help="seconds between last word and release")
    parser.add_argument("--noise", nargs="*", default=tuple(LEVELS), choices=tuple(LEVELS))
    wanted = parser.parse_args()
    chance = random.Random(7)  # noqa: S311  # no secret
    entries = fixtures(kinds(), ("festival", "piper", "espeak"), wanted.sample)
    begun_s = time.perf_counter()
    process = ListenerProcess(
        made_listener, ListenerChoice(recogniser="pocketsphinx", model=None, names=NAMES)
    )
    try:
        process.started()
        print(f"ready in {time.perf_counter() - begun_s:.2f} s")
        for level in wanted.noise:
            sounds = [
                (
                    in_noise(_to_the_last_word(read_audio(FIXTURES / entry["file"])), LEVELS[level], number),
                    expected(meaning(entry["words"], NAMES), chance),
                )
                for number, entry in enumerate(entries)
            ]
            ms = [1e3 * took for took in asyncio.run(_measured(sounds, process, wanted.held))]
            print(
                f"{level:6} n={len(ms)} p50 {np.quantile(ms, 0.5):.0f} p95 {np.quantile(ms, 0.95):.0f} "
                f"most {max(ms):.0f} ms",
                flush=True,
            )
        used_mb = _memory_mb(_below(os.getpid()))
        print("memory not known" if used_mb is None else f"{used_mb:.0f} MB in the processes that listen")
    finally:
        process.close()


if __name__ == "__main__":
    main()
