"""Cepstra of our own are those that the decoder works out for itself."""

import numpy as np
import pytest
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.acoustic_model import features
from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.cepstra import cepstra
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.pocketsphinx_recogniser import SETTINGS


def test_they_are_those_that_the_decoder_writes_down():
    sound = cleaned(read_audio(FOLDER / "flite-rms/03.flac")).sound
    (theirs,) = features([sound], SETTINGS)
    ours = cepstra(sound)
    # The decoder fills a last frame with nothing; it is in its mean, by which all frames then differ.
    apart = theirs[0, : len(ours)] - ours

    assert len(theirs[0]) - len(ours) in (0, 1)
    assert np.abs(apart - apart.mean(axis=0)).max() < 0.01
    assert np.abs(apart.mean(axis=0)).max() < 0.3


def test_their_mean_over_the_sound_is_nought():
    sound = 0.1 * np.random.default_rng(1).standard_normal(RATE_HZ).astype(np.float32)

    assert cepstra(sound).mean(axis=0) == pytest.approx(np.zeros(13), abs=1e-9)


def test_loudness_makes_no_difference():
    """A factor on the sound is an offset of its logarithm, which goes with the mean; rounding is left."""
    sound = 0.05 * np.random.default_rng(2).standard_normal(RATE_HZ).astype(np.float32)

    assert cepstra(sound) == pytest.approx(cepstra(4.0 * sound), abs=0.02)


@pytest.mark.parametrize("samples", [0, 1, 409])
def test_less_than_a_frame_has_none(samples):
    assert cepstra(np.zeros(samples, dtype=np.float32)).shape == (0, 13)
