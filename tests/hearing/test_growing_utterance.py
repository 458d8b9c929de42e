"""An utterance made ready for the recogniser while it is spoken: the same as if it came all at once."""

import numpy as np
import pytest
from hearing_fixtures import FOLDER
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.cepstra import whole_frames
from assistant.adapters.speech_in.end_of_speech import heard_part
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.growing_utterance import GrowingUtterance, can_grow
from benchmarks.sounds import in_noise

BEFORE_S = 0.6
WORDS = read_audio(FOLDER / "festival-kal" / "09.flac")
FRAME = RATE_HZ // 100


def quiet(seconds):
    return np.zeros(round(seconds * RATE_HZ), dtype=np.float32)


def noisy(*parts, snr_db=15.0):
    return in_noise(np.concatenate(parts), snr_db, 3)


def grown(sound, sizes=()):
    """All its frames, and all of it as sound."""
    growing, at, out = GrowingUtterance(BEFORE_S), 0, []
    for size in sizes:
        out.append(growing.take(sound[at : at + size]))
        at += size
    out.append(growing.take(sound[at:]))
    rest, clean = growing.over()
    return np.concatenate([*out, rest]), clean


@settings(deadline=None, max_examples=25)
@given(
    sizes=st.lists(st.integers(0, 6000), max_size=25),
    pause_s=st.floats(0.0, 0.5),
    snr_db=st.sampled_from([None, 15.0, 5.0]),
)
def test_in_whatever_pieces_it_comes_frames_and_sound_are_the_same_to_the_bit(sizes, pause_s, snr_db):
    sound = noisy(WORDS, quiet(pause_s), WORDS[:RATE_HZ], snr_db=snr_db)
    whole_frames_, whole = grown(sound)
    frames, clean = grown(sound, sizes)

    assert np.array_equal(frames, whole_frames_)
    assert np.array_equal(clean.sound, whole.sound)
    assert clean.snr_db == whole.snr_db


@given(asked=st.lists(st.integers(0, 60_000), max_size=4))
@settings(deadline=None, max_examples=15)
def test_whoever_asks_for_the_end_meanwhile_changes_nothing(asked):
    sound = noisy(WORDS, quiet(0.3), WORDS)
    growing, at, out = GrowingUtterance(BEFORE_S), 0, []
    for until in sorted(asked):
        out.append(growing.take(sound[at:until]))
        growing.over()
        at = until
    out += [growing.take(sound[at:]), growing.over()[0]]

    assert np.array_equal(np.concatenate(out), grown(sound)[0])


@pytest.mark.parametrize("snr_db", [15.0, 5.0])
def test_however_long_the_switch_is_held_after_it_the_frames_are_the_same(snr_db):
    longer = noisy(WORDS, quiet(1.5), snr_db=snr_db)
    shorter = longer[: len(heard_part(longer, BEFORE_S))]

    assert len(shorter) < len(longer) - 0.8 * RATE_HZ
    assert np.array_equal(grown(longer)[0], grown(shorter)[0])


def test_in_the_quiet_after_it_hardly_a_frame_is_left():
    sound = noisy(WORDS, quiet(1.0))
    growing = GrowingUtterance(BEFORE_S)
    growing.take(sound)

    # The filter's windows hold 32 ms back, those of the cepstra 26, and it is looked at every 16.
    assert len(growing.over()[0]) <= 8


def test_a_word_is_ready_in_the_pause_after_it_though_more_would_be_waited_for():
    growing = GrowingUtterance(BEFORE_S)
    growing.take(noisy(WORDS[: round(0.7 * RATE_HZ)], quiet(0.6)))

    # 0.7 s of words, and a margin of 0.2 s before them.
    assert len(growing.over()[0]) <= 8


def test_while_it_is_spoken_little_more_than_a_second_of_it_waits():
    growing = GrowingUtterance(BEFORE_S)
    sound = noisy(WORDS, WORDS)
    given_s = 2.5
    frames = growing.take(sound[: round((BEFORE_S + given_s) * RATE_HZ)])

    # What is ahead of the words is a part of it, too, if it was less than 0.2 s before them.
    assert given_s - 1.4 < len(frames) / 100 < given_s + 0.2


@pytest.mark.parametrize("snr_db", [15.0, 5.0])
def test_in_noise_it_is_the_whole_utterances_front_end_with_hardly_a_difference(snr_db):
    """The filter is the same; the first of it stands in for the whole where that is measured."""
    sound = noisy(WORDS, snr_db=snr_db)
    whole = cleaned(heard_part(sound, BEFORE_S), BEFORE_S)
    _, clean = grown(sound)
    frames, theirs = whole_frames(clean.sound), whole_frames(whole.sound)
    both = min(len(frames), len(theirs))

    assert len(frames) == pytest.approx(len(theirs), abs=15)
    assert clean.snr_db == pytest.approx(whole.snr_db, abs=1.0)
    # Beside how much they vary: the noise that is left may lie a few decibels higher or lower.
    assert np.square(frames[:both] - theirs[:both]).mean() < 0.05 * np.square(theirs).mean()


def test_a_voice_that_is_louder_by_twenty_decibels_has_the_same_frames():
    sound = noisy(WORDS, snr_db=15.0)

    # But for the 32-bit numbers of sound.
    assert grown(sound * np.float32(0.1))[0] == pytest.approx(grown(sound)[0], abs=0.02)


def test_of_noise_alone_nothing_begins():
    growing = GrowingUtterance(BEFORE_S)

    assert len(growing.take(np.random.default_rng(1).normal(0.0, 0.01, 30_000).astype(np.float32))) == 0
    assert not growing.has_begun


def test_too_little_before_the_press_does_not_tell_the_noise():
    assert can_grow(0.25)
    assert not can_grow(0.24)
