"""The voice says in time, or not at all, and tells in one sentence when it cannot any more."""

import asyncio

import pytest
from tone_voice import ToneRenderer

from assistant.adapters.speech_out.cache import SoundCache
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.sentences import Sentences
from assistant.adapters.speech_out.voice import SpokenVoice
from assistant.session import VoiceLate, VoiceLost


class Speaker:
    """Keeps the length of what it is given."""

    is_sounding = False
    rate_hz = 8_000

    def __init__(self, failure=None):
        self.played_s = []
        self._failure = failure

    async def play(self, sound):
        if self._failure is not None:
            raise self._failure
        self.played_s.append(round(sound.duration_s, 2))

    def close(self):
        self.played_s.append("closed")


@pytest.fixture
def said(tmp_path):
    def say(words, *, speaker, tone=False, within_s=5.0, renderer=None):
        renderer = renderer or ToneRenderer()
        voice = SpokenVoice(Sentences(renderer, SoundCache(tmp_path, renderer.key)), speaker, tone=tone)
        try:
            asyncio.run(voice.say(words, within_s=within_s))
        finally:
            voice.close()
        return speaker.played_s

    return say


def test_a_callout_is_played_whole_and_closing_closes_all(said):
    assert said("Lead radial. Turn right.", speaker=Speaker()) == [pytest.approx(1.12, abs=0.02), "closed"]


def test_the_tone_comes_before_it_by_option(said):
    """90 ms of tone, 50 ms of gap, 120 ms of breath, half a second of words."""
    assert said("Climb.", speaker=Speaker(), tone=True)[0] == pytest.approx(0.76, abs=0.02)


def test_what_is_not_ready_in_time_is_not_begun(said):
    speaker = Speaker()

    with pytest.raises(VoiceLate):
        said("Climb.", speaker=speaker, within_s=0.0)
    assert speaker.played_s == ["closed"]


def test_a_lost_loudspeaker_ends_the_voice_with_a_sentence(said):
    with pytest.raises(VoiceLost, match="It is gone"):
        said("Climb.", speaker=Speaker(VoiceUnavailable("It is gone.")))


def test_a_renderer_that_fails_ends_the_voice_with_a_sentence(said):
    renderer = ToneRenderer()
    renderer.failing = True

    with pytest.raises(VoiceLost, match="No voice today"):
        said("Climb.", speaker=Speaker(), renderer=renderer)
