"""A loudspeaker for tests: the test itself asks for each block, so that it knows what came when."""

import numpy as np


class PortAudioError(Exception):
    pass


class FakeStream:
    """An output stream at 1000 samples a second, driven by `pull`."""

    def __init__(self, module, callback, channels, samplerate, **options):
        self._callback = callback
        self._channels = channels
        self.options = options
        self.samplerate = samplerate
        self.latency = 0.0
        self.active = False
        self.closed = False
        module.streams.append(self)

    def start(self):
        self.active = True

    def close(self, ignore_errors=True):
        del ignore_errors
        self.active = False
        self.closed = True

    def pull(self, frames):
        """What the loudspeaker gets next, one channel."""
        out = np.full((frames, self._channels), np.nan, dtype=np.float32)
        self._callback(out, frames, None, None)
        assert not np.any(np.isnan(out))
        return out[:, 0]


class FakeSounddevice:
    """Stands in for the module sounddevice; `devices` are (name, interface, output channels)."""

    PortAudioError = PortAudioError

    def __init__(self, devices=(("Headset", "ALSA", 2),), default=0, refuses=False):
        self._devices = devices
        self._refuses = refuses
        self.streams = []
        self.begun = 0
        self.default = type("Default", (), {"device": (-1, default)})

    def _terminate(self):
        for stream in self.streams:
            stream.active = False

    def _initialize(self):
        self.begun += 1

    def query_devices(self):
        return [
            {
                "index": index,
                "name": name,
                "hostapi": self._interfaces().index(interface),
                "max_output_channels": channels,
                "default_samplerate": 1000.0,
            }
            for index, (name, interface, channels) in enumerate(self._devices)
        ]

    def query_hostapis(self):
        return [{"name": name} for name in self._interfaces()]

    def _interfaces(self):
        return sorted({interface for _, interface, _ in self._devices})

    def OutputStream(self, **options):  # noqa: N802  # as the module has it
        if self._refuses:
            raise PortAudioError("Device unavailable [PaErrorCode -9985]")
        return FakeStream(self, **options)
