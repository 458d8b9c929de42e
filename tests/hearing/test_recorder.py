"""A microphone as a recorder, with a sound system that only pretends."""

from types import SimpleNamespace

import numpy as np
import pytest

from assistant.adapters.speech_in import recorder
from assistant.adapters.speech_in.audio import RATE_HZ
from assistant.adapters.speech_in.errors import HearingError


class PortAudioError(Exception):
    pass


class Stream:
    """Gives half a second of a tone at 48 kHz in two blocks as soon as it starts."""

    fails_at = ""

    def __init__(self, *, callback, samplerate, **_):
        assert samplerate == 48_000.0
        self._callback = callback
        self._may("open")

    def start(self):
        tone = 0.5 * np.sin(2.0 * np.pi * 440.0 * np.arange(24_000) / 48_000.0).astype(np.float32)
        for block in (tone[:10_000], tone[10_000:]):
            self._callback(block[:, np.newaxis], len(block), None, None)

    def stop(self):
        self._may("stop")

    def close(self):
        pass

    def _may(self, what):
        if self.fails_at == what:
            raise PortAudioError("Device unavailable.")


@pytest.fixture
def microphone(monkeypatch):
    monkeypatch.setattr(
        recorder,
        "sounddevice_module",
        lambda: SimpleNamespace(InputStream=Stream, PortAudioError=PortAudioError),
    )
    monkeypatch.setattr(
        recorder, "input_device", lambda _: SimpleNamespace(index=0, name="headset", rate_hz=48_000.0)
    )
    return recorder.MicrophoneRecorder("head")


def test_what_was_heard_between_start_and_stop_is_whole_and_at_16_khz_each_time_anew(microphone):
    for _ in range(2):
        microphone.start()
        sound = microphone.stop()

        assert len(sound) == RATE_HZ // 2
        # A sine of 0.5 has an effective value of 0.354.
        assert np.sqrt(np.mean(sound[1000:-1000] ** 2)) == pytest.approx(0.354, abs=0.005)


@pytest.mark.parametrize(("fails_at", "says"), [("open", "cannot be recorded from"), ("stop", "was lost")])
def test_a_microphone_that_fails_is_one_sentence(microphone, monkeypatch, fails_at, says):
    monkeypatch.setattr(Stream, "fails_at", fails_at)

    def record():
        microphone.start()
        microphone.stop()

    with pytest.raises(HearingError, match=f"^headset {says}.*: Device unavailable.$"):
        record()
