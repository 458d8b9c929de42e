"""`leadradial fly` with a loudspeaker: it speaks what it shows, and goes on in text when that goes away."""

import os
import select
import signal
import sys

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


def lines_until(program, phrase):
    lines = []
    while not lines or phrase not in lines[-1]:
        line = program.stdout.readline().decode()
        assert line, f"ended without {phrase!r}: {lines}, {program.stderr.read().decode()}"
        lines.append(line)
    return lines


def say(program, text):
    program.stdin.write(text.encode() + b"\n")
    program.stdin.flush()


def test_what_it_shows_it_says_and_the_log_has_it(aloud, sound, tmp_path):
    log = tmp_path / "flight.jsonl"
    with aloud.start("fly", TACAN, "--log", log) as program:
        lines_until(program, "Flight log")
        recording = Recording(sound.environment)
        out, err = program.communicate(b"minimum\n", timeout=60)
        samples, _ = recording.stop()

    assert program.returncode == 0, err.decode()
    assert "Minimum five hundred QNH." in out.decode()
    [(begin_s, end_s)] = loud_spans(samples)
    assert 1.0 < end_s - begin_s < 3.0
    assert float(np.max(np.abs(samples))) < 0.9
    spoken = [
        record.text for record in read_log(log.read_bytes(), "log").records if isinstance(record, Spoken)
    ]
    assert spoken == ["Minimum five hundred QNH."]


def test_sound_that_goes_away_in_flight_is_told_once_and_the_flight_goes_on_in_text(aloud, sound, tmp_path):
    with aloud.start("fly", TACAN, "--log", tmp_path / "flight.jsonl") as program:
        lines_until(program, "Flight log")
        say(program, "minimum")
        lines_until(program, "Minimum five hundred")
        sound.kill()
        say(program, "next")
        say(program, "floor")
        out, err = program.communicate(timeout=60)

    assert program.returncode == 0
    [told] = err.decode().splitlines()
    assert "is gone; going on in text" in told
    assert "Next: hold TARNO" in out.decode()
    assert out.decode().endswith("Ended.\n")


def test_sound_that_comes_back_is_spoken_by_again_and_that_is_told_once(aloud, sound, tmp_path):
    with aloud.start("fly", TACAN, "--log", tmp_path / "flight.jsonl") as program:
        lines_until(program, "Flight log")
        sound.kill()
        say(program, "minimum")
        gone = program.stderr.readline().decode()
        sound.begin()
        recording = Recording(sound.environment)
        for _ in range(20):  # it is looked for every two seconds
            say(program, "minimum")
            if select.select([program.stderr], [], [], 3.0)[0]:
                break
        out, err = program.communicate(timeout=60)
        samples, _ = recording.stop()

    assert "is gone; going on in text" in gone
    assert err.decode().splitlines() == ["The voice is back."]
    assert "Minimum five hundred QNH." in out.decode()
    assert loud_spans(samples)


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX signals")
def test_ctrl_c_in_the_middle_of_a_word_ends_at_once_and_leaves_no_child(aloud, sound, tmp_path):
    del sound
    with aloud.start("fly", TACAN, "--log", tmp_path / "f.jsonl", start_new_session=True) as program:
        lines_until(program, "Flight log")
        say(program, "next")
        lines_until(program, "Next: hold TARNO")
        program.send_signal(signal.SIGINT)
        program.communicate(timeout=20)

    assert program.returncode == 130
    with pytest.raises(ProcessLookupError):
        os.killpg(program.pid, 0)


@pytest.mark.parametrize(
    ("module", "failure", "sentence"),
    [
        (
            "pyttsx3",
            "def init(): raise RuntimeError('eSpeak or eSpeak-ng not installed')",
            "eSpeak NG library",
        ),
        ("pyttsx3", "def init(): raise KeyError('no voices')", "could not be started"),
        ("pyttsx3", "def init(): import os; os._exit(9)", "does not answer"),
        ("pyttsx3", "raise ImportError", "pyttsx3 is not installed"),
        ("sounddevice", "raise OSError('PortAudio library not found')", "PortAudio library is missing"),
        ("sounddevice", "raise ImportError", "sounddevice is not installed"),
    ],
)
def test_what_is_missing_is_told_in_one_sentence_and_the_flight_goes_on_in_text(
    aloud, tmp_path, module, failure, sentence
):
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / f"{module}.py").write_text(failure + "\n", encoding="utf-8")
    # No sounds from other tests: this voice has to be started.
    aloud._environment |= {"PYTHONPATH": str(broken), "XDG_CACHE_HOME": str(tmp_path / "cache")}

    outcome = aloud.pipe("minimum\n", "fly", TACAN, "--log", tmp_path / "flight.jsonl")

    assert outcome.status == 0
    [told] = outcome.err.splitlines()
    assert told.startswith("No voice: ")
    assert sentence in told
    assert "Minimum five hundred QNH." in outcome.out


def test_a_pilot_who_is_heard_is_answered_aloud(aloud, sound, tmp_path):
    """Two questions, spoken by a voice of the fixtures in a recording that stands for the microphone."""
    room = np.random.default_rng(1).normal(0.0, 0.001, int(3.5 * 16_000)).astype(np.float32)
    parts = [room]
    for number in ("34", "32"):
        fixture = ROOT / "audio_fixtures" / "flite-slt" / f"{number}.flac"
        words, rate_hz = soundfile.read(fixture, dtype="float32")
        assert rate_hz == 16_000
        parts += [words, room]
    spoken, log = tmp_path / "pilot.wav", tmp_path / "flight.jsonl"
    soundfile.write(spoken, np.concatenate(parts), 16_000)

    with aloud.start("fly", TACAN, "--microphone", f"file:{spoken}", "--log", log) as program:
        lines_until(program, "Flight log")
        recording = Recording(sound.environment)
        _, err = program.communicate(timeout=60)
        samples, _ = recording.stop()

    assert program.returncode == 0, err.decode()
    records = read_log(log.read_bytes(), "log").records
    assert [record.transcript.text for record in records if isinstance(record, Heard)] == ["minimum", "next"]
    answers = [record.text for record in records if isinstance(record, Spoken)]
    assert answers[0] == "Minimum five hundred QNH."
    assert answers[1].startswith("Next: hold")
    assert len(loud_spans(samples)) == 2
