"""A microphone as a recorder: from one moment to another, whole, for recordings that are kept."""

from typing import Any

import numpy as np

from assistant.adapters.speech_in.audio import Samples, resampled
from assistant.adapters.speech_in.errors import HearingError


class MicrophoneRecorder:
    """The microphone of that name, or of which it is a part; None for the system's own."""

    def __init__(self, name: str | None) -> None:
        self._sounddevice = _sounddevice()
        self._device = self._found(name)
        self._rate_hz = int(self._device["default_samplerate"])
        self._blocks: list[Samples] = []
        self._stream: Any = None

    def start(self) -> None:
        """Begin to record; HearingError where the microphone cannot be opened."""
        self._blocks = []
        try:
            self._stream = self._sounddevice.InputStream(
                device=self._device["index"],
                channels=1,
                samplerate=self._rate_hz,
                dtype="float32",
                callback=lambda block, *_: self._blocks.append(block[:, 0].copy()),
            )
            self._stream.start()
        except self._sounddevice.PortAudioError as error:
            raise HearingError(f"{self._device['name']} cannot be recorded from: {_reason(error)}.") from None

    def stop(self) -> Samples:
        """End, and give what was recorded, at 16 kHz; HearingError where the microphone was lost."""
        try:
            self._stream.stop()
            self._stream.close()
        except self._sounddevice.PortAudioError as error:
            raise HearingError(f"{self._device['name']} was lost: {_reason(error)}.") from None
        return resampled(np.concatenate([np.zeros(0, dtype=np.float32), *self._blocks]), self._rate_hz)

    def _found(self, name: str | None) -> dict[str, Any]:
        try:
            devices = [each for each in self._sounddevice.query_devices() if each["max_input_channels"] > 0]
            default = self._sounddevice.default.device[0]
        except self._sounddevice.PortAudioError:
            devices, default = [], -1
        if not devices:
            raise HearingError("This machine has no microphone.")
        if name is None:
            return dict(next((each for each in devices if each["index"] == default), devices[0]))
        fitting = [each for each in devices if name.casefold() in each["name"].casefold()]
        if not fitting:
            there = ", ".join(sorted({each["name"] for each in devices}))
            raise HearingError(f"No microphone is called {name!r}; there are {there}.")
        return dict(fitting[0])


def _reason(error: Exception) -> str:
    return str(error.args[0]).rstrip(".") if error.args else "no reason given"


def _sounddevice() -> Any:  # noqa: ANN401  # a module without types
    try:
        import sounddevice  # noqa: PLC0415  # an extra; loading it loads the system's sound
    except ImportError:
        raise HearingError(
            'A microphone needs the extra "voice": python -m pip install "leadradial[voice]".'
        ) from None
    except OSError:
        raise HearingError("The PortAudio library is missing (Debian: libportaudio2).") from None
    return sounddevice
