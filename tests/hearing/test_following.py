"""A recogniser is given every frame of an utterance once and in order, however the sound comes."""

import numpy as np
import pytest
from hearing_fixtures import FOLDER
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.following import Follower
from benchmarks.sounds import in_noise

BEFORE_S = 0.6
WORDS = read_audio(FOLDER / "festival-kal" / "09.flac")
PAUSED = in_noise(np.concatenate([WORDS, np.zeros(RATE_HZ, np.float32), WORDS]), 15.0, 1)
PAUSE = round((BEFORE_S + 0.9) * RATE_HZ) + len(WORDS)


class Following:
    """Keeps the frames of each utterance that it is told of, and by which sound it is to be asked."""

    name = "following"

    def __init__(self):
        self.utterances = []
        self.sounds = []
        self.begun = 0

    def begins(self):
        self.begun += 1

    def follow_anew(self):
        self.utterances.append([])

    def follow(self, frames):
        self.utterances[-1].append(frames)

    def followed(self, sound):
        self.sounds.append(sound)

    def prepare(self, key, grammar): ...

    def decode(self, key, sound): ...

    def strangeness(self, sound, score): ...

    def frames(self, number=-1):
        return np.concatenate(self.utterances[number])


class WholeOnly:
    """A recogniser that takes whole sounds."""

    name = "whole"


def over(sound, before_s=BEFORE_S):
    """What a recogniser has of a sound that comes all at once."""
    recogniser = Following()
    Follower(recogniser).over(None, sound, before_s)
    return recogniser.frames()


@settings(deadline=None, max_examples=25)
@given(sizes=st.lists(st.integers(1, 9000), max_size=20), overlap=st.integers(0, 3000))
def test_pieces_that_overlap_or_are_missing_at_the_end_make_no_difference(sizes, overlap):
    recogniser = Following()
    follower = Follower(recogniser)
    at = 0
    for size in sizes:
        first = max(at - overlap, 0)
        follower.take(1, first, PAUSED[first : at + size], BEFORE_S)
        at += size
    clean = follower.over(1, PAUSED, BEFORE_S)

    assert np.array_equal(recogniser.frames(), over(PAUSED))
    assert recogniser.sounds[-1] is clean.sound


def test_after_a_gap_the_rest_is_taken_when_it_is_over():
    recogniser = Following()
    follower = Follower(recogniser)
    follower.take(1, 0, PAUSED[:20_000], BEFORE_S)
    follower.take(1, 30_000, PAUSED[30_000:40_000], BEFORE_S)
    follower.over(1, PAUSED, BEFORE_S)

    assert np.array_equal(recogniser.frames(), over(PAUSED))


def test_who_goes_on_after_it_was_over_is_followed_anew_from_the_beginning():
    recogniser = Following()
    follower = Follower(recogniser)
    follower.take(1, 0, PAUSED[:PAUSE], BEFORE_S)
    first = follower.over(1, PAUSED[:PAUSE], BEFORE_S)
    follower.take(1, PAUSE, PAUSED[PAUSE:], BEFORE_S)
    both = follower.over(1, PAUSED, BEFORE_S)

    assert len(recogniser.utterances) == 2
    assert np.array_equal(recogniser.frames(0), over(PAUSED[:PAUSE]))
    assert np.array_equal(recogniser.frames(1), over(PAUSED))
    assert len(both.sound) > 1.8 * len(first.sound)


def test_who_stays_quiet_after_it_was_over_costs_nothing_and_is_the_same_sound():
    recogniser = Following()
    follower = Follower(recogniser)
    sound = PAUSED[:PAUSE]
    first = follower.over(1, sound[: -RATE_HZ // 4], BEFORE_S)
    follower.take(1, len(sound) - RATE_HZ // 4, sound[-RATE_HZ // 4 :], BEFORE_S)

    assert follower.over(1, sound, BEFORE_S) is first
    assert len(recogniser.utterances) == len(recogniser.sounds) == 1


def test_every_press_is_an_utterance_of_its_own_also_of_the_same_words():
    recogniser = Following()
    follower = Follower(recogniser)
    for number in (1, 2, None, None):
        follower.over(number, PAUSED[:PAUSE], BEFORE_S)

    assert len(recogniser.utterances) == recogniser.begun == 4
    assert all(np.array_equal(recogniser.frames(at), recogniser.frames(0)) for at in range(4))


@pytest.mark.parametrize("before_s", [0.0, 0.2])
def test_where_too_little_came_before_the_press_it_is_heard_whole_once_it_is_over(before_s):
    recogniser = Following()
    follower = Follower(recogniser)
    follower.take(1, 0, PAUSED[:20_000], before_s)
    assert recogniser.utterances == []
    clean = follower.over(1, PAUSED, before_s)

    assert len(recogniser.frames()) == pytest.approx(len(clean.sound) / 160, abs=2)
    # Its mean is that of the whole.
    assert recogniser.frames().mean(axis=0) == pytest.approx(np.zeros(13), abs=1e-6)


def test_where_nothing_stands_above_the_noise_it_is_heard_whole():
    recogniser = Following()
    noise = np.random.default_rng(1).normal(0.0, 0.01, 30_000).astype(np.float32)
    clean = Follower(recogniser).over(None, noise, BEFORE_S)

    assert len(clean.sound) > 20_000
    assert recogniser.sounds == [clean.sound]


def test_a_recogniser_that_takes_whole_sounds_is_given_none_before():
    follower = Follower(WholeOnly())
    follower.take(1, 0, PAUSED[:20_000], BEFORE_S)

    assert len(follower.over(1, PAUSED, BEFORE_S).sound) > 2 * len(WORDS)
