"""A loudspeaker that went away is played to again when it is back, found by its name."""

import asyncio
import time

import numpy as np
import pytest
from fake_speaker import FakeSounddevice

from assistant.adapters.speech_out import devices, lasting_player, player
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.lasting_player import LastingPlayer
from assistant.adapters.speech_out.player import Player
from assistant.adapters.speech_out.sound import Sound

SHORT = Sound(samples=np.full(5, 0.5, dtype=np.float32), rate_hz=1000)


@pytest.fixture
def module(monkeypatch):
    made = FakeSounddevice(devices=(("Monitor", "ALSA", 2), ("Headset", "ALSA", 2)))
    for user in (devices, player, lasting_player):
        monkeypatch.setattr(user, "sounddevice_module", lambda: made)
    return made


def lose(speaker, module):
    module.streams[-1].active = False
    with pytest.raises(VoiceUnavailable, match="gone"):
        asyncio.run(speaker.play(SHORT))


def is_soon(true):
    """Whether it comes true within two seconds; the thread that tries again needs a few milliseconds."""
    until_s = time.monotonic() + 2.0
    while not true() and time.monotonic() < until_s:
        time.sleep(0.002)
    return true()


async def played(speaker, stream):
    task = asyncio.create_task(speaker.play(SHORT))
    await asyncio.sleep(0)
    heard = stream.pull(5)
    await asyncio.wait_for(task, 1.0)
    return heard


def test_a_loudspeaker_that_is_back_is_played_to_again_after_portaudio_was_started_anew(module):
    speaker = LastingPlayer(lambda: Player("headset"), tried_every_s=0.005)
    lose(speaker, module)
    assert is_soon(lambda: len(module.streams) == 2)

    assert list(asyncio.run(played(speaker, module.streams[1]))) == [0.5] * 5
    assert module.begun == 1
    assert module.streams[0].closed
    speaker.close()


def test_it_is_looked_for_by_name_until_it_is_there_whatever_number_it_has_then(module):
    speaker = LastingPlayer(lambda: Player("headset"), tried_every_s=0.005)
    module._devices = (("Monitor", "ALSA", 2),)
    lose(speaker, module)
    assert is_soon(lambda: module.begun >= 3)
    assert len(module.streams) == 1
    with pytest.raises(VoiceUnavailable, match="gone"):
        asyncio.run(speaker.play(SHORT))

    module._devices = (("Headset", "ALSA", 2), ("Monitor", "ALSA", 2))

    assert is_soon(lambda: len(module.streams) == 2)
    assert module.streams[1].options["device"] == 0
    speaker.close()


def test_closing_ends_the_search(module):
    speaker = LastingPlayer(lambda: Player("headset"), tried_every_s=60.0)
    module._devices = ()
    lose(speaker, module)

    began_s = time.monotonic()
    speaker.close()

    assert time.monotonic() - began_s < 5.0
    assert len(module.streams) == 1
