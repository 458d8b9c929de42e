"""Decoding in two processes while it is spoken: what one alone finds, also when the other is gone."""

from functools import partial

import numpy as np
import pytest
from hearing_fixtures import FOLDER, NAMES

from assistant.adapters.speech_in.audio import read_audio
from assistant.adapters.speech_in.cepstra import whole_frames
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.kinds_of_sound import Kind
from assistant.adapters.speech_in.listener import Listener
from assistant.adapters.speech_in.listening_process import ListenerChoice
from assistant.adapters.speech_in.live_recogniser import LiveRecogniser
from assistant.adapters.speech_in.recogniser import LIMITED, LONE, OPEN
from assistant.adapters.speech_in.spoken_grammar import row, spoken_grammar
from assistant.adapters.speech_in.suited_recogniser import SuitedRecogniser, recogniser_for
from assistant.cli.microphone import made_listener
from assistant.language.choice import expectation_around
from assistant.language.grammar import grammar
from benchmarks.sounds import in_noise

BEFORE_S = 0.6
WORDS = "range two five decimal eight three thousand"
EXPECTED = expectation_around(dme_nm=25.5, indicated_ft=3000.0)
SOUND = in_noise(read_audio(FOLDER / "festival-kal" / "09.flac"), 15.0, 2)
FRAMES = np.array_split(whole_frames(cleaned(SOUND, BEFORE_S).sound), 3)
FURTHER = "further"
ASKED = np.zeros(0, dtype=np.float32)


@pytest.fixture(scope="module")
def live():
    recogniser = LiveRecogniser(partial(recogniser_for, None), None)
    yield recogniser
    recogniser.close()


def everything(recogniser):
    """What it finds in some frames, in every grammar, and strangeness."""
    table = grammar(NAMES)
    recogniser.prepare(OPEN, spoken_grammar(table))
    recogniser.prepare(LIMITED, spoken_grammar(table, EXPECTED))
    recogniser.prepare(LONE, row(WORDS))
    recogniser.follow_anew()
    for frames in FRAMES:
        recogniser.follow(frames)
    recogniser.followed(ASKED)
    recogniser.prepare(FURTHER, row("range two five decimal eight"))
    found = [recogniser.decode(key, ASKED) for key in (OPEN, LIMITED, LONE, FURTHER)]
    return found, recogniser.strangeness(ASKED, -100.0)


def test_it_finds_what_one_recogniser_alone_finds_in_the_same_frames(live, recogniser):
    found, strangeness = everything(live)

    assert (found, strangeness) == everything(recogniser)
    # All of them were found: what is not has a score of minus infinity.
    assert all(each.score > -1e6 for each in found)
    assert abs(strangeness) < 1e6


def test_a_grammar_made_ready_while_it_is_spoken_is_decoded_when_asked(recogniser):
    late = LiveRecogniser(partial(recogniser_for, None), None)
    try:
        for each in (late, recogniser):
            each.prepare(OPEN, spoken_grammar(grammar(NAMES)))
            each.follow_anew()
            each.follow(FRAMES[0])
            each.prepare(LIMITED, row("range two five"))
            each.follow(FRAMES[1])
            each.followed(ASKED)

        assert late.decode(LIMITED, ASKED) == recogniser.decode(LIMITED, ASKED)
    finally:
        late.close()


def heard(listener, sizes):
    """A recording by pieces of so many samples, then whole."""
    listener.expect(EXPECTED)
    at = 0
    for size in sizes:
        listener.follow(1, at, SOUND[at : at + size], BEFORE_S)
        at += size
    return listener.understand(SOUND, BEFORE_S, 1)


def test_a_listener_hears_it_piece_by_piece_as_at_once_to_the_score(live, listener):
    at_once = heard(listener, [])
    piece_by_piece = heard(Listener(live, NAMES), [320] * (len(SOUND) // 320))

    assert at_once.text == WORDS
    assert piece_by_piece == at_once


def test_the_answers_of_one_utterance_are_not_taken_for_another(live, recogniser):
    live.prepare(OPEN, spoken_grammar(grammar(NAMES)))
    strange = []
    for frames in FRAMES:
        live.follow_anew()
        live.follow(frames)
        live.followed(ASKED)
    strange.append(live.strangeness(ASKED, 0.0))
    recogniser.follow_anew()
    recogniser.follow(FRAMES[-1])
    recogniser.followed(ASKED)

    assert strange == [recogniser.strangeness(ASKED, 0.0)]


def test_where_the_other_process_is_gone_everything_is_found_here(recogniser):
    live = LiveRecogniser(partial(recogniser_for, None), None)
    live.close()

    assert everything(live) == everything(recogniser)


class Scripted:
    """Says of each utterance of what kind it is, by a script."""

    def __init__(self, *kinds):
        self.kinds = list(kinds)

    def of(self, _):
        return self.kinds.pop(0)


def opened(recogniser):
    """What it finds in the open grammar, and strangeness."""
    recogniser.begins()
    recogniser.follow_anew()
    for frames in FRAMES:
        recogniser.follow(frames)
    recogniser.followed(ASKED)
    return recogniser.decode(OPEN, ASKED), recogniser.strangeness(ASKED, 0.0)


def test_after_two_utterances_of_another_kind_the_next_is_followed_by_the_means_of_that():
    everything_said = spoken_grammar(grammar(NAMES))
    general, narrow = (recogniser_for(None, kind) for kind in (Kind.GENERAL, Kind.NARROW))
    met = Scripted(Kind.NARROW, Kind.FORMANT, Kind.NARROW, Kind.NARROW, Kind.NARROW)
    live = LiveRecogniser(partial(recogniser_for, None), met)
    try:
        for each in (general, narrow, live):
            each.prepare(OPEN, everything_said)
        found = [opened(live) for _ in range(6)]
    finally:
        live.close()

    assert found == [opened(general)] * 4 + [opened(narrow)] * 2
    assert found[0] != found[-1]


def test_the_suited_recogniser_decodes_the_frames_that_it_was_given():
    suited, general = SuitedRecogniser(), recogniser_for(None, Kind.GENERAL)
    suited._kinds = Scripted(Kind.GENERAL)
    for each in (suited, general):
        each.prepare(OPEN, spoken_grammar(grammar(NAMES)))

    assert opened(suited) == opened(general)


def test_a_listener_for_a_flight_has_one_and_a_listener_for_files_has_none():
    for is_live in (True, False):
        listener, _ = made_listener(
            ListenerChoice(recogniser="pocketsphinx", model=None, names=NAMES, is_live=is_live)
        )
        recogniser = listener._recogniser
        assert isinstance(listener, Listener)
        assert isinstance(recogniser, LiveRecogniser) is is_live
        if is_live:
            recogniser.close()
