"""
A whole approach said aloud, run by tests as a program of its own in a virtual sound environment.

    python approach_rig.py GOLDEN.txt OUT.npz PROMPTING CACHE

The pilot's lines of a golden flight come at their times; the system's own voice says the callouts on a real
(virtual) loudspeaker, in real time. Between callouts, when nobody speaks, the clock leaps to the next moment
that anyone waits for: an approach of ten minutes then takes as long as its callouts.
"""

import asyncio
import json
import sys
import time
from pathlib import Path

import numpy as np

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS.parent), str(TESTS), str(TESTS / "audio")]

from driver import Flight  # noqa: E402  # after the path
from virtual_sound import Recording  # noqa: E402

from assistant.adapters.speech_out.cache import SoundCache  # noqa: E402
from assistant.adapters.speech_out.player import Player  # noqa: E402
from assistant.adapters.speech_out.rendering import Pyttsx3Renderer  # noqa: E402
from assistant.adapters.speech_out.sentences import Sentences  # noqa: E402
from assistant.adapters.speech_out.voice import SpokenVoice  # noqa: E402
from assistant.adapters.transcript_file import read_transcript  # noqa: E402
from assistant.flight_log import NotSpoken, Spoken  # noqa: E402
from assistant.foreseen import foreseen, sentences_of  # noqa: E402
from assistant.session import Session  # noqa: E402

QUIET_S = 0.45
"""Of real time after each callout, so that the recording shows where one ends."""


class LeapingClock:
    """Real time while someone speaks; at other times it leaps to the next moment that is waited for."""

    def __init__(self, begun_s=0.0):
        self._ahead_s = begun_s - time.monotonic()
        self._waiting = []
        self.speaking = 0
        self.quiet_since_s = time.monotonic()

    def now_s(self):
        return time.monotonic() + self._ahead_s

    def real_s(self):
        """The system's own clock, which never leaps."""
        return time.monotonic()

    def spoke(self):
        """Somebody who spoke has ended."""
        self.speaking -= 1
        self.quiet_since_s = time.monotonic()

    async def sleep_until(self, t_s):
        come = asyncio.get_running_loop().create_future()
        self._waiting.append((t_s, come))
        try:
            while (left_s := t_s - self.now_s()) > 0.0:  # noqa: ASYNC110  # nobody tells of a leap
                await asyncio.sleep(min(0.01, left_s))  # the clock may leap at any time
        finally:
            come.cancel()

    async def run(self):
        while True:
            await asyncio.sleep(0.01)
            self._waiting = [entry for entry in self._waiting if not entry[1].done()]
            is_quiet = not self.speaking and time.monotonic() - self.quiet_since_s > QUIET_S
            if self._waiting and is_quiet:
                self._ahead_s += max(0.0, min(t_s for t_s, _ in self._waiting) - self.now_s())


class TimedVoice:
    """The voice, with a note of when it was given its words."""

    def __init__(self, voice, clock):
        self._voice = voice
        self._clock = clock
        self.said = []

    async def say(self, words, *, within_s):
        entry = {"words": words, "asked_s": time.monotonic(), "is_whole": False}
        self.said.append(entry)
        self._clock.speaking += 1
        try:
            await self._voice.say(words, within_s=within_s)
            entry["is_whole"] = True
        finally:
            self._clock.spoke()


async def pilot(clock, transcripts):
    for transcript in transcripts:
        await clock.sleep_until(transcript.ended_t_s)
        yield transcript


def golden_sentences(path):
    """What the golden flight says: of the nine hundred foreseen, those that will be needed."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [
        sentence
        for line in lines
        if " ASSIST " in line
        for sentence in sentences_of(line.split(maxsplit=3)[3])
    ]


def main():
    path = Path(sys.argv[1])
    timed = read_transcript(path.read_text(encoding="utf-8"), str(path))
    flight = Flight.with_flags(timed.procedure, " ".join((*timed.setup, "--prompting", sys.argv[3])))
    renderer = Pyttsx3Renderer()
    sentences = Sentences(renderer, SoundCache(Path(sys.argv[4]), renderer.key))
    sentences.prepare(dict.fromkeys((*foreseen(flight.plan)[:2], *golden_sentences(path))))
    sentences.wait_prepared()
    records = []

    async def fly():
        clock = LeapingClock()
        voice = TimedVoice(SpokenVoice(sentences, Player()), clock)
        recording = Recording()
        session = Session(
            flight.conversation,
            sources=[pilot(clock, timed.heard)],
            clock=clock,
            watch=records.extend,
            voice=voice,
        )
        leaping = asyncio.create_task(clock.run())
        await session.run()
        leaping.cancel()
        await asyncio.sleep(0.3)
        return voice.said, recording.stop()

    said, (samples, began_s) = asyncio.run(fly())
    sentences.close()
    for entry in said:
        entry["asked_s"] -= began_s
    late = [
        spoken.text
        for spoken in records
        if isinstance(spoken, Spoken) and spoken.t_s > spoken.callout.expires_t_s
    ]
    unspoken = [[record.callout.cue, record.reason] for record in records if isinstance(record, NotSpoken)]
    facts = {"said": said, "late": late, "unspoken": unspoken, "rendered": sentences.rendered}
    np.savez(sys.argv[2], samples=samples, facts=np.array(json.dumps(facts)))


if __name__ == "__main__":
    main()
