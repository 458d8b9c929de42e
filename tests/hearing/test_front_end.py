"""The front end takes noise out, leaves clean speech alone, and says how loud the noise was."""

import numpy as np
import pytest
import soundfile
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.audio import RATE_HZ, pcm16, read_audio, resampled
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.front_end import cleaned

TIME_S = np.arange(RATE_HZ) / RATE_HZ
CHANCE = np.random.default_rng(1)


def tone_in_noise(noise_rms):
    """0.6 s of noise, then a second of a 1 kHz tone of rms 0.2 in the same noise."""
    tone = np.concatenate([np.zeros(9600), 0.2 * 2**0.5 * np.sin(2 * np.pi * 1000 * TIME_S)])
    return (tone + noise_rms * CHANCE.standard_normal(len(tone))).astype(np.float32)


@pytest.mark.parametrize(("noise_rms", "snr_db"), [(0.02, 20.0), (0.063, 10.0)])
def test_the_signal_to_noise_ratio_is_found(noise_rms, snr_db):
    """20 log10(0.2 / 0.02) = 20 dB; 20 log10(0.2 / 0.063) = 10 dB."""
    assert cleaned(tone_in_noise(noise_rms), 0.6).snr_db == pytest.approx(snr_db, abs=1.5)


def test_noise_is_reduced_and_the_tone_is_kept():
    sound = cleaned(tone_in_noise(0.063), 0.6).sound
    spectrum = np.abs(np.fft.rfft(sound[-RATE_HZ // 2 :])) ** 2
    tone = spectrum[495:506].sum()

    # Before: 10 dB, that is a tenth. Left are 28 dB below the tone, and what is in the tone's own band.
    assert spectrum.sum() - tone < 0.03 * tone


def test_above_thirty_decibels_nothing_is_filtered_but_a_faint_noise_is_laid_under():
    """Noise 35 dB below: the correlation of tone and tone with noise is (1 + 10^-3.5)^-0.5 = 0.99984.

    Within 3 dB of that, since a second of pink noise is not all of it: 0.99968 to 0.99992.
    """
    sound = tone_in_noise(0.0005)
    result = cleaned(sound, 0.6).sound

    assert 0.99968 < np.corrcoef(sound[-RATE_HZ:], result[-RATE_HZ:])[0, 1] < 0.99992


def test_after_exact_silence_speech_is_cut_out_as_after_a_faint_hiss():
    word = read_audio(FOLDER / "festival-kal/09.flac")
    silent = np.concatenate([np.zeros(RATE_HZ, dtype=np.float32), word, np.zeros(RATE_HZ, dtype=np.float32)])
    hissing = silent + (1e-4 * CHANCE.standard_normal(len(silent))).astype(np.float32)

    assert len(cleaned(silent, 0.6).sound) == pytest.approx(len(cleaned(hissing, 0.6).sound), rel=0.1)
    assert len(cleaned(silent, 0.6).sound) < len(word) + 0.5 * RATE_HZ


@pytest.mark.parametrize("sound", [np.zeros(0), np.zeros(100), np.zeros(RATE_HZ), np.ones(RATE_HZ)])
def test_silence_and_hardly_any_sound_are_taken_quietly(sound):
    assert np.isfinite(cleaned(sound.astype(np.float32), 0.6).sound).all()


def test_resampling_keeps_a_tone_at_its_pitch():
    at_48k = np.sin(2 * np.pi * 1000 * np.arange(48_000) / 48_000).astype(np.float32)
    spectrum = np.abs(np.fft.rfft(resampled(at_48k, 48_000)))

    assert int(spectrum.argmax()) == 1000


def test_stereo_at_another_rate_is_read_as_one_channel_at_sixteen_kilohertz(tmp_path):
    path = tmp_path / "stereo.wav"
    soundfile.write(path, np.zeros((44_100, 2)), 44_100)

    assert len(read_audio(path)) == pytest.approx(RATE_HZ, abs=2)


@pytest.mark.parametrize(("name", "reason"), [("missing.wav", "no such file"), ("text.wav", "no recording")])
def test_what_cannot_be_read_is_one_sentence(tmp_path, name, reason):
    (tmp_path / "text.wav").write_text("not sound")

    with pytest.raises(HearingError, match=reason):
        read_audio(tmp_path / name)


def test_sound_beyond_full_scale_is_cut_and_does_not_wrap_round():
    assert pcm16(np.array([2.0, -2.0], dtype=np.float32)) == b"\xff\x7f\x01\x80"


def test_fixtures_are_what_recognisers_take():
    assert soundfile.info(str(FOLDER / "festival-kal/00.flac")).samplerate == RATE_HZ
