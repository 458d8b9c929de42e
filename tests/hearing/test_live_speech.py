"""A live microphone: presses and pauses become transcripts; devices and processes fail in a sentence."""

import asyncio
import contextlib
import os
import sys
from dataclasses import replace

import numpy as np
import pytest
from command_line import TACAN
from hearing_fixtures import FOLDER
from waiting import Told

from assistant.adapters.speech_in.address import address_words
from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.listener import Hearing
from assistant.adapters.speech_in.listening_process import ListenerChoice, ListenerProcess
from assistant.adapters.speech_in.live_speech import BEFORE_S, Ears, EarState, open_speech, pressed_speech
from assistant.adapters.speech_in.microphone import HELD_LEAST_S, HELD_MOST_S, Microphone, MicrophoneState
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.typed_switch import TypedSwitch, without_presses
from assistant.cli.microphone import made_listener
from assistant.language.choice import Candidate, Choice, Decision, Expectation
from assistant.language.grammar import Names
from assistant.language.transcript import Transcript
from assistant.session import Talking

REPORT = "range two five decimal eight three thousand"
NAMES = Names(fixes=("TARNO",), frequencies=("tower",))


def in_hiss(*parts):
    sound = np.concatenate(parts).astype(np.float32)
    return sound + (np.random.default_rng(4).standard_normal(len(sound)) * 0.0005).astype(np.float32)


def silence(duration_s):
    return np.zeros(int(duration_s * RATE_HZ), dtype=np.float32)


def spoken(name="festival-kal/09.flac"):
    return read_audio(FOLDER / name)


class TapeMicrophone:
    """A microphone that hears a tape as fast as it is asked."""

    def __init__(self, sound):
        self._sound = sound
        self._follower = None
        self.position = 0
        self.level_db = -40.0
        self.held_s = HELD_MOST_S
        self.state = MicrophoneState.LISTENING

    def between(self, first, last):
        return self._sound[first:last]

    def follow(self, on_block):
        self._follower = on_block

    def run(self, until):
        while self.position < until:
            block = self._sound[self.position : min(self.position + 320, until)]
            self.position += len(block)
            if self._follower is not None:
                self._follower(block, self.position)


class HereListener:
    """A listener process's work, done here."""

    def __init__(self, listener):
        self.listener = listener
        self.windows = []
        self.followed = []
        self.heard = []
        self.has_heard = asyncio.Event()

    async def expect(self, expectation):
        self.windows.append(expectation)
        if self.listener is not None:
            self.listener.expect(expectation)

    async def follow(self, number, at, sound, before_s):
        self.followed.append((at, len(sound)))
        if self.listener is not None:
            self.listener.follow(number, at, sound, before_s)

    async def understand(self, sound, before_s, number):
        self.heard.append((len(sound), before_s))
        self.has_heard.set()
        return self.listener.understand(sound, before_s, number)


class StillClock:
    def now_s(self):
        return 100.0

    async def sleep_until(self, t_s):
        del t_s


class HandSwitch:
    name = "a hand"

    def start(self, on_change):
        self.moved = on_change

    def close(self):
        pass


def ears_for(microphone, listener, tell=lambda _sentence: None):
    return Ears(
        microphone=microphone,
        listener=HereListener(listener),
        clock=StillClock(),
        expected=lambda _now_s: Expectation(),
        state=EarState(microphone, "ready"),
        tell=tell,
    )


async def items(source, count):
    found = []
    with contextlib.suppress(TimeoutError):
        async with asyncio.timeout(20.0):
            async for item in source:
                found.append(item)
                if len(found) == count:
                    break
    await source.aclose()
    return found


def pressed(ears, microphone, press, release, sound):
    """What comes of holding a switch between two positions."""
    switch = HandSwitch()

    async def scene():
        source = pressed_speech(ears, [switch])
        first = asyncio.create_task(anext(source))
        await asyncio.sleep(0)
        microphone.run(press)
        switch.moved(True)
        talking = await first
        microphone.run(release)
        switch.moved(False)
        microphone.run(len(sound))
        return [talking, *await items(source, 2)]

    return asyncio.run(scene())


