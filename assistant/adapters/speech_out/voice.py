"""The voice of a session: sentences made ready, played to a loudspeaker, cut off when told."""

import asyncio
import time
from typing import Protocol

from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.sentences import Sentences
from assistant.adapters.speech_out.sound import Sound, cue_tone, joined, resampled
from assistant.session import VoiceLate, VoiceLost


class Speaker(Protocol):
    """What a voice plays to: a `Player`, or one that lasts."""

    @property
    def rate_hz(self) -> int:
        """Samples a second that it takes without resampling."""

    @property
    def is_sounding(self) -> bool:
        """Whether something is being played now."""

    async def play(self, sound: Sound) -> None:
        """Play to the end, cut off when cancelled; VoiceUnavailable where the device is gone."""

    def close(self) -> None:
        """Let go of the device."""


class SpokenVoice:
    """A `session.Voice`. tone: a short tone before each callout."""

    def __init__(self, sentences: Sentences, player: Speaker, *, tone: bool = False) -> None:
        self._sentences = sentences
        self._player = player
        self._tone = tone

    @property
    def is_sounding(self) -> bool:
        """Whether something is being said now: what a microphone hears may be it."""
        return self._player.is_sounding

    async def say(self, words: str, *, within_s: float) -> None:
        """See `session.Voice`."""
        asked_s = time.monotonic()
        try:
            # A sound that is ready is there in a few milliseconds; one that must be made must not stop the
            # session from hearing the pilot.
            sound = await asyncio.to_thread(self._sound_of, words)
            if time.monotonic() - asked_s > within_s:
                raise VoiceLate
            await self._player.play(sound)
        except VoiceUnavailable as unavailable:
            raise VoiceLost(str(unavailable)) from None

    def _sound_of(self, words: str) -> Sound:
        sound = self._sentences.sound_of(words)
        if self._tone:
            sound = joined((cue_tone(sound.rate_hz), sound))
        return resampled(sound, self._player.rate_hz)

    def close(self) -> None:
        """Let go of the loudspeaker and end the renderer."""
        self._player.close()
        self._sentences.close()
