"""Where speech ended, told while it is recorded: the quiet after it makes no difference."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.speech_in.end_of_speech import EndOfSpeech, heard_part

RATE_HZ = 16_000
BEFORE_S = 0.6


def noise(seconds, level, seed=1):
    chance = np.random.default_rng(seed)
    return chance.normal(0.0, level, round(seconds * RATE_HZ)).astype(np.float32)


def tone(seconds):
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return (0.3 * np.sin(2.0 * np.pi * 1000.0 * time_s)).astype(np.float32)


def utterance(level, after_s=1.0):
    """A second of tone from 0.6 to 1.6 s, over noise."""
    words = np.concatenate([np.zeros(round(BEFORE_S * RATE_HZ), np.float32), tone(1.0)])
    whole = np.pad(words, (0, round(after_s * RATE_HZ)))
    return whole + noise(len(whole) / RATE_HZ, level)


@pytest.mark.parametrize(
    ("level", "kept_s"),
    [
        # The tone has a power of 0.045; above 300 Hz nearly all of each is left. 45 000 times the noise:
        (0.001, 0.1),
        # and twice the noise.
        (0.15, 0.25),
    ],
)
def test_an_utterance_is_heard_up_to_a_margin_after_its_last_sound(level, kept_s):
    heard_s = len(heard_part(utterance(level), BEFORE_S)) / RATE_HZ

    # Of frames of 32 ms and a mean over four of them it cannot be known more closely.
    assert 1.6 + kept_s - 0.02 <= heard_s <= 1.6 + kept_s + 0.1


@settings(deadline=None, max_examples=25)
@given(after_s=st.floats(0.4, 2.0), pieces=st.lists(st.integers(1, 5000), min_size=1, max_size=20))
def test_however_long_it_is_and_in_whatever_pieces_it_comes_the_end_is_the_same(after_s, pieces):
    sound = utterance(0.01, 2.0)
    shorter = sound[: round((1.6 + after_s) * RATE_HZ)]
    end = EndOfSpeech(BEFORE_S)
    at = 0
    for size in pieces:
        end.take(shorter[at : at + size])
        at += size
    end.take(shorter[at:])

    assert end.at == len(heard_part(sound, BEFORE_S))
    assert end.has_passed(end.at)
    assert not end.has_passed(end.at - 1)


def test_while_somebody_speaks_nothing_has_passed():
    end = EndOfSpeech(BEFORE_S)
    sound = utterance(0.001)[: round(1.5 * RATE_HZ)]
    for at in range(0, len(sound), 320):
        end.take(sound[at : at + 320])

        assert not end.has_passed(at + 320)


def test_who_goes_on_after_a_pause_is_heard_to_the_end():
    second = utterance(0.001)[round(BEFORE_S * RATE_HZ) :]
    both = np.concatenate([utterance(0.001), second])

    assert len(heard_part(both, BEFORE_S)) / RATE_HZ == pytest.approx(2.6 + 1.0 + 0.1, abs=0.1)


@pytest.mark.parametrize("before_s", [0.0, 0.2])
def test_where_too_little_came_before_to_know_the_noise_by_all_is_heard(before_s):
    sound = utterance(0.001)

    assert len(heard_part(sound, before_s)) == len(sound)


def test_who_begins_to_speak_before_the_press_is_heard_to_the_end():
    early = utterance(0.001)[round(0.35 * RATE_HZ) :]

    # Now the tone begins at 0.25 s of the 0.6 s that are taken for noise, and ends at 1.25 s.
    assert len(heard_part(early, BEFORE_S)) / RATE_HZ == pytest.approx(1.25 + 0.1, abs=0.1)


def test_of_noise_alone_all_is_heard():
    sound = noise(3.0, 0.1)

    assert len(heard_part(sound, BEFORE_S)) == len(sound)