def test_what_is_said_while_the_switch_is_held_is_heard_before_the_pilot_is_said_to_be_silent(listener):
    sound = in_hiss(silence(1.0), spoken(), silence(1.0))
    microphone = TapeMicrophone(sound)
    ears = ears_for(microphone, listener)

    began, transcript, ended = pressed(ears, microphone, RATE_HZ, len(sound) - RATE_HZ // 2, sound)

    assert (began, ended) == (Talking(is_talking=True), Talking(is_talking=False))
    assert transcript.text == REPORT
    assert ears.listener.windows == [Expectation()]


def test_what_was_said_before_the_finger_was_down_is_heard(listener):
    """Pilots press late: here half a second after the first word."""
    sound = in_hiss(silence(1.0), spoken(), silence(1.0))
    microphone = TapeMicrophone(sound)
    ears = ears_for(microphone, listener)

    _, transcript, _ = pressed(ears, microphone, round(1.5 * RATE_HZ), len(sound) - RATE_HZ // 2, sound)

    assert transcript.text == REPORT
    assert ears.listener.heard[0][1] == BEFORE_S


def test_who_holds_the_switch_after_the_last_word_is_heard_before_the_release_and_once(listener):
    sound = in_hiss(silence(1.0), spoken(), silence(1.0))
    microphone = TapeMicrophone(sound)
    ears = ears_for(microphone, listener)
    switch = HandSwitch()

    async def scene():
        source = pressed_speech(ears, [switch])
        first = asyncio.create_task(anext(source))
        await asyncio.sleep(0)
        microphone.run(RATE_HZ)
        switch.moved(True)
        await first
        following = asyncio.create_task(items(source, 2))
        microphone.run(len(sound) - RATE_HZ // 4)
        async with asyncio.timeout(20.0):
            await ears.listener.has_heard.wait()
        switch.moved(False)
        return await following

    transcript, _ = asyncio.run(scene())

    assert transcript.text == REPORT
    assert len(ears.listener.heard) == 1


def test_a_slip_of_the_finger_says_nothing(listener):
    sound = in_hiss(silence(3.0))
    microphone = TapeMicrophone(sound)

    found = pressed(ears_for(microphone, listener), microphone, RATE_HZ, RATE_HZ + RATE_HZ // 10, sound)

    assert found == [Talking(is_talking=True), Talking(is_talking=False)]


def opened(ears, microphone, sound, count, *, share, is_sounding=lambda: False):
    async def scene():
        source = open_speech(ears, share, is_sounding=is_sounding)
        first = asyncio.create_task(items(source, count))
        await asyncio.sleep(0)
        microphone.run(len(sound))
        return await first

    return asyncio.run(scene())


def loud(frame):
    return 1.0 if float(np.abs(frame).max()) > 0.02 else 0.0


def test_an_open_microphone_hears_whenever_somebody_speaks(listener):
    sound = in_hiss(silence(1.0), spoken(), silence(1.5))
    microphone = TapeMicrophone(sound)

    began, transcript, ended = opened(ears_for(microphone, listener), microphone, sound, 3, share=loud)

    assert (began, ended) == (Talking(is_talking=True), Talking(is_talking=False))
    assert transcript.text == REPORT


def test_other_talk_before_an_open_microphone_is_passed_over_in_silence(listener):
    sound = in_hiss(silence(1.0), spoken("festival-kal/no01.flac"), silence(1.5))
    microphone = TapeMicrophone(sound)

    found = opened(ears_for(microphone, listener), microphone, sound, 2, share=loud)

    assert not any(isinstance(item, Transcript) for item in found)


class ScriptedListener:
    """A listener that decides by a script, and keeps how long each sound was, without what is from before."""

    def __init__(self, *decisions):
        self._decisions = list(decisions)
        self.lengths_s = []

    async def expect(self, expectation):
        pass

    async def understand(self, sound, before_s, _number):
        self.lengths_s.append(len(sound) / RATE_HZ - before_s)
        decision = self._decisions.pop(0)
        reading = None if decision is Decision.REFUSE else Candidate(text="next", events=(), score=0.0)
        choice = Choice(decision=decision, reading=reading, why="")
        return Hearing(heard=Decoded(text="", score=0.0), choice=choice, alternatives=(), snr_db=30.0)


BURST = np.full(RATE_HZ, 0.1, dtype=np.float32)


def heard_in_two_pieces(pause_s, *decisions):
    """What comes of two bursts of a second with a pause between, and how long what was decoded was, in s."""
    sound = np.concatenate([silence(1.0), BURST, silence(pause_s), BURST, silence(1.5)])
    microphone = TapeMicrophone(sound)
    ears = replace(ears_for(microphone, None), listener=ScriptedListener(*decisions))
    found = opened(ears, microphone, sound, 3, share=loud)
    said = [item for item in found if isinstance(item, Transcript)]
    return said, [round(length_s, 1) for length_s in ears.listener.lengths_s]


def test_what_is_no_report_is_heard_again_with_what_soon_follows_it():
    """A pause of 0.6 s ends an utterance; 1.2 s and 2.8 s are the pieces with 0.2 s after the last sound."""
    said, lengths_s = heard_in_two_pieces(0.6, Decision.REFUSE, Decision.ACCEPT)

    assert [transcript.text for transcript in said] == ["next"]
    assert lengths_s == [1.2, 2.8]


def test_a_report_after_other_talk_is_heard_by_itself_where_both_together_are_none():
    said, lengths_s = heard_in_two_pieces(0.6, Decision.REFUSE, Decision.REFUSE, Decision.ACCEPT)

    assert [transcript.text for transcript in said] == ["next"]
    assert lengths_s == [1.2, 2.8, 1.2]


def test_a_report_that_is_whole_is_not_waited_for_to_go_on():
    said, lengths_s = heard_in_two_pieces(0.6, Decision.ACCEPT, Decision.ACCEPT)

    assert lengths_s == [1.2]
    assert len(said) == 1


def test_a_microphone_that_is_lost_while_somebody_speaks_does_not_keep_callouts_back():
    sound = np.concatenate([silence(1.0), BURST])
    microphone = TapeMicrophone(sound)

    async def scene():
        source = open_speech(ears_for(microphone, None), loud, is_sounding=lambda: False)
        first = asyncio.create_task(anext(source))
        await asyncio.sleep(0)
        microphone.run(len(sound))
        began = await first
        microphone.state = MicrophoneState.LOST
        ended = await asyncio.wait_for(anext(source), 5.0)
        await source.aclose()
        return began, ended

    assert asyncio.run(scene()) == (Talking(is_talking=True), Talking(is_talking=False))


def test_an_open_microphone_does_not_hear_our_own_voice(listener):
    sound = in_hiss(silence(1.0), spoken(), silence(1.5))
    microphone = TapeMicrophone(sound)
    ears = ears_for(microphone, listener)

    async def scene():
        source = open_speech(ears, loud, is_sounding=lambda: True)
        waiting = asyncio.create_task(anext(source))
        await asyncio.sleep(0)
        microphone.run(len(sound))
        await asyncio.sleep(0.05)
        waiting.cancel()
        return waiting.done()

    assert asyncio.run(scene()) is False
    assert ears.listener.heard == []


def test_an_empty_line_begins_to_talk_and_the_next_one_ends():
    switch = TypedSwitch()
    moves = []
    switch.start(moves.append)

    async def scene():
        async def lines():
            for text in ("", "16.4 4800", ""):
                yield Transcript(text=text, started_t_s=0.0, ended_t_s=0.0)

        return [line.text async for line in without_presses(lines(), switch)]

    assert asyncio.run(scene()) == ["16.4 4800"]
    assert moves == [True, False]


# A child that hears a tone for 0.2 s and is then unplugged; opened again, it has been taken away for good.
CHILD = """
import json, pathlib, sys, time
import numpy as np
seen = pathlib.Path({seen!r})
times = len(seen.read_text()) if seen.exists() else 0
seen.write_text("x" * (times + 1))
if times in {missing}:
    print(json.dumps({{"failed": "This machine has no microphone."}}))
else:
    print(json.dumps({{"name": "headset", "rate_hz": 16000, "held_s": 0.0}}), flush=True)
    for _ in range(10):
        sys.stdout.buffer.write(np.full(320, 0.1, dtype="<f4").tobytes())
        sys.stdout.buffer.flush()
        time.sleep(0.02)
    if times:
        time.sleep(30)
"""


def child(tmp_path, missing=()):
    return (sys.executable, "-c", CHILD.format(seen=str(tmp_path / "seen"), missing=tuple(missing)))


def test_a_microphone_that_is_lost_is_told_of_once_and_again_when_it_is_back(tmp_path):
    told = Told()
    microphone = Microphone(None, told, child=child(tmp_path, missing=[1]))
    try:
        said = [told.next(), told.next()]
    finally:
        microphone.close()

    assert said == [
        "The microphone 'headset' is gone; going on by the keyboard until it is back.",
        "The microphone 'headset' is back.",
    ]
    assert told.is_empty()


def test_a_microphone_keeps_what_it_heard_by_position_and_knows_its_level(tmp_path):
    blocks = Told()
    microphone = Microphone(None, lambda _sentence: None, child=child(tmp_path))
    microphone.follow(lambda _block, position: blocks(position))
    try:
        while blocks.next() < 1600:
            pass
        heard = microphone.between(320, 960)
        level_db = microphone.level_db
    finally:
        microphone.close()

    assert len(heard) == 640
    assert np.allclose(heard, 0.1)
    assert level_db == pytest.approx(-20.0, abs=0.1)  # 20 lg 0.1


@pytest.mark.parametrize(
    ("says_s", "believed_s"), [(0.0, HELD_LEAST_S), (0.045, 0.045), (2.0, HELD_MOST_S), (-1.0, HELD_LEAST_S)]
)
def test_how_long_a_device_holds_sound_is_believed_within_bounds(says_s, believed_s):
    found = f'{{"name": "headset", "rate_hz": 48000, "held_s": {says_s}}}'
    microphone = Microphone(
        None,
        print,
        child=(sys.executable, "-c", f"import time; print({found!r}, flush=True); time.sleep(30)"),
    )
    microphone.close()

    assert microphone.held_s == believed_s


def test_a_microphone_that_is_not_there_is_one_sentence(tmp_path):
    with pytest.raises(HearingError, match=r"^This machine has no microphone\.$"):
        Microphone(None, print, child=child(tmp_path, missing=[0]))


def test_a_child_that_says_nothing_sensible_is_one_sentence():
    with pytest.raises(HearingError, match=r"^The microphone gives no sound\.$"):
        Microphone(None, print, child=(sys.executable, "-c", "print('Segmentation fault')"))


def test_a_listener_in_its_own_process_hears_as_one_here_does():
    process = ListenerProcess(
        made_listener, ListenerChoice(recogniser="pocketsphinx", model=None, names=NAMES)
    )
    try:
        assert process.started() == ()
        sound = in_hiss(silence(0.6), spoken(), silence(0.3))
        hearing = asyncio.run(process.understand(sound, 0.6))
    finally:
        process.close()

    assert hearing.text == REPORT


def dying(choice):
    """A listener whose process dies at its first utterance, and hears the next."""
    listener, sentences = made_listener(choice)
    marker = choice.model
    if not marker.exists():
        marker.touch()
        listener.understand = lambda *_: os._exit(1)
    return listener, sentences


def test_a_recogniser_that_dies_in_flight_is_one_sentence_and_is_started_anew(tmp_path):
    choice = ListenerChoice(recogniser="pocketsphinx", model=tmp_path / "died", names=NAMES)
    process = ListenerProcess(dying, choice)
    sound = in_hiss(silence(0.6), spoken(), silence(0.3))
    try:
        with pytest.raises(HearingError, match="started anew; say that again"):
            asyncio.run(process.understand(sound, 0.6))
        hearing = asyncio.run(process.understand(sound, 0.6))
    finally:
        process.close()

    assert hearing.text == REPORT


def test_a_recogniser_that_cannot_be_made_is_one_sentence(tmp_path):
    process = ListenerProcess(
        made_listener, ListenerChoice(recogniser="vosk", model=tmp_path / "none", names=NAMES)
    )
    try:
        with pytest.raises(HearingError, match="none"):
            process.started()
    finally:
        process.close()


def test_with_an_address_only_what_begins_with_it_is_heard():
    """Festival says "passing tarno" in one fixture; addressed by its own first word, the rest remains."""
    choice = ListenerChoice(recogniser="pocketsphinx", model=None, names=NAMES, address="range")
    listener, _ = made_listener(choice)
    addressed = in_hiss(silence(0.6), spoken(), silence(0.3))
    bare = in_hiss(silence(0.6), spoken("piper-joe/24.flac"), silence(0.3))

    at_once = listener.understand(addressed, 0.6)
    assert at_once.text == REPORT.removeprefix("range ")
    assert listener.understand(bare, 0.6).text == ""
    listener.follow(1, 0, addressed[:RATE_HZ], 0.6)
    assert listener.understand(addressed, 0.6, 1) == at_once


@pytest.mark.parametrize("text", ["", "   ", "one two three four", "call-sign", "R2"])
def test_an_address_is_one_to_three_words(text):
    with pytest.raises(HearingError, match=r"--address .*: give one to three words of letters\."):
        address_words(text)


def test_a_microphone_that_cannot_be_used_is_one_sentence_and_the_flight_goes_on(command):
    outcome = command.pipe("next\n", "fly", TACAN, "--text", "--microphone", "no such microphone")

    assert outcome.status == 0
    assert outcome.err.count("\n") == 1
    assert "Going on by the keyboard." in outcome.err
    assert "Next: hold TARNO" in outcome.out
