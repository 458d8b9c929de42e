"""Renderers for tests: they make tones, so that a test knows what it hears and needs no speech engine."""

import numpy as np

from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.sound import Sound

RATE_HZ = 22_050


def tone(frequency_hz=440.0, duration_s=0.5, amplitude=0.3, rate_hz=RATE_HZ):
    times_s = np.arange(int(duration_s * rate_hz)) / rate_hz
    samples = amplitude * np.sin(2.0 * np.pi * frequency_hz * times_s)
    return Sound(samples=samples.astype(np.float32), rate_hz=rate_hz)


class ToneRenderer:
    """Half a second of tone for anything; keeps what was asked of it, and fails when told to."""

    key = "tones"

    def __init__(self):
        self.rendered = []
        self.failing = False
        self.closed = False

    def render(self, sentence):
        if self.failing:
            raise VoiceUnavailable("No voice today.")
        self.rendered.append(sentence)
        return tone()

    def close(self):
        self.closed = True
