"""Each utterance is heard by means of its own kind of sound."""

import shutil
from pathlib import Path

import numpy as np
import pocketsphinx
import pytest
from hearing_fixtures import FOLDER, NAMES, manifest, recordings
from scipy.signal import resample_poly

from assistant.adapters.speech_in.acoustic_model import CEPSTRA, STREAMS, acoustic_model, bells_file
from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.kinds_of_sound import Kind, kinds_of_sound, quantised
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.spoken_grammar import row, spoken_grammar
from assistant.adapters.speech_in.suited_recogniser import SuitedRecogniser
from assistant.language.grammar import grammar
from benchmarks.sounds import BEFORE_S, in_noise

MODEL = Path(pocketsphinx.get_model_path(), "en-us", "en-us")


@pytest.fixture(scope="module")
def kinds():
    return kinds_of_sound(MODEL)


@pytest.fixture(scope="module")
def suited():
    return SuitedRecogniser()


def chatter(voice, count=6):
    """What no kind was learned from: talk that is not for us."""
    return [
        read_audio(FOLDER / entry["file"])
        for entry in manifest()
        if entry["voice"] == voice and entry["kind"] == "negative"
    ][:count]


def without_treble(sound):
    return resample_poly(resample_poly(sound, 1, 2), 2, 1).astype(np.float32)


@pytest.mark.parametrize("noise_db", [None, 15.0, 5.0])
def test_a_voice_made_by_formants_is_known_in_noise_too(kinds, noise_db):
    for number, sound in enumerate(chatter("espeak-gb")):
        assert kinds.of(cleaned(in_noise(sound, noise_db, number), BEFORE_S).sound) is Kind.FORMANT


def test_recorded_speech_is_of_the_general_kind(kinds):
    for sound in chatter("flite-slt") + chatter("piper-joe"):
        assert kinds.of(cleaned(sound).sound) is Kind.GENERAL


def test_the_same_speech_without_what_lies_above_four_kilohertz_is_narrow(kinds):
    for sound in chatter("flite-slt"):
        assert kinds.of(cleaned(without_treble(sound)).sound) is Kind.NARROW


@pytest.mark.parametrize("samples", [0, 100, 512, RATE_HZ])
def test_silence_and_hardly_any_sound_are_general(kinds, samples):
    assert kinds.of(np.zeros(samples, dtype=np.float32)) is Kind.GENERAL


def test_another_model_has_no_other_kinds(tmp_path):
    """What was learned for one model's means would be nonsense on another's."""
    shutil.copytree(MODEL, tmp_path / "model")
    means = acoustic_model(MODEL).means
    (tmp_path / "model" / "means").write_bytes(bells_file(means + 0.5))
    kinds = kinds_of_sound(tmp_path / "model")

    assert set(kinds.bells) == {Kind.GENERAL}
    assert kinds.of(cleaned(chatter("espeak-gb")[0]).sound) is Kind.GENERAL


def test_means_that_are_written_are_read_as_they_were(tmp_path):
    means = np.random.default_rng(3).normal(0.0, 10.0, (42, STREAMS, 128, CEPSTRA)).astype(np.float32)
    for name in ("mdef", "variances"):
        shutil.copy(MODEL / name, tmp_path)
    (tmp_path / "means").write_bytes(bells_file(means.astype(np.float64)))

    assert (acoustic_model(tmp_path).means == means).all()


def test_shifts_are_shipped_to_within_half_a_step():
    shifts = np.random.default_rng(4).normal(0.0, 5.0, (42, STREAMS, 128, CEPSTRA))
    numbers, steps = quantised(shifts)

    assert (np.abs(numbers * steps[None, :, None, :] - shifts) <= 0.5001 * steps[None, :, None, :]).all()
    # A step is a 127th of the greatest shift of its stream and cepstrum.
    assert steps[1, 4] == pytest.approx(np.abs(shifts[:, 1, :, 4]).max() / 127.0, rel=1e-5)


def test_usual_speech_is_heard_as_by_the_recogniser_alone(suited, recogniser):
    sound = cleaned(read_audio(FOLDER / recordings("flite-rms", ["range"])[0]["file"])).sound
    for each in (suited, recogniser):
        each.prepare("all", spoken_grammar(grammar(NAMES)))

    assert suited.decode("all", sound) == recogniser.decode("all", sound)
    assert suited.strangeness(sound, -100.0) == recogniser.strangeness(sound, -100.0)


def test_narrow_speech_is_heard_by_the_means_of_its_kind(suited, kinds):
    sound = cleaned(without_treble(read_audio(FOLDER / recordings("flite-slt", ["range"])[0]["file"]))).sound
    alone = PocketsphinxRecogniser(means=kinds.means(Kind.NARROW))
    for each in (suited, alone):
        each.prepare("all", spoken_grammar(grammar(NAMES)))

    assert suited.decode("all", sound) == alone.decode("all", sound)
    assert suited.strangeness(sound, 0.0) == alone.strangeness(sound, 0.0)


def test_a_grammar_made_anew_is_anew_for_every_kind(suited):
    usual, formant = (cleaned(chatter(voice)[0]).sound for voice in ("flite-slt", "espeak-gb"))
    for words in ("visual", "established"):
        suited.prepare("one", row(words))
        assert {suited.decode("one", sound).text for sound in (usual, formant)} <= {words, ""}
