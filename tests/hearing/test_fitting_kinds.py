"""The tool that learns other kinds of sound finds what was put in."""

import numpy as np
import pytest

from assistant.adapters.speech_in.acoustic_model import AcousticModel
from assistant.adapters.speech_in.audio import RATE_HZ
from assistant.adapters.speech_in.voice_fitting import Timed
from tools.fit_kinds_of_sound import Followed, altered, by_one_map, narrow, summed

CHANCE = np.random.default_rng(6)
MEANS = CHANCE.normal(0.0, 10.0, (2, 3, 40, 13))
MODEL = AcousticModel(sounds=("SIL", "AA"), means=MEANS, variances=np.full(MEANS.shape, 0.5))


def test_means_that_lie_elsewhere_by_one_map_are_found():
    """Stretched by 1.25 and moved by 3; the hold towards the model costs a little of it."""
    frames = np.full(MEANS.shape[:3], 50.0)
    moved = by_one_map(MODEL, frames, 1.25 * MEANS + 3.0)

    assert np.abs(moved - (1.25 * MEANS + 3.0)).mean() < 0.2


def test_bells_without_frames_follow_the_map_of_the_others():
    frames = np.full(MEANS.shape[:3], 50.0)
    frames[0, :, :10] = 0.0
    towards = 1.25 * MEANS + 3.0
    towards[0, :, :10] = 1000.0

    assert np.abs(by_one_map(MODEL, frames, towards) - (1.25 * MEANS + 3.0)).mean() < 0.2


@pytest.mark.parametrize("late", [-4000, 0, 333, 4000])
def test_a_sound_that_was_cut_otherwise_is_laid_frame_on_frame(late):
    whole = CHANCE.standard_normal(3 * RATE_HZ).astype(np.float32)
    clean = Followed(sound=whole[8000:40000], original=whole, number=0, sounds=())
    cut, offset = altered(clean, 0.5 * whole[8000 + late : 36000])

    # Its first sample is the first of a frame of the clean one, or of one before that.
    at = 8000 + 160 * offset
    assert (cut == 0.5 * whole[at:36000]).all()


def test_a_frame_before_and_its_twin_after_are_counted_for_the_same_bell():
    """Every frame lies on a mean of AA, and its twin, two frames later in the other, is 2 greater."""
    bells = CHANCE.integers(0, 40, 60)
    before = MEANS[1][:, bells]
    after = np.concatenate([np.zeros((3, 2, 13)), before + 2.0], axis=1)
    sounds = (Timed(sound="AA", first=0, last=59),)
    clean = Followed(sound=np.zeros(1, np.float32), original=np.zeros(1, np.float32), number=0, sounds=sounds)
    sums = summed(MODEL, [(clean, before, after, -2)])
    heard = sums.frames[1] > 0.5

    assert sums.frames[1, 0].sum() == pytest.approx(60.0)
    shifts = (sums.after - sums.before)[1][heard] / sums.frames[1][heard][:, None]
    assert shifts == pytest.approx(np.full(shifts.shape, 2.0), abs=1e-6)


def test_narrow_takes_away_what_lies_above_four_kilohertz_and_nothing_else():
    time_s = np.arange(RATE_HZ) / RATE_HZ
    low, high = (np.sin(2.0 * np.pi * hertz * time_s).astype(np.float32) for hertz in (1000, 6000))

    assert np.std(narrow(high)[1000:-1000]) < 0.01
    assert np.std(narrow(low)[1000:-1000]) == pytest.approx(0.5**0.5, rel=0.01)
