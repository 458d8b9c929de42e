"""The mean taken off frames while they come: each goes through once, in order, with the mean it should."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.speech_in.running_mean import RunningMean

CHANCE = np.random.default_rng(6)


def frames(count):
    return CHANCE.normal(10.0, 5.0, (count, 13))


def all_of(mean, pieces):
    return np.concatenate([*map(mean.take, pieces), mean.rest()])


def test_a_frame_has_the_mean_of_all_up_to_as_far_ahead_as_it_waits():
    """By the definition, frame by frame: 0.1 s are ten frames."""
    sound = frames(50)
    out = all_of(RunningMean(0.1), [sound])

    by_hand = [frame - sound[: min(at + 11, 50)].mean(axis=0) for at, frame in enumerate(sound)]
    assert out == pytest.approx(np.array(by_hand))


def test_a_short_utterance_has_the_mean_of_the_whole():
    sound = frames(30)

    assert all_of(RunningMean(0.3), [sound[:7], sound[7:]]) == pytest.approx(sound - sound.mean(axis=0))


def test_what_waited_at_a_pause_has_the_mean_of_all_before_it_and_what_follows_just_goes_on():
    sound = frames(60)
    mean = RunningMean(0.2)
    before, at_pause, after = mean.take(sound[:40]), mean.rest(), [mean.take(sound[40:]), mean.rest()]

    assert (len(before), len(at_pause)) == (20, 20)
    assert at_pause == pytest.approx(sound[20:40] - sound[:40].mean(axis=0))
    assert np.concatenate(after) == pytest.approx(sound[40:] - sound.mean(axis=0))


@given(sizes=st.lists(st.integers(0, 40), max_size=12), ahead_s=st.sampled_from([0.0, 0.01, 0.25, 0.8]))
def test_in_whatever_pieces_they_come_every_frame_goes_through_once_and_the_same_to_the_bit(sizes, ahead_s):
    sound = frames(sum(sizes))
    pieces = np.split(sound, np.cumsum(sizes))

    assert np.array_equal(all_of(RunningMean(ahead_s), pieces), all_of(RunningMean(ahead_s), [sound]))


def test_none_waits_longer_than_it_should():
    mean = RunningMean(0.1)

    assert len(mean.take(frames(10))) == 0
    assert len(mean.take(frames(1))) == 1
    assert len(mean.take(frames(100))) == 100
