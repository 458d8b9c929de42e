"""`leadradial devices`: the microphones and recognisers that are there, for people and for scripts."""

import json
from types import SimpleNamespace

import pytest

from assistant.adapters.speech_in import microphones
from assistant.adapters.speech_in.errors import HearingError


class Sound:
    """A sound system with a loudspeaker and two microphones."""

    PortAudioError = OSError
    default = SimpleNamespace(device=(2, 0))

    def query_hostapis(self):
        return [{"name": "ALSA"}]

    def query_devices(self):
        def device(index, name, inputs, outputs):
            return {
                "index": index,
                "name": name,
                "hostapi": 0,
                "max_input_channels": inputs,
                "max_output_channels": outputs,
                "default_samplerate": 48_000.0,
            }

        return [device(0, "speakers", 0, 2), device(1, "webcam", 1, 0), device(2, "headset", 2, 0)]


@pytest.fixture
def sound(monkeypatch):
    monkeypatch.setattr(microphones, "sounddevice_module", Sound)


@pytest.mark.usefixtures("sound")
def test_microphones_are_listed_with_the_one_that_is_used_without_a_name(command):
    listed = command.run("devices").out.splitlines()
    at = listed.index("Microphones:")

    assert listed[at + 1 : at + 3] == [
        "  webcam  (ALSA, 48000 Hz, channels: 1)",
        "* headset  (ALSA, 48000 Hz, channels: 2)",
    ]
    assert listed[-1] == "* is used where you name no other."
    assert json.loads(command.run("devices", "--json").out)["microphones"] == [
        {"name": "webcam", "interface": "ALSA", "rate_hz": 48000, "channels": 1, "default": False},
        {"name": "headset", "interface": "ALSA", "rate_hz": 48000, "channels": 2, "default": True},
    ]


def test_why_there_is_no_microphone_stands_in_its_place(command, monkeypatch):
    def missing():
        raise HearingError("The PortAudio library is missing (Debian: libportaudio2).")

    monkeypatch.setattr(microphones, "sounddevice_module", missing)

    listed = command.run("devices").out.splitlines()

    assert listed[listed.index("Microphones:") + 1] == (
        "  The PortAudio library is missing (Debian: libportaudio2)."
    )


def test_recognisers_are_listed_with_their_models(command, tmp_path):
    fetched = tmp_path / "data" / "leadradial" / "models" / "vosk-model-small-en-us"
    (fetched / "am").mkdir(parents=True)
    (fetched / "am" / "final.mdl").touch()

    listed = command.run("devices").out.splitlines()
    at = listed.index("Recognisers:")

    assert listed[at + 1] == "* pocketsphinx  (bundled)"
    assert listed[at + 2] == f"  vosk  ({fetched})"


@pytest.mark.usefixtures("sound")
@pytest.mark.parametrize(("name", "found"), [("webcam", 1), ("HEAD", 2), (None, 2)])
def test_a_microphone_is_found_by_a_part_of_its_name_or_is_the_systems_own(name, found):
    assert microphones.input_device(name).index == found


@pytest.mark.usefixtures("sound")
@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("studio nine", "No microphone is called 'studio nine'; there are headset, webcam."),
        ("e", "Several microphones fit 'e': headset, webcam; give more of the name."),
        ("speakers", "No microphone is called 'speakers'; there are headset, webcam."),
    ],
)
def test_a_name_that_fits_none_or_several_names_those_that_are_there(name, sentence):
    with pytest.raises(HearingError) as caught:
        microphones.input_device(name)

    assert str(caught.value) == sentence
