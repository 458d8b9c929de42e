"""`leadradial fly` with a microphone: a recording played into a virtual one is heard as a pilot would be."""

import numpy as np
import pytest
import soundfile
from command_line import TACAN
from driver import ROOT
from virtual_sound import Recording, is_possible, loud_spans

from assistant.flight_log import Heard, Spoken, read_log

pytestmark = [
    pytest.mark.loudspeaker,
    pytest.mark.skipif(not is_possible(), reason="needs pulseaudio, which .ci/run installs"),
]

MINIMUM, NEXT = "34", "32"
"""Of the fixtures' voice: the two questions "minimum" and "next"."""


@pytest.fixture
def spoken(tmp_path):
    """A recording of one of the fixtures, in a quiet room."""

    def made(number):
        words, rate_hz = soundfile.read(
            ROOT / "audio_fixtures" / "flite-slt" / f"{number}.flac", dtype="float32"
        )
        room = np.random.default_rng(1).normal(0.0, 0.001, rate_hz).astype(np.float32)
        path = tmp_path / f"{number}.wav"
        soundfile.write(path, np.concatenate([room[: rate_hz // 2], words, room]), rate_hz)
        return path

    return made


def line_with(stream, phrase):
    """The next line that has the phrase; an answer that asks for it again would be waited behind for ever."""
    seen = []
    while line := stream.readline().decode():
        seen.append(line)
        if phrase in line:
            return line
        if "Say again" in line:
            break
    raise AssertionError(f"no {phrase!r} in {seen}")


def press(program):
    """An empty line: the console's own talk switch."""
    program.stdin.write(b"\n")
    program.stdin.flush()


def heard_and_said(log):
    records = read_log(log.read_bytes(), "log").records
    heard = [record.transcript.text for record in records if isinstance(record, Heard)]
    return heard, [record.text for record in records if isinstance(record, Spoken)]


def test_what_is_said_between_two_presses_is_heard_and_answered_aloud(aloud, sound, spoken, tmp_path):
    log = tmp_path / "flight.jsonl"
    with aloud.start("fly", TACAN, "--microphone", "pulse", "--log", log) as program:
        line_with(program.stdout, "Flight log")
        recording = Recording(sound.environment)
        sound.hear(spoken(NEXT))  # nobody pressed: not for us
        press(program)
        sound.hear(spoken(MINIMUM))
        press(program)
        line_with(program.stdout, "Minimum five hundred")
        _, err = program.communicate(timeout=30)
        samples, _ = recording.stop()

    assert program.returncode == 0, err.decode()
    assert err == b""
    assert heard_and_said(log) == (["minimum"], ["Minimum five hundred QNH."])
    assert len(loud_spans(samples)) == 1


def test_an_open_microphone_hears_without_a_switch(aloud, sound, spoken, tmp_path):
    log = tmp_path / "flight.jsonl"
    with aloud.start("fly", TACAN, "--open-microphone", "--log", log) as program:
        line_with(program.stdout, "Flight log")
        recording = Recording(sound.environment)
        sound.hear(spoken(MINIMUM))
        line_with(program.stdout, "Minimum five hundred")
        _, err = program.communicate(timeout=30)
        samples, _ = recording.stop()

    assert program.returncode == 0, err.decode()
    assert heard_and_said(log) == (["minimum"], ["Minimum five hundred QNH."])
    assert len(loud_spans(samples)) == 1


def test_a_microphone_that_goes_is_told_once_and_hears_again_when_it_is_back(aloud, sound, spoken, tmp_path):
    log = tmp_path / "flight.jsonl"
    with aloud.start("fly", TACAN, "--text", "--microphone", "pulse", "--log", log) as program:
        line_with(program.stdout, "Flight log")
        press(program)
        sound.hear(spoken(MINIMUM))
        press(program)
        line_with(program.stdout, "Minimum five hundred")
        sound.kill()
        assert "is gone; going on by the keyboard" in line_with(program.stderr, "gone")
        program.stdin.write(b"minimum\n")
        program.stdin.flush()
        line_with(program.stdout, "Minimum five hundred")
        sound.begin()
        line_with(program.stderr, "is back")
        press(program)
        sound.hear(spoken(MINIMUM))
        press(program)
        line_with(program.stdout, "Minimum five hundred")
        _, err = program.communicate(timeout=30)

    assert program.returncode == 0
    assert err == b""
    assert heard_and_said(log)[0] == ["minimum", "minimum", "minimum"]


@pytest.mark.parametrize(
    ("flags", "sentence"),
    [
        (("--microphone", "studio nine"), "No microphone is called 'studio nine'; there are "),
        (("--open-microphone", "--address", "42"), "--address '42': give one to three words of letters."),
        (("--microphone", "pulse", "--recogniser", "vosk", "--model", "/nowhere"), "/nowhere"),
    ],
)
def test_what_cannot_be_heard_by_is_told_in_one_sentence_and_the_flight_goes_on(
    aloud, tmp_path, flags, sentence
):
    outcome = aloud.pipe("minimum\n", "fly", TACAN, "--text", *flags, "--log", tmp_path / "flight.jsonl")

    assert outcome.status == 0
    [told] = outcome.err.splitlines()
    assert sentence in told
    assert told.endswith("Going on by the keyboard.")
    assert "Minimum five hundred QNH." in outcome.out


@pytest.mark.parametrize(
    ("failure", "sentence"),
    [
        ("raise OSError('PortAudio library not found')", "PortAudio library is missing"),
        ("raise ImportError", 'extra "voice"'),
        (
            (
                "class PortAudioError(Exception): pass\ndef query_devices(): raise PortAudioError('none')\n"
                "query_hostapis = query_devices"
            ),
            "This machine has no microphone.",
        ),
        (
            (
                "class PortAudioError(Exception): pass\nclass default: device = (0, -1)\n"
                "def query_devices(): return [dict(index=0, name='headset', hostapi=0, max_input_channels=1,"
                " default_samplerate=8000.0)]\n"
                "def query_hostapis(): return [dict(name='there')]\n"
                "def InputStream(**_): raise PortAudioError('Permission denied [PaErrorCode -9999]')"
            ),
            "The microphone 'headset' cannot be opened (Permission denied).",
        ),
    ],
)
def test_a_sound_system_that_fails_is_told_in_one_sentence_and_the_flight_goes_on(
    command, tmp_path, failure, sentence
):
    (tmp_path / "sounddevice.py").write_text(failure + "\n", encoding="utf-8")
    command._environment |= {"PYTHONPATH": str(tmp_path)}

    outcome = command.pipe(
        "minimum\n", "fly", TACAN, "--text", "--open-microphone", "--log", tmp_path / "flight.jsonl"
    )

    assert outcome.status == 0
    [told] = outcome.err.splitlines()
    assert sentence in told
    assert "Minimum five hundred QNH." in outcome.out
