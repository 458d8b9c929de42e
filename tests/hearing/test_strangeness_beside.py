"""Strangeness by a twin in another process: the same numbers, and none of it is missed when that is gone."""

import multiprocessing

import numpy as np
import pytest
from hearing_fixtures import NAMES

from assistant.adapters.speech_in.listener import Listener
from assistant.adapters.speech_in.listening_process import ListenerChoice
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.strangeness_beside import StrangenessBeside
from assistant.cli.microphone import made_listener


class Counting:
    """Says of a sound how long it is, in samples; in another process than the first, a million more."""

    name = "counting"

    def decode(self, key, _):
        return Decoded(text=key, score=1.0)

    def strangeness(self, sound, score):
        is_beside = multiprocessing.parent_process() is not None
        return len(sound) - score + is_beside * 1e6


@pytest.fixture
def counting():
    recogniser = StrangenessBeside(Counting)
    yield recogniser
    recogniser.close()


def test_each_sound_has_its_own_strangeness_also_after_sounds_of_which_it_was_not_asked(counting):
    sounds = [np.zeros(length, dtype=np.float32) for length in (10, 20, 30)]
    for sound in sounds:
        counting.decode("open", sound)

    assert counting.strangeness(sounds[-1], 5.0) == 1_000_025.0
    assert counting.strangeness(sounds[-1], 1.0) == 1_000_029.0
    assert counting.strangeness(sounds[0], 0.0) == 1_000_010.0


def test_where_the_other_process_is_gone_it_is_worked_out_here(counting):
    sound = np.zeros(40, dtype=np.float32)
    counting.decode("open", sound)
    counting.close()

    assert counting.strangeness(sound, 0.0) == 40.0
    assert counting.strangeness(np.zeros(50, dtype=np.float32), 0.0) == 50.0


def test_the_twin_finds_the_recognisers_own_strangeness(recogniser):
    sound = np.random.default_rng(3).normal(0.0, 0.1, 16_000).astype(np.float32)
    twin = StrangenessBeside(PocketsphinxRecogniser)
    try:
        assert twin.strangeness(sound, -100.0) == pytest.approx(recogniser.strangeness(sound, -100.0))
    finally:
        twin.close()


def test_a_listener_for_a_flight_has_one_and_a_listener_for_files_has_none():
    for is_live in (True, False):
        listener, _ = made_listener(
            ListenerChoice(recogniser="pocketsphinx", model=None, names=NAMES, is_live=is_live)
        )
        recogniser = listener._recogniser
        assert isinstance(listener, Listener)
        assert isinstance(recogniser, StrangenessBeside) is is_live
        if is_live:
            recogniser.close()
