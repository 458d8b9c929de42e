"""What is played begins with the next block, never overlaps, is cut off softly, and its end is known."""

import asyncio

import numpy as np
import pytest
from fake_speaker import FakeSounddevice

from assistant.adapters.speech_out import devices, player
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.player import Player
from assistant.adapters.speech_out.sound import PEAK, Sound


def steady(level, length):
    """A sound whose every sample is its level, so that what is heard says which sound it is."""
    return Sound(samples=np.full(length, level, dtype=np.float32), rate_hz=1000)


@pytest.fixture
def module(monkeypatch):
    made = FakeSounddevice()
    monkeypatch.setattr(devices, "sounddevice_module", lambda: made)
    monkeypatch.setattr(player, "sounddevice_module", lambda: made)
    return made


async def begin(speaker, sound):
    task = asyncio.create_task(speaker.play(sound))
    await asyncio.sleep(0)
    return task


async def settle():
    for _ in range(5):
        await asyncio.sleep(0)


def test_a_sound_begins_with_the_next_block_and_its_end_is_known(module):
    async def scene():
        speaker = Player()
        [stream] = module.streams
        assert not np.any(stream.pull(10))
        task = await begin(speaker, steady(0.5, 15))

        assert np.all(stream.pull(10) == 0.5)
        await settle()
        assert not task.done()
        rest = stream.pull(10)
        await asyncio.wait_for(task, 1.0)

        assert np.all(rest[:5] == 0.5)
        assert not np.any(rest[5:])

    asyncio.run(scene())


def test_a_cancelled_sound_fades_out_in_5_ms_and_is_gone(module):
    async def scene():
        speaker = Player()
        [stream] = module.streams
        task = await begin(speaker, steady(0.5, 1000))
        stream.pull(10)
        task.cancel()
        await settle()

        after = stream.pull(10)

        assert list(np.round(after, 3)) == [0.5, 0.375, 0.25, 0.125, 0, 0, 0, 0, 0, 0]
        assert not speaker.is_sounding

    asyncio.run(scene())


def test_a_second_sound_waits_for_the_fade_of_the_first_and_never_overlaps_it(module):
    async def scene():
        speaker = Player()
        [stream] = module.streams
        first = await begin(speaker, steady(0.5, 1000))
        stream.pull(10)
        first.cancel()
        second = await begin(speaker, steady(-0.25, 8))
        await settle()

        heard = stream.pull(20)
        await asyncio.wait_for(second, 1.0)

        assert np.all(heard[:4] > 0.0)
        assert list(heard[5:13]) == [-0.25] * 8
        assert not np.any(heard[13:])

    asyncio.run(scene())


def test_volume_is_a_factor_and_full_volume_never_clips(module):
    async def scene(volume):
        speaker = Player(volume=volume)
        task = await begin(speaker, steady(0.95, 5))
        heard = module.streams[-1].pull(5)
        await asyncio.wait_for(task, 1.0)
        return float(np.max(heard))

    assert asyncio.run(scene(0.5)) == pytest.approx(0.475)
    assert asyncio.run(scene(1.0)) == pytest.approx(PEAK)
    assert asyncio.run(scene(7.0)) == pytest.approx(PEAK)


def test_a_stream_that_stopped_is_a_lost_loudspeaker_at_once(module):
    async def scene():
        speaker = Player()
        module.streams[0].active = False
        with pytest.raises(VoiceUnavailable, match="'Headset' is gone; going on in text"):
            await speaker.play(steady(0.5, 10))

    asyncio.run(scene())


def test_a_device_that_no_longer_asks_for_sound_is_lost_though_its_stream_says_it_runs(module, monkeypatch):
    del module
    monkeypatch.setattr(player, "_DEAD_AFTER_S", 0.05)
    monkeypatch.setattr(player, "_WATCHED_EVERY_S", 0.01)

    async def scene():
        speaker = Player()
        with pytest.raises(VoiceUnavailable, match="is gone"):
            await speaker.play(steady(0.5, 10))

    asyncio.run(scene())


def test_a_loudspeaker_that_cannot_be_opened_is_told_of_in_a_sentence(module):
    module._refuses = True

    with pytest.raises(VoiceUnavailable, match=r"'Headset' cannot be opened \(Device unavailable\)"):
        Player()


def test_closing_lets_go_of_the_device(module):
    Player().close()

    assert module.streams[0].closed
