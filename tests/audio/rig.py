"""
A session with a real loudspeaker, run by tests as a program of its own in a virtual sound environment.

    python rig.py SCENE.json SCENE.npz

The scene holds what a scripted dialogue decides and when; every word is a tone of its own frequency, so that
the recording shows which words sounded when. The sound server's clock and ours are one.
"""

import asyncio
import json
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS.parent), str(TESTS), str(TESTS / "adapters" / "speech_out"), str(TESTS / "audio")]

from scripted_dialogue import ScriptedDialogue, typed  # noqa: E402  # after the path
from tone_voice import tone  # noqa: E402
from virtual_sound import Recording  # noqa: E402

from assistant.adapters.console import WallClock  # noqa: E402
from assistant.adapters.speech_out.cache import SoundCache  # noqa: E402
from assistant.adapters.speech_out.player import Player  # noqa: E402
from assistant.adapters.speech_out.sentences import Sentences  # noqa: E402
from assistant.adapters.speech_out.voice import SpokenVoice  # noqa: E402
from assistant.conversation import Conversation  # noqa: E402
from assistant.engine.events import Priority  # noqa: E402
from assistant.session import Session  # noqa: E402


class NamedTones:
    """A sentence "800 for 2." is 800 Hz for two seconds."""

    key = "named tones"

    def render(self, sentence):
        frequency_hz, duration_s = sentence.rstrip(".").split(" for ")
        return tone(float(frequency_hz), duration_s=float(duration_s))

    def close(self):
        pass


async def heard(clock, lines, end_s):
    async for line in typed(clock, lines):
        yield line
    await clock.sleep_until(end_s)


def main():
    scene = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    due = {
        float(t_s): [(Priority[name], words) for name, words in said] for t_s, said in scene["due"].items()
    }
    answers = {
        text: [(Priority[name], words) for name, words in said]
        for text, said in scene.get("answers", {}).items()
    }
    words = [words for said in (*due.values(), *answers.values()) for _, words in said]
    with tempfile.TemporaryDirectory() as folder:
        sentences = Sentences(NamedTones(), SoundCache(Path(folder), "named tones"))
        sentences.prepare(words)
        sentences.wait_prepared()
        voice = SpokenVoice(sentences, Player())
        recording = Recording()
        clock = WallClock()
        zero_s = time.monotonic() - clock.now_s()
        session = Session(
            Conversation(ScriptedDialogue(due, answers)),
            sources=[heard(clock, scene.get("lines", []), scene["end_s"])],
            clock=clock,
            watch=lambda _records: None,
            voice=voice,
        )
        asyncio.run(session.run())
        time.sleep(0.2)
        samples, began_s = recording.stop()
        voice.close()
    np.savez(sys.argv[2], samples=samples, began_s=began_s - zero_s)


if __name__ == "__main__":
    main()
