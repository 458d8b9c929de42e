"""
A loudspeaker that is opened once and stays open: what is played begins at once and is cut off within a block.

A stream that is opened for each sound begins late, and some devices swallow its first tenth of a second. So
the stream always runs, and is silent between sounds.
"""

import asyncio
import contextlib
import math
import threading
import time
from typing import Any, Final

import numpy as np

from assistant.adapters.speech_out.devices import output_device, sounddevice_module
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.sound import PEAK, Samples, Sound, resampled

_LATENCY_S = 0.02
"""What is asked of the device: enough for a busy machine, little enough to be cut off in 50 ms."""

_FADE_S = 0.005
"""A sound that is cut off fades this long; a hard edge would click."""

_DEAD_AFTER_S = 1.0
"""A device that has asked for nothing this long is gone, whatever its stream says of itself."""

_WATCHED_EVERY_S = 0.25


class _Playing:
    """One sound on its way out. Owned by the audio thread once it is given to the player."""

    def __init__(self, samples: Samples, over: "asyncio.Future[None]") -> None:
        self.samples = samples
        self.at = 0
        self.over = over

    def cut_off(self, fade: int) -> None:
        """Keep only a fade from here."""
        rest = self.samples[self.at : self.at + fade]
        self.samples = (rest * np.linspace(1.0, 0.0, len(rest), dtype=np.float32)).astype(np.float32)
        self.at = 0


class Player:
    """
    An open loudspeaker.

    device: its name or a part of it, None for the system's own. volume: 0 to 1, a factor of amplitude.
    VoiceUnavailable where it cannot be opened.
    """

    def __init__(self, device: str | None = None, *, volume: float = 1.0) -> None:
        sounddevice = sounddevice_module()
        chosen = output_device(device)
        self.device_name: Final = chosen.name
        self._volume = min(max(volume, 0.0), 1.0)
        self._playing: _Playing | None = None
        self._next: _Playing | None = None
        self._lock = threading.Lock()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._last_asked_s = time.monotonic()
        self.rate_hz: Final = int(chosen.rate_hz)
        try:
            self._stream = sounddevice.OutputStream(
                device=chosen.index,
                samplerate=self.rate_hz,
                channels=min(chosen.channels, 2),
                dtype="float32",
                latency=_LATENCY_S,
                callback=self._fill,
            )
            self._stream.start()
        except sounddevice.PortAudioError as error:
            raise VoiceUnavailable(
                f"No voice: the loudspeaker {chosen.name!r} cannot be opened ({_reason(error)})."
            ) from None

    @property
    def latency_s(self) -> float:
        """From giving samples to hearing them, as the device says, s."""
        return float(self._stream.latency)

    @property
    def is_alive(self) -> bool:
        """Whether the device still asks for sound."""
        return bool(self._stream.active) and time.monotonic() - self._last_asked_s < _DEAD_AFTER_S

    @property
    def is_sounding(self) -> bool:
        """Whether something is being played now."""
        return self._playing is not None or self._next is not None

    async def play(self, sound: Sound) -> None:
        """
        Play a sound to its end; cut it off when cancelled. What was playing before is cut off by it.

        VoiceUnavailable where the device is gone, or goes.
        """
        self._raise_if_dead()
        loop = asyncio.get_running_loop()
        samples = resampled(sound, self.rate_hz).samples * np.float32(self._volume)
        # Resampling may overshoot by a little where the sound was near its peak.
        playing = _Playing(np.clip(samples, -PEAK, PEAK), loop.create_future())
        with self._lock:
            self._loop = loop
            self._cut_off()
            self._next = playing
        try:
            while not playing.over.done():
                await asyncio.wait((playing.over,), timeout=_WATCHED_EVERY_S)
                if not playing.over.done():
                    self._raise_if_dead()
            await asyncio.sleep(self.latency_s)  # it has been given away, not yet heard
        except asyncio.CancelledError:
            self.stop()
            raise

    def stop(self) -> None:
        """Cut off what is playing."""
        with self._lock:
            self._cut_off()

    def close(self) -> None:
        """Close the device."""
        self._stream.close(ignore_errors=True)

    def _raise_if_dead(self) -> None:
        if not self.is_alive:
            raise VoiceUnavailable(f"The loudspeaker {self.device_name!r} is gone; going on in text.")

    def _cut_off(self) -> None:
        self._next = None
        if self._playing is not None:
            self._playing.cut_off(math.ceil(_FADE_S * self.rate_hz))

    def _fill(self, out: Any, frames: int, _time: Any, _status: Any) -> None:  # noqa: ANN401  # sounddevice's
        """Give the device its next block; called by the audio thread, which must never wait for long."""
        self._last_asked_s = time.monotonic()
        out.fill(0.0)
        filled = 0
        with self._lock:
            while filled < frames:
                if self._playing is None:
                    self._playing, self._next = self._next, None
                playing = self._playing
                if playing is None:
                    return
                block = playing.samples[playing.at : playing.at + frames - filled]
                out[filled : filled + len(block)] = block[:, np.newaxis]
                filled += len(block)
                playing.at += len(block)
                if playing.at >= len(playing.samples):
                    self._playing = None
                    self._ended(playing)

    def _ended(self, playing: _Playing) -> None:
        loop = self._loop
        if loop is not None:
            with contextlib.suppress(RuntimeError):  # the session has ended and closed its loop
                loop.call_soon_threadsafe(_set, playing.over)


def _set(over: "asyncio.Future[None]") -> None:
    if not over.done():
        over.set_result(None)


def _reason(error: Exception) -> str:
    return str(error.args[0] if error.args else error).split("[")[0].strip().rstrip(".")
