"""
An open microphone: the last seconds of what it heard, and what becomes of it when it is lost.

It listens in a child process (`microphone_child`). When that ends, the microphone is lost: told once, and the
child is started anew, at first at once, then every few seconds, until it is back, which is told too.
"""

import json
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable, Sequence
from enum import StrEnum
from io import BufferedReader
from typing import cast

import numpy as np

from assistant.adapters.speech_in.audio import RATE_HZ, Samples
from assistant.adapters.speech_in.errors import HearingError

KEPT_S = 30.0
"""How much of what was heard is kept."""

_OPENS_WITHIN_S = 10.0
_TRIED_EVERY_S = 2.0
_CHUNK_BYTES = 4 * RATE_HZ // 100

HELD_LEAST_S, HELD_MOST_S = 0.03, 0.08
"""What a device says of itself is believed between these: none holds nothing, and answers must not wait."""

OnBlock = Callable[[Samples, int], None]
"""Is given each block and the position after it, by the microphone's thread; must not take long."""


class MicrophoneState(StrEnum):
    """Whether anything is heard."""

    LISTENING = "listening"
    LOST = "lost"


class Microphone:
    """
    A microphone that is opened at once and stays open.

    name: its name or a part of it, None for the system's own. tell: given a sentence when it is lost, and
    when it is back. HearingError where it cannot be opened at first. Positions count samples since then.
    """

    def __init__(
        self,
        name: str | None,
        tell: Callable[[str], None],
        *,
        child: Sequence[str] = (sys.executable, "-m", "assistant.adapters.speech_in.microphone_child"),
    ) -> None:
        self._command = [*child, *([name] if name is not None else [])]
        self._tell = tell
        self._blocks: deque[Samples] = deque()
        self._kept = 0
        self._position = 0
        self._on_block: OnBlock | None = None
        self._lock = threading.Lock()
        self._closing = threading.Event()
        self.state = MicrophoneState.LISTENING
        self.level_db = -100.0
        self.held_s = HELD_MOST_S
        self._child, self.name = self._opened()
        self._reader = threading.Thread(target=self._read_on, name="microphone", daemon=True)
        self._reader.start()

    @property
    def position(self) -> int:
        """How many samples were heard up to now."""
        return self._position

    def between(self, first: int, last: int) -> Samples:
        """What was heard between two positions, as far as it is still kept."""
        with self._lock:
            kept = np.concatenate([np.zeros(0, dtype=np.float32), *self._blocks])
            start = self._position - self._kept
        return kept[max(first - start, 0) : max(last - start, 0)]

    def follow(self, on_block: OnBlock | None) -> None:
        """Give every block from now on to somebody."""
        self._on_block = on_block

    def close(self) -> None:
        """Listen no more."""
        self._closing.set()
        self._child.kill()
        self._reader.join(timeout=5.0)

    def _opened(self) -> "tuple[subprocess.Popen[bytes], str]":
        """A child that listens, and its device's name; HearingError with why there is none."""
        try:
            child = subprocess.Popen(  # noqa: S603  # our own interpreter and module
                self._command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
            )
        except OSError as error:
            raise HearingError(f"The microphone cannot be opened ({error.strerror}).") from None
        # A driver that hangs must not hang the flight.
        watchdog = threading.Timer(_OPENS_WITHIN_S, child.kill)
        watchdog.start()
        line = _pipe(child).readline()
        watchdog.cancel()
        try:
            found = json.loads(line)
        except ValueError:
            found = {"failed": "The microphone gives no sound."}
        if "failed" in found:
            child.kill()
            child.wait()
            _pipe(child).close()
            raise HearingError(str(found["failed"]))
        self.held_s = min(max(float(found["held_s"]), HELD_LEAST_S), HELD_MOST_S)
        return child, str(found["name"])

    def _read_on(self) -> None:
        while not self._closing.is_set():
            self._read(self._child)
            if self._closing.is_set():
                return
            self.state, self.level_db = MicrophoneState.LOST, -100.0
            self._tell(f"The microphone {self.name!r} is gone; going on by the keyboard until it is back.")
            while not self._closing.is_set():
                try:
                    self._child, self.name = self._opened()
                except HearingError:
                    self._closing.wait(_TRIED_EVERY_S)
                else:
                    self.state = MicrophoneState.LISTENING
                    self._tell(f"The microphone {self.name!r} is back.")
                    break
        self._child.kill()

    def _read(self, child: "subprocess.Popen[bytes]") -> None:
        """Take blocks until the child ends."""
        rest = b""
        with child:
            while data := _pipe(child).read1(_CHUNK_BYTES):
                data = rest + data
                whole = len(data) // 4 * 4
                rest = data[whole:]
                self._take(np.frombuffer(data[:whole], dtype="<f4"))

    def _take(self, block: Samples) -> None:
        if not len(block):
            return
        with self._lock:
            self._blocks.append(block)
            self._kept += len(block)
            self._position += len(block)
            while self._kept - len(self._blocks[0]) >= KEPT_S * RATE_HZ:
                self._kept -= len(self._blocks.popleft())
        power = float(np.mean(np.square(block, dtype=np.float64)))
        self.level_db = 10.0 * float(np.log10(max(power, 1e-10)))
        follower = self._on_block
        if follower is not None:
            follower(block, self._position)


def _pipe(child: "subprocess.Popen[bytes]") -> BufferedReader:
    """What the child writes."""
    return cast("BufferedReader", child.stdout)
