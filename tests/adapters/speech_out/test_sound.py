"""Sounds are evened as ears hear them, and never clip."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tone_voice import tone

from assistant.adapters.speech_out.sound import (
    LOUDNESS_LUFS,
    PEAK,
    Sound,
    as_flac,
    cue_tone,
    evened,
    from_file,
    joined,
    loudness_lufs,
    resampled,
)


def test_loudness_is_that_of_the_standards_own_reference():
    """ITU-R BS.1770-4, annex 1: a 0 dBFS sine of 997 Hz in one front channel reads -3.01 LKFS."""
    reference = tone(997.0, duration_s=3.0, amplitude=1.0, rate_hz=48_000)

    assert loudness_lufs(reference) == pytest.approx(-3.01, abs=0.05)


@pytest.mark.parametrize("amplitude", [0.02, 0.2, 0.9])
@pytest.mark.parametrize("duration_s", [0.2, 0.5, 2.0])
def test_soft_and_loud_short_and_long_come_out_equally_loud(amplitude, duration_s):
    sound = evened(tone(800.0, duration_s=duration_s, amplitude=amplitude))

    assert loudness_lufs(sound) == pytest.approx(LOUDNESS_LUFS, abs=0.3)


@given(seed=st.integers(0, 1000), crest=st.integers(1, 4000))
@settings(max_examples=30, deadline=None)
def test_no_sound_is_made_to_clip_however_its_peaks_stand_out(seed, crest):
    noise = np.random.default_rng(seed).normal(0.0, 0.001, 22_050)
    noise[::crest] = 1.0

    assert np.max(np.abs(evened(Sound(samples=noise.astype(np.float32), rate_hz=22_050)).samples)) <= PEAK


def test_silence_before_the_first_word_is_cut_since_it_would_make_the_voice_late():
    silence = np.zeros(11_025, dtype=np.float32)
    late = Sound(samples=np.concatenate([silence, tone().samples, silence]), rate_hz=22_050)

    sound = evened(late)

    assert sound.duration_s == pytest.approx(0.5, abs=0.05)
    assert int(np.argmax(np.abs(sound.samples) > 0.01)) < 0.02 * 22_050


def test_silence_stays_silence():
    silence = Sound(samples=np.zeros(8_000, dtype=np.float32), rate_hz=16_000)

    assert not np.any(evened(silence).samples)


def test_sentences_are_joined_with_a_breath_between():
    """Half a second, 0.12 s of breath, half a second."""
    assert joined((tone(), tone())).duration_s == pytest.approx(1.12, abs=0.01)


def test_a_sound_at_another_rate_lasts_as_long_and_has_the_same_pitch():
    sound = resampled(tone(440.0), 48_000)

    spectrum = np.abs(np.fft.rfft(sound.samples))
    assert sound.duration_s == pytest.approx(0.5, abs=0.01)
    assert np.argmax(spectrum) * 48_000 / len(sound.samples) == pytest.approx(440.0, abs=3.0)


def test_a_sound_kept_as_flac_comes_back_to_16_bits():
    kept = from_file(as_flac(tone()))

    assert kept.rate_hz == 22_050
    assert np.max(np.abs(kept.samples - tone().samples)) < 2.0 / 32_768


def test_what_is_no_sound_is_refused():
    with pytest.raises(OSError, match="not a sound"):
        from_file(b"RIFF, but no more")


def test_the_cue_tone_is_short_and_soft():
    sound = cue_tone(48_000)

    assert sound.duration_s < 0.15
    assert np.max(np.abs(sound.samples)) < 0.15
