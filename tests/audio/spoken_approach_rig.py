"""
An approach talked and said aloud, run by tests as a program of its own in a virtual sound environment.

    python spoken_approach_rig.py GOLDEN.txt RECORDINGS OUT.npz CACHE [FROM_S]

The reports of a golden flight before FROM_S are typed, in no time. Each one from then on is played into the
virtual microphone at its time, while a scripted talk switch is held; the embedded recogniser hears it, the
system's own voice answers. Between, when nobody speaks, the clock leaps. A report that is refused or asked
back is typed, as a pilot at the keyboard would.
"""

import asyncio
import json
import sys
from pathlib import Path

import numpy as np
import soundfile
from approach_rig import LeapingClock, TimedVoice, golden_sentences
from driver import Flight
from virtual_sound import Recording, paplay

from assistant.adapters.speech_in.listening_process import ListenerChoice, ListenerProcess
from assistant.adapters.speech_in.live_speech import Ears, EarState, pressed_speech
from assistant.adapters.speech_in.microphone import Microphone
from assistant.adapters.speech_out.cache import SoundCache
from assistant.adapters.speech_out.player import Player
from assistant.adapters.speech_out.rendering import Pyttsx3Renderer
from assistant.adapters.speech_out.sentences import Sentences
from assistant.adapters.speech_out.voice import SpokenVoice
from assistant.adapters.transcript_file import read_transcript
from assistant.cli.microphone import ending, made_listener, until
from assistant.conversation import play
from assistant.engine.events import Priority, StageEntered
from assistant.flight_log import Heard, Spoken
from assistant.foreseen import foreseen
from assistant.language.transcript import Transcript
from assistant.session import Session

LEAD_IN_S = 2.0
"""From the beginning of what is heard to the first report."""


class ScriptedSwitch:
    """A talk switch that a script holds."""

    name = "a script"

    def __init__(self):
        self.is_started = asyncio.Event()

    def start(self, on_change):
        self.move = on_change
        self.is_started.set()

    def close(self):
        pass


class Pilot:
    """Talks by the script, and types what was not taken at once."""

    def __init__(self, clock, reports, sounds):
        self._clock, self._reports, self._sounds = clock, reports, sounds
        self._heard = asyncio.Queue()
        self.switch = ScriptedSwitch()
        self.spans, self.typed = [], []

    async def lines(self):
        """The keyboard: what has to be typed; ends with the flight."""
        await self.switch.is_started.wait()
        for report, sound in zip(self._reports, self._sounds, strict=True):
            await self._clock.sleep_until(report.started_t_s)
            self._clock.speaking += 1
            self.switch.move(True)
            began_s = self._clock.real_s()
            await paplay(sound)
            self.spans.append((began_s, self._clock.real_s()))
            self.switch.move(False)
            heard = await self._heard.get()
            self._clock.spoke()
            if heard is None or not heard.text or heard.confidence < 1.0:
                self.typed.append(report.text)
                yield report
        await self._clock.sleep_until(self._reports[-1].started_t_s + 20.0)

    async def noted(self, source):
        """The microphone, with a note of what was made of each report."""
        last = None
        async for item in source:
            yield item
            if isinstance(item, Transcript):
                last = item
            elif not item.is_talking:
                self._heard.put_nowait(last)
                last = None


async def fly(flight, reports, sounds, sentences):
    clock = LeapingClock(begun_s=reports[0].started_t_s - LEAD_IN_S)
    voice = TimedVoice(SpokenVoice(sentences, Player()), clock)
    pilot = Pilot(clock, reports, sounds)
    told, records = [], []
    microphone = Microphone("pulse", told.append)
    names = flight.conversation.dialogue.names
    listener = ListenerProcess(
        made_listener, ListenerChoice(recogniser="pocketsphinx", model=None, names=names)
    )
    listener.started()
    ears = Ears(
        microphone=microphone,
        listener=listener,
        clock=clock,
        expected=flight.conversation.dialogue.expectation,
        state=EarState(microphone, "ready"),
        tell=told.append,
    )
    recording, over = Recording(), asyncio.Event()
    session = Session(
        flight.conversation,
        sources=[
            ending(pilot.lines(), over),
            until(pilot.noted(pressed_speech(ears, [pilot.switch])), over),
        ],
        clock=clock,
        watch=records.extend,
        voice=voice,
    )
    leaping = asyncio.create_task(clock.run())
    try:
        await session.run()
    finally:
        leaping.cancel()
        microphone.close()
        listener.close()
    samples, began_s = recording.stop()
    heard = [record.transcript for record in records if isinstance(record, Heard)]
    facts = {
        "taken": [each.text for each in heard if each.text and each.confidence == 1.0],
        "asked": [each.text for each in heard if not each.text or each.confidence < 1.0],
        "typed": pilot.typed,
        "stages": [[record.stage, record.t_s] for record in records if isinstance(record, StageEntered)],
        "acted": [
            [record.callout.kind, record.callout.figures.altitude_ft]
            for record in records
            if isinstance(record, Spoken) and record.callout.priority is Priority.ACTION
        ],
        "said": [entry | {"asked_s": entry["asked_s"] - began_s} for entry in voice.said],
        "talked": [(begin_s - began_s, end_s - began_s) for begin_s, end_s in pilot.spans],
        "told": told,
    }
    return facts, samples


def main():
    golden, folder, out, cache = map(Path, sys.argv[1:5])
    from_s = float(sys.argv[5]) if len(sys.argv) > 5 else 0.0
    timed = read_transcript(golden.read_text(encoding="utf-8"), golden.name)
    flight = Flight.with_flags(timed.procedure, " ".join((*timed.setup, "--prompting", "actions")))
    sounds = sorted(folder.glob("*.flac"))
    assert len(sounds) == len(timed.heard)
    spoken = [pair for pair in zip(timed.heard, sounds, strict=True) if pair[0].started_t_s >= from_s]
    for _ in play(flight.conversation, timed.heard[: -len(spoken)]):
        pass
    wavs = [out.parent / f"{sound.stem}.wav" for _, sound in spoken]
    for (_, sound), wav in zip(spoken, wavs, strict=True):
        soundfile.write(wav, *soundfile.read(sound))
    renderer = Pyttsx3Renderer()
    sentences = Sentences(renderer, SoundCache(cache, renderer.key))
    sentences.prepare(dict.fromkeys((*foreseen(flight.plan)[:2], *golden_sentences(golden))))
    sentences.wait_prepared()
    facts, samples = asyncio.run(fly(flight, [report for report, _ in spoken], wavs, sentences))
    sentences.close()
    np.savez(out, samples=samples, facts=np.array(json.dumps(facts)))


if __name__ == "__main__":
    main()
