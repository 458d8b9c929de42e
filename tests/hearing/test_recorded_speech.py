"""A recording in the microphone's place: cut into utterances, heard at the moments of speaking."""

import asyncio

import numpy as np
import pytest
import soundfile
from command_line import TACAN
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.recorded_speech import recorded_speech
from assistant.adapters.speech_in.utterances import utterances
from assistant.language.choice import Expectation

CHANCE = np.random.default_rng(3)


def quiet(duration_s, rms=0.001):
    return (rms * CHANCE.standard_normal(int(duration_s * RATE_HZ))).astype(np.float32)


def spoken(name):
    return read_audio(FOLDER / name)


def tape(*parts):
    sound = np.concatenate(parts)
    return (sound + quiet(len(sound) / RATE_HZ)[: len(sound)]).astype(np.float32)


class JumpingClock:
    """A clock that is at once where it is to sleep until."""

    t_s = 0.0

    def now_s(self):
        return self.t_s

    async def sleep_until(self, t_s):
        self.t_s = max(self.t_s, t_s)


def test_two_utterances_are_cut_apart_where_they_were_spoken():
    first, second = spoken("festival-kal/09.flac"), spoken("festival-kal/24.flac")
    found = list(utterances(tape(quiet(1.0), first, quiet(2.0), second, quiet(1.0))))
    second_s = 1.0 + len(first) / RATE_HZ + 2.0

    assert len(found) == 2
    assert found[0].begun_s == pytest.approx(1.0, abs=0.4)
    assert found[1].begun_s == pytest.approx(second_s, abs=0.4)
    assert all(each.before_s == pytest.approx(0.6, abs=0.02) for each in found)


@pytest.mark.parametrize("sound", [quiet(0.0), quiet(3.0), np.zeros(48_000, dtype=np.float32)])
def test_silence_is_no_utterance(sound):
    assert list(utterances(sound)) == []


def test_a_click_is_no_utterance():
    sound = quiet(3.0)
    sound[24_000:24_100] += 0.5

    assert list(utterances(sound)) == []


def test_a_reading_is_stamped_with_the_moment_at_which_the_pilot_began_to_speak(listener):
    sound = tape(quiet(1.5), spoken("festival-kal/09.flac"), quiet(1.0))

    async def heard():
        source = recorded_speech(sound, listener, JumpingClock(), lambda _: Expectation())
        return [transcript async for transcript in source]

    (transcript,) = asyncio.run(heard())

    assert transcript.text == "range two five decimal eight three thousand"
    assert transcript.started_t_s == pytest.approx(1.5, abs=0.4)
    assert transcript.ended_t_s > transcript.started_t_s + 1.5


def test_what_is_refused_arrives_without_words(listener):
    sound = tape(quiet(1.0), spoken("festival-kal/no01.flac"), quiet(1.0))

    async def heard():
        source = recorded_speech(sound, listener, JumpingClock(), lambda _: Expectation())
        return [transcript.text async for transcript in source]

    assert set(asyncio.run(heard())) == {""}


def test_a_flight_takes_a_recording_as_its_microphone(command, tmp_path):
    path = tmp_path / "pilot.wav"
    soundfile.write(path, tape(quiet(0.7), spoken("festival-kal/09.flac"), quiet(0.8)), RATE_HZ)
    log = tmp_path / "flight.jsonl"
    outcome = command.run("fly", TACAN, "--text", "--log", log, "--microphone", f"file:{path}")

    assert outcome.status == 0
    assert "PILOT  range two five decimal eight three thousand" in outcome.out
    assert '"dme_nm":25.8' in log.read_text(encoding="utf-8").replace(" ", "")


def test_a_recording_that_cannot_be_read_is_one_sentence_and_no_flight_begins(command):
    outcome = command.run("fly", TACAN, "--text", "--microphone", "file:missing.wav")

    assert outcome.status == 2
    assert outcome.err == "missing.wav: no such file; check the name.\n"
    assert "Flight log" not in outcome.out
