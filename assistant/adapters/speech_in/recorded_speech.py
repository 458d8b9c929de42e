"""
A recording as a microphone: its utterances become transcripts at the moments at which they were spoken.

The window-limited grammar is compiled when an utterance begins, and decoding is done when it ends, both in a
worker thread. What is refused arrives as a transcript without words, at which the dialogue says "say again";
what is doubted arrives marked as such, and the dialogue asks it back.
"""

import asyncio
from collections.abc import AsyncIterator, Callable

from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.listener import Listener
from assistant.adapters.speech_in.utterances import PAUSE_S, utterances
from assistant.language.choice import Expectation
from assistant.language.transcript import Transcript
from assistant.session import Clock


async def recorded_speech(
    sound: Samples, listener: Listener, clock: Clock, expected: Callable[[float], Expectation]
) -> AsyncIterator[Transcript]:
    """Transcripts of a recording that begins to play now, at the speed at which it was made."""
    zero_s = clock.now_s()
    for utterance in utterances(sound):
        begun_s = zero_s + utterance.begun_s
        await clock.sleep_until(begun_s)
        await asyncio.to_thread(listener.expect, expected(clock.now_s()))
        await clock.sleep_until(zero_s + utterance.ended_s + PAUSE_S)
        hearing = await asyncio.to_thread(listener.understand, utterance.sound, utterance.before_s)
        yield hearing.transcript(begun_s, zero_s + utterance.ended_s)
