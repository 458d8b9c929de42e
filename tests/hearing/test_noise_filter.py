"""The filter turns noise down evenly, to a fixed distance below the speech, and leaves the speech."""

import numpy as np
import pytest

from assistant.adapters.speech_in.noise_filter import gains

FRAMES, FREQUENCIES = 300, 257


def noise(seed):
    """The power of noise of mean 1: of each frame and frequency exponentially distributed."""
    return np.random.default_rng(seed).exponential(1.0, (FRAMES, FREQUENCIES)).astype(np.float32)


MEAN = np.ones(FREQUENCIES, dtype=np.float32)


@pytest.mark.parametrize(("snr_db", "left_db"), [(5.0, -23.0), (15.0, -13.0)])
def test_what_is_left_of_noise_lies_twenty_eight_decibels_below_the_speech(snr_db, left_db):
    """5 dB of speech over noise and 23 dB off the noise are 28; chance lets a little more by."""
    left = 10.0 * np.log10((noise(1) * gains(noise(1), MEAN, snr_db) ** 2).mean())

    assert left_db - 0.1 < left < left_db + 2.0


def test_speech_far_above_the_noise_is_left_as_it_is():
    power = noise(2)
    power[100:200, 60:120] += 1000.0

    assert gains(power, MEAN, 15.0)[102:199, 70:110].min() > 0.98


def test_noise_alone_makes_no_sounds_of_its_own():
    """With each frequency by itself 4.4 % stood out at double (the filter before this one, measured)."""
    found = gains(noise(3), MEAN, 5.0)

    assert (found > 2.0 * found.min()).mean() < 0.01


def test_the_softest_speech_in_the_loudest_noise_is_not_turned_off():
    assert gains(noise(4), MEAN, -40.0).min() == pytest.approx(0.05)


def test_a_gain_knows_nothing_later_than_the_frame_after_it():
    power = noise(5)
    other = power.copy()
    other[151:] *= 50.0

    assert (gains(power, MEAN, 8.0)[:150] == gains(other, MEAN, 8.0)[:150]).all()


def test_noise_that_is_louder_in_one_band_is_known_by_its_own_mean():
    mean = np.ones(FREQUENCIES, dtype=np.float32)
    mean[:40] = 100.0
    found = gains(noise(6) * mean, mean, 5.0)

    assert found[:, :30].mean() == pytest.approx(found[:, 50:].mean(), rel=0.15)
