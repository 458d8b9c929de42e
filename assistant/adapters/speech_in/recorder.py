"""A microphone as a recorder: from one moment to another, whole, for recordings that are kept."""

from typing import Any

import numpy as np

from assistant.adapters.speech_in.audio import Samples, resampled
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.microphones import input_device, sounddevice_module


class MicrophoneRecorder:
    """The microphone of that name, or of which it is a part; None for the system's own."""

    def __init__(self, name: str | None) -> None:
        self._sounddevice = sounddevice_module()
        self._device = input_device(name)
        self._blocks: list[Samples] = []
        self._stream: Any = None

    def start(self) -> None:
        """Begin to record; HearingError where the microphone cannot be opened."""
        self._blocks = []
        try:
            self._stream = self._sounddevice.InputStream(
                device=self._device.index,
                channels=1,
                samplerate=self._device.rate_hz,
                dtype="float32",
                callback=lambda block, *_: self._blocks.append(block[:, 0].copy()),
            )
            self._stream.start()
        except self._sounddevice.PortAudioError as error:
            raise HearingError(f"{self._device.name} cannot be recorded from: {_reason(error)}.") from None

    def stop(self) -> Samples:
        """End, and give what was recorded, at 16 kHz; HearingError where the microphone was lost."""
        try:
            self._stream.stop()
            self._stream.close()
        except self._sounddevice.PortAudioError as error:
            raise HearingError(f"{self._device.name} was lost: {_reason(error)}.") from None
        whole = np.concatenate([np.zeros(0, dtype=np.float32), *self._blocks])
        return resampled(whole, int(self._device.rate_hz))


def _reason(error: Exception) -> str:
    return str(error.args[0]).rstrip(".") if error.args else "no reason given"
