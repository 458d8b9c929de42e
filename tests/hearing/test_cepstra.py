"""Cepstra made here are those that the library makes of the same sound, in whatever pieces it comes."""

from importlib import resources

import numpy as np
import pocketsphinx
import pytest
from hearing_fixtures import FOLDER
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.speech_in.audio import pcm16, read_audio
from assistant.adapters.speech_in.cepstra import Cepstra, cepstra, whole_frames

SOUND = read_audio(FOLDER / "festival-kal" / "09.flac")


def by_the_library(sound, folder):
    """What pocketsphinx writes down when told to: a count, then 32-bit numbers, the highest byte first."""
    features = resources.files("assistant.adapters.speech_in") / "feat.params"
    with resources.as_file(features) as path:
        decoder = pocketsphinx.Decoder(
            lm=None, featparams=str(path), mfclogdir=str(folder), logfn="/dev/null", loglevel="FATAL"
        )
    decoder.add_fsg("any", decoder.create_fsg("any", 0, 1, [(0, 1, 1.0, "one")]))
    decoder.activate_search("any")
    decoder.start_utt()
    decoder.process_raw(pcm16(sound), no_search=True, full_utt=True)
    decoder.end_utt()
    del decoder
    [written] = folder.glob("*.mfc")
    return np.frombuffer(written.read_bytes(), ">f4", offset=4).reshape(-1, 13)


def test_they_are_the_librarys_own(tmp_path):
    theirs = by_the_library(SOUND, tmp_path)
    ours = cepstra(np.frombuffer(pcm16(SOUND), "<i2") / np.float32(32767.0))

    # Their numbers have 24 bits, and are as large as 50.
    assert ours == pytest.approx(theirs, abs=1e-4)


@settings(deadline=None, max_examples=30)
@given(pieces=st.lists(st.integers(0, 4000), max_size=20))
def test_in_whatever_pieces_the_sound_comes_they_are_the_same(pieces):
    follower, at, found = Cepstra(), 0, []
    for size in pieces:
        found.append(follower.take(SOUND[at : at + size]))
        at += size
    found += [follower.take(SOUND[at:]), follower.rest()]

    # But for the order in which a library adds the numbers of one frame, or of many.
    assert np.concatenate(found) == pytest.approx(cepstra(SOUND), abs=1e-9)


def test_of_no_sound_there_are_none():
    assert cepstra(SOUND[:0]).shape == (0, 13)
    assert whole_frames(SOUND[:0]).shape == (0, 13)


def test_louder_sound_has_the_same_frames_once_the_mean_is_taken_off():
    """All it does is to add the same logarithm to every band of every frame."""
    noisy = SOUND + np.random.default_rng(1).normal(0.0, 0.01, len(SOUND)).astype(np.float32)

    assert whole_frames(noisy * np.float32(0.25)) == pytest.approx(whole_frames(noisy), abs=1e-3)
