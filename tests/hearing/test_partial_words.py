"""Words on the screen while they are spoken."""

import asyncio
import os
import time

import numpy as np
import pytest
from hearing_fixtures import FOLDER, NAMES

from assistant.adapters.speech_in import partial_words
from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.live_speech import EarState
from assistant.adapters.speech_in.microphone import MicrophoneState
from assistant.adapters.speech_in.partial_words import PartialWords
from assistant.adapters.speech_in.spoken_grammar import spoken_grammar
from assistant.language.grammar import grammar

REPORT = "range two five decimal eight three thousand"
PIECE = RATE_HZ // 4


def pieces():
    """A report as it comes from a microphone, a quarter of a second at a time."""
    words = read_audio(FOLDER / "festival-kal" / "09.flac")
    sound = np.concatenate([np.zeros(RATE_HZ // 2, dtype=np.float32), words])
    sound = sound + np.random.default_rng(4).standard_normal(len(sound)).astype(np.float32) * np.float32(5e-4)
    return [sound[start : start + PIECE] for start in range(0, len(sound), PIECE)]


@pytest.fixture
def decoding(recogniser, monkeypatch):
    """What is done in the other process, here."""
    recogniser.prepare("everything", spoken_grammar(grammar(NAMES)))
    monkeypatch.setattr(partial_words, "_made", [recogniser])
    monkeypatch.setattr(partial_words, "_heard", [])
    return partial_words._after


def test_words_grow_with_the_sound_and_are_those_of_the_report(decoding):
    seen = [decoding(piece, number == 0) for number, piece in enumerate(pieces())]

    assert seen[0] == ""
    assert len({text for text in seen if text}) >= 4
    assert seen[len(seen) // 2].split()[:2] == REPORT.split()[:2]
    assert len(set(seen[-1].split()) & set(REPORT.split())) >= 5  # seven words, six of them different


def test_an_utterance_left_open_does_not_disturb_the_next_decode(decoding, listener):
    whole = np.concatenate(pieces())
    before = listener.understand(whole, 0.5)
    decoding(pieces()[0], is_first=True)

    assert listener.understand(whole, 0.5).text == before.text == REPORT


def test_words_come_from_a_process_of_their_own_and_there_are_none_before_it_is_ready():
    words = PartialWords(NAMES)

    async def scene():
        early = await words.after(pieces()[0], is_first=True)
        deadline_s = time.monotonic() + 60.0
        seen = ""
        while not seen and time.monotonic() < deadline_s:
            for number, piece in enumerate(pieces()):
                seen = await words.after(piece, is_first=number == 0)
        return early, seen

    try:
        early, seen = asyncio.run(scene())
    finally:
        words.close()

    assert early == ""
    assert seen.startswith("range two")


class QuietMicrophone:
    state = MicrophoneState.LISTENING
    level_db = -30.0


def test_the_screen_shows_the_last_words_with_state_and_level_and_drops_them_at_rest():
    state = EarState(QuietMicrophone(), "ready")
    state.doing("talking")
    state.words = "range two five"

    assert str(state) == "talking   |||||      range two five"  # 5 of 10 bars: -30 dB of -60 to 0
    state.doing("")
    assert str(state) == "ready     |||||"


@pytest.mark.skipif(not hasattr(os, "getpriority"), reason="priorities of processes are POSIX")
def test_its_process_gives_way_to_the_one_that_decides():
    words = PartialWords(NAMES)
    try:
        words._making.result(timeout=60.0)
        [process] = words._pool._processes
        assert os.getpriority(os.PRIO_PROCESS, process) > os.getpriority(os.PRIO_PROCESS, 0)
    finally:
        words.close()
