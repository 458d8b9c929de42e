"""
How single statements are heard where they fit, in development voices; and what else is taken for something.

    python -m benchmarks.statements [--snr DB] [--every N]

Each statement is said where a flight may wait for it (in a hold, on a leg, on final), by flite's and eSpeak's
voices, in cockpit noise. What is not understood is said once more, the same way: twice not understood is
asked about. Talk that is not for us (the development half) and sounds that are no speech go the same way:
all that is accepted of them is wrong, and all that is asked about a nuisance. Needs flite and espeak-ng.
"""

import argparse
import json
import subprocess
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.listener import Hearing, Listener, meaning
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.recordings import LIST, NEGATIVE
from assistant.engine.events import EngineInput, Said
from assistant.language.choice import Decision, Expectation
from benchmarks.hearing import FIXTURES
from benchmarks.hearing_table import NAMES, interval, is_meant
from benchmarks.sounds import BEFORE_S, in_noise, no_speech

VOICES = {
    **{f"flite {name}": ("flite", "-voice", name, "-o") for name in ("kal16", "awb", "rms", "slt")},
    "espeak us": ("espeak-ng", "-v", "en-us", "-s", "150", "-w"),
    "espeak gb": ("espeak-ng", "-v", "en-gb", "-s", "160", "-w"),
    "espeak scotland": ("espeak-ng", "-v", "en-gb-scotland", "-s", "150", "-w"),
}
_END = frozenset((Said.VISUAL, Said.NOT_VISUAL, Said.LANDED))
_HOLD = frozenset((Said.ENTERING_HOLD, Said.ONE_MORE, Said.LEAVING))
PLACES = {
    "hold": Expectation(
        dme_nm=(9.4, 11.2),
        indicated_ft=(3500.0, 4700.0),
        radial_deg=(40.0, 60.0),
        statements=frozenset(Said) - _END,
        awaited=frozenset((Said.LEAVING,)),
    ),
    "leg": Expectation(
        dme_nm=(12.4, 14.2),
        indicated_ft=(2500.0, 3700.0),
        radial_deg=(80.0, 96.0),
        statements=frozenset(Said) - _END - _HOLD,
        awaited=frozenset((Said.ESTABLISHED,)),
    ),
    "final": Expectation(
        dme_nm=(1.4, 3.2),
        indicated_ft=(500.0, 1700.0),
        statements=frozenset(Said) - _HOLD,
        awaited=_END | {Said.GOING_AROUND, Said.AFFIRM, Said.NEGATIVE},
    ),
}
SAID = {
    "hold": "leaving, leaving the hold, exiting the hold, departing the hold, entering hold, one more",
    "leg": "established, established inbound, on the arc, inbound, turning inbound, descending, level",
    "final": "visual, runway in sight, not visual, no contact, going around, go around, landed, touchdown, "
    "on the ground, affirm, negative",
}


def rendered(voice: str, words: str) -> Samples:
    """The words in a voice."""
    program, *options = VOICES[voice]
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder, "said.wav"))
        text = ("-t", words) if program == "flite" else (words,)
        subprocess.run([program, *options, path, *text], check=True, capture_output=True)  # noqa: S603  # fixed
        return read_audio(Path(path))


def outcome(hearing: Hearing, truth: tuple[EngineInput, ...]) -> str:
    """What became of it; truth empty: it was nothing for us."""
    reading = hearing.choice.reading
    if hearing.choice.decision is Decision.REFUSE or reading is None:
        return "refused"
    is_asked = hearing.choice.decision is Decision.ASK
    if not is_asked and not is_meant(reading.events):
        return "refused"  # fillers alone change nothing
    which = "right" if truth and reading.events == truth else "wrong"
    return f"asked, {which}" if is_asked else which


def said_twice(listener: Listener, place: str, sound: Samples, words: str) -> tuple[str, str]:
    """The outcomes of an utterance, and of the same once more where it was not accepted."""
    truth = meaning(words, NAMES) if words else ()
    found = []
    for _ in range(2):
        listener.expect(PLACES[place])
        found.append(outcome(listener.understand(sound, BEFORE_S), truth))
        if found[-1] in ("right", "wrong"):
            break
    listener.expect(None)
    listener.understand(np.zeros_like(sound))  # what was unclear is forgotten
    return found[0], found[-1]


def utterances(every: int) -> Iterator[tuple[str, str, str, Samples]]:
    """Kind, place, words meant, sound."""
    for voice in VOICES:
        for place, statements in SAID.items():
            for words in statements.split(", "):
                yield "statements", place, words, rendered(voice, words)
    listed = [json.loads(line) for line in (FIXTURES / LIST).read_text(encoding="utf-8").splitlines()]
    talk = [each for each in listed if each["kind"] == NEGATIVE and each["set"] == "development"]
    places = tuple(PLACES)
    for number, entry in enumerate(talk[::every]):
        yield "talk not for us", places[number % 3], "", read_audio(FIXTURES / entry["file"])
    for number in range(0, 60, every):
        yield "no speech", places[number // 6 % 3], "", no_speech(number)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--snr", type=float, default=15.0, metavar="DB")
    parser.add_argument("--every", type=int, default=1, metavar="N", help="of what is not for us")
    wanted = parser.parse_args()
    listener = Listener(PocketsphinxRecogniser(), NAMES)
    counts: dict[str, Counter[str]] = {}
    for number, (kind, place, words, sound) in enumerate(utterances(wanted.every)):
        first, last = said_twice(listener, place, in_noise(sound, wanted.snr, number), words)
        counts.setdefault(f"{kind}, first", Counter())[first] += 1
        counts.setdefault(f"{kind}, in two tries", Counter())[last] += 1
        if words and last != "right":
            print(f"  {place}: {words}: {first}, {last}", flush=True)
    for kind, outcomes in counts.items():
        total = outcomes.total()
        shares = ", ".join(f"{name} {interval(count, total)}" for name, count in sorted(outcomes.items()))
        print(f"{kind}: n={total}: {shares}")


if __name__ == "__main__":
    main()
