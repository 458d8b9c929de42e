"""The live microphone's way to 16 kHz: no seams, no aliases, and hardly any delay."""

import numpy as np
import pytest

from assistant.adapters.speech_in.audio import RATE_HZ
from assistant.adapters.speech_in.converter import Converter

RATES_HZ = [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000]


def in_blocks(sound, rate_hz, block=441):
    converter = Converter(rate_hz)
    return [converter.converted(sound[start : start + block]) for start in range(0, len(sound), block)]


def tone(frequency_hz, rate_hz, duration_s=1.0):
    return np.sin(2.0 * np.pi * frequency_hz * np.arange(int(duration_s * rate_hz)) / rate_hz).astype(
        np.float32
    )


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("channels", [1, 2])
def test_a_tone_comes_out_as_the_same_tone_in_its_place_without_seams(rate_hz, channels):
    frames = np.repeat(tone(440.0, rate_hz)[:, np.newaxis], channels, axis=1)

    out = np.concatenate(in_blocks(frames, rate_hz))

    expected = tone(440.0, RATE_HZ)[: len(out)]
    # Half the filter at the beginning leans on silence.
    assert np.abs(out - expected)[100:].max() < 0.005


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("block", [1, 7, 480])
def test_what_was_heard_is_handed_on_within_five_milliseconds(rate_hz, block):
    sound = np.ones(rate_hz // 10, dtype=np.float32)
    taken_s = given_s = 0.0
    for out in in_blocks(sound, rate_hz, block):
        taken_s = min(taken_s + block / rate_hz, len(sound) / rate_hz)
        given_s += len(out) / RATE_HZ
        assert given_s <= taken_s + 1.0 / RATE_HZ
        # Half the filter, 36 samples of the slower rate, and up to one of either.
        assert taken_s - given_s < 38.0 / min(rate_hz, RATE_HZ)
    assert given_s > 0.09


@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000, 96_000])
def test_speech_passes_and_what_16_khz_cannot_hold_does_not_come_back_as_something_else(rate_hz):
    passed = np.concatenate(in_blocks(tone(6_500.0, rate_hz), rate_hz))[200:]
    stopped = np.concatenate(in_blocks(tone(8_800.0, rate_hz), rate_hz))[200:]

    # A tone of amplitude 1 has the power 1/2: 0.5 dB, and 50 dB below.
    assert np.mean(np.square(passed)) == pytest.approx(0.5, rel=0.06)
    assert np.mean(np.square(stopped)) < 0.5e-5
