"""A loudspeaker is found by name; the wrong one is never taken for it."""

import pytest
from fake_speaker import FakeSounddevice

from assistant.adapters.speech_out import devices
from assistant.adapters.speech_out.devices import output_device, output_devices
from assistant.adapters.speech_out.errors import VoiceUnavailable

SEVERAL = (
    ("Microphone", "MME", 0),
    ("Headset (USB)", "MME", 2),
    ("Speakers", "MME", 8),
    ("Headset (USB)", "WASAPI", 2),
    ("Headset (radio)", "WASAPI", 2),
)


@pytest.fixture
def machine(monkeypatch):
    def with_devices(*listed, default=0):
        module = FakeSounddevice(listed, default)
        monkeypatch.setattr(devices, "sounddevice_module", lambda: module)

    return with_devices


def test_only_what_can_sound_is_listed(machine):
    machine(*SEVERAL, default=2)

    assert [device.name for device in output_devices()][:2] == ["Headset (USB)", "Speakers"]


def test_without_a_name_it_is_the_systems_own(machine):
    machine(*SEVERAL, default=2)

    assert output_device(None).name == "Speakers"


def test_a_part_of_the_name_is_enough_where_it_is_one_devices(machine):
    machine(*SEVERAL, default=2)

    assert output_device("usb").name == "Headset (USB)"
    assert output_device("speak").index == 2


def test_a_name_that_several_share_is_asked_back(machine):
    machine(*SEVERAL, default=2)

    with pytest.raises(VoiceUnavailable, match="several loudspeakers fit"):
        output_device("headset")


@pytest.mark.parametrize(
    ("listed", "name", "sentence"),
    [(SEVERAL, "Kitchen", "no loudspeaker is called 'Kitchen'"), ((), None, "no loudspeaker")],
)
def test_what_is_not_there_is_told(machine, listed, name, sentence):
    machine(*listed)

    with pytest.raises(VoiceUnavailable, match=sentence):
        output_device(name)


@pytest.mark.parametrize(
    ("failure", "sentence"),
    [(ImportError, "sounddevice is not installed"), (OSError, "PortAudio library is missing")],
)
def test_a_missing_package_or_library_is_told_with_what_to_do(monkeypatch, failure, sentence):
    def load(name, *_arguments):
        assert name == "sounddevice"
        raise failure

    monkeypatch.setattr("builtins.__import__", load)

    with pytest.raises(VoiceUnavailable, match=sentence):
        devices.sounddevice_module()
