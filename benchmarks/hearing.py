"""
How well reports are heard: right, refused, wrong accepted; by voice, noise and expectation; and how fast.

    python -m benchmarks.hearing [--sample N] [--folder FOLDER] [--only SECTION ...] [--noise LEVEL ...]

Voices of the set "held out" were never tuned on; of human speakers those with names from m on. Intervals are
Wilson's, 95 %. Expectation: the true value plus an error of dead reckoning, drawn by a seed from normal
distributions of 0.22 NM, 94 ft and 2.5 degrees, in windows of the usual width. "plain" is the recogniser at
the library's defaults with the same grammar: no front end, no expectation, nothing refused but what means
nothing. It hears what was measured in the same run, and the errors of both are compared.

`--folder` measures recordings of yours beside the project's: a folder with a manifest.jsonl as `leadradial
record` writes it, or with a manifest.csv (file, speaker, reference_words, kind: numbers, digits_joined,
negative).
"""

import argparse
import json
import random
import resource
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import pocketsphinx

from assistant.adapters.speech_in.audio import Samples, pcm16, read_audio
from assistant.adapters.speech_in.listener import Listener, meaning
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.recogniser import Decoded, Recogniser
from assistant.adapters.speech_in.recordings import LIST, NEGATIVE
from assistant.adapters.speech_in.spoken_grammar import spoken_grammar
from assistant.adapters.speech_in.suited_recogniser import SuitedRecogniser
from assistant.engine.events import EngineInput, PositionReport
from assistant.language.choice import Decision, Expectation, expectation_around
from assistant.language.grammar import grammar
from benchmarks.hearing_against import against
from benchmarks.hearing_people import digits_only, numbers, people, plain_strings, readings, strings
from benchmarks.hearing_table import LEVELS, NAMES, is_meant, row
from benchmarks.sounds import BEFORE_S, in_noise, no_speech

FIXTURES = Path(__file__).resolve().parent.parent / "audio_fixtures"
SECTIONS = ("voices", "espeak", "plain", "negatives", "folder")
# Standard deviations of the simulated error of dead reckoning.
_ERRORS = {"dme_nm": 0.22, "indicated_ft": 94.0, "radial_deg": 2.5}
_APPROACH = "approach"

Noise = float | None


class PlainRecogniser(PocketsphinxRecogniser):
    """The library's defaults, with our grammar and no expectation."""

    def __init__(self) -> None:
        super().__init__()
        self._decoder = pocketsphinx.Decoder(lm=None, logfn="/dev/null", loglevel="FATAL")

    def decode(self, key: str, sound: Samples) -> Decoded:
        """By the library's own features."""
        self.begin(key)
        self._decoder.process_raw(pcm16(sound), no_search=False, full_utt=True)
        return self.decoded()


def fixtures(
    kinds: Iterable[str], prefixes: tuple[str, ...], sample: int, folder: Path = FIXTURES
) -> list[dict[str, str]]:
    """Held-out recordings of some kinds and voices, a seeded sample."""
    wanted = [
        entry
        for entry in _listed(folder)
        if entry["set"] == "held out" and entry["kind"] in kinds and entry["voice"].startswith(prefixes)
    ]
    return random.Random(11).sample(wanted, min(sample, len(wanted)))  # noqa: S311  # no secret


def kinds(folder: Path = FIXTURES) -> set[str]:
    """Every kind of recording that is a report or a question."""
    return {entry["kind"] for entry in _listed(folder)} - {NEGATIVE, _APPROACH}


def _listed(folder: Path) -> list[dict[str, str]]:
    return [json.loads(line) for line in (folder / LIST).read_text(encoding="utf-8").splitlines()]


def expected(events: tuple[EngineInput, ...], chance: random.Random) -> Expectation:
    """Windows about what is reported, off by an error of dead reckoning."""
    values: dict[str, float] = {}
    for event in events:
        if isinstance(event, PositionReport):
            for field, error in _ERRORS.items():
                number = getattr(event, field)
                if number is not None and event.datum is None:
                    values[field] = number + chance.gauss(0.0, error)
    return expectation_around(**values)


def reports(
    name: str,
    folder: Path,
    entries: list[dict[str, str]],
    listener: Listener,
    noise: Noise,
    *,
    with_expectation: bool,
) -> list[str]:
    """Reports through the whole layer, and what became of each."""
    verdicts = []
    times = []
    chance = random.Random(7)  # noqa: S311  # no secret
    for number, entry in enumerate(entries):
        truth = meaning(entry["words"], NAMES)
        listener.expect(expected(truth, chance) if with_expectation else None)
        sound = in_noise(read_audio(folder / entry["file"]), noise, number)
        begun_s = time.perf_counter()
        hearing = listener.understand(sound, BEFORE_S)
        times.append(time.perf_counter() - begun_s)
        if hearing.text:
            verdicts.append("right" if meaning(hearing.text, NAMES) == truth else "wrong")
        else:
            verdicts.append("asked back" if hearing.choice.decision is Decision.ASK else "refused")
    row(name, noise, Counter(verdicts), times)
    return verdicts


def plain(name: str, entries: list[dict[str, str]], recogniser: PlainRecogniser, noise: Noise) -> list[str]:
    """The same reports by the recogniser at its defaults, and what became of each."""
    verdicts = []
    times = []
    for number, entry in enumerate(entries):
        sound = in_noise(read_audio(FIXTURES / entry["file"]), noise, number)
        begun_s = time.perf_counter()
        events = meaning(recogniser.decode("open", sound).text, NAMES)
        times.append(time.perf_counter() - begun_s)
        is_right = events == meaning(entry["words"], NAMES)
        verdicts.append("right" if is_right else "wrong" if is_meant(events) else "refused")
    row(name, noise, Counter(verdicts), times)
    return verdicts


def plain_negatives(others: list[Samples], recogniser: PlainRecogniser, noise: Noise) -> None:
    """The same talk that is not for us by the recogniser at its defaults."""
    taken: Counter[str] = Counter()
    for number, sound in enumerate(others):
        text = recogniser.decode("open", in_noise(sound, noise, number)).text
        taken["wrong" if is_meant(meaning(text, NAMES)) else "refused"] += 1
    row("plain, synthetic chatter", noise, taken, [])


def negatives(name: str, sounds: Iterable[Samples], listener: Listener, noise: Noise) -> None:
    """What is not for us: everything accepted is wrong."""
    listener.expect(None)
    counts: Counter[str] = Counter()
    times = []
    for number, sound in enumerate(sounds):
        noisy = in_noise(sound, noise, number)
        begun_s = time.perf_counter()
        hearing = listener.understand(noisy, BEFORE_S)
        times.append(time.perf_counter() - begun_s)
        # Fillers alone mean nothing and change nothing.
        counts["wrong" if is_meant(meaning(hearing.text, NAMES)) else "refused"] += 1
    row(name, noise, counts, times)


def of_folder(folder: Path, listener: Listener, recogniser: Recogniser, sample: int, noise: Noise) -> None:
    """Recordings of somebody's own, with either kind of list."""
    if (folder / "manifest.csv").exists():
        others = people(folder, {NEGATIVE}, sample)
        negatives("people's talk not for us", (sound for _, sound in others), listener, noise)
        numbers(people(folder, {"numbers"}, sample), recogniser, noise)
        spoken = digits_only(people(folder, {"numbers"}, 1000))[:sample]
        joined = people(folder, {"digits_joined"}, sample)
        for name, entries in (("people's digit", spoken), ("joined digit", joined)):
            readings(f"{name}s as readings, expected", entries, listener, noise)
            ours = strings(f"{name} strings 3-5, expected", entries, recogniser, noise)
            theirs = plain_strings(f"plain, {name} strings 3-5", entries, PlainRecogniser(), noise)
            against(f"{name} strings 3-5", noise, ours, theirs)
        return
    entries = fixtures(kinds(folder), ("",), sample, folder)
    reports(folder.name + ", expected", folder, entries, listener, noise, with_expectation=True)
    reports(folder.name + ", nothing expected", folder, entries, listener, noise, with_expectation=False)
    others_said = fixtures({NEGATIVE}, ("",), sample, folder)
    negatives(
        folder.name + ", not for us",
        (read_audio(folder / entry["file"]) for entry in others_said),
        listener,
        noise,
    )


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sample", type=int, default=80, help="utterances a cell")
    parser.add_argument("--folder", type=Path, help="a folder of recordings to measure beside the project's")
    parser.add_argument("--only", nargs="*", default=SECTIONS, choices=SECTIONS)
    parser.add_argument("--noise", nargs="*", default=tuple(LEVELS), choices=tuple(LEVELS))
    wanted = parser.parse_args()
    begun_s = time.perf_counter()
    recogniser = SuitedRecogniser()
    listener = Listener(recogniser, NAMES)
    print(f"ready in {time.perf_counter() - begun_s:.2f} s")
    said = {
        "synthetic, not eSpeak": fixtures(kinds(), ("festival", "piper"), wanted.sample),
        "eSpeak accents": fixtures(kinds(), ("espeak",), wanted.sample),
    }
    sections = {"synthetic, not eSpeak": "voices", "eSpeak accents": "espeak"}
    said = {name: entries for name, entries in said.items() if sections[name] in wanted.only}
    chatter = [read_audio(FIXTURES / entry["file"]) for entry in fixtures({NEGATIVE}, ("",), wanted.sample)]
    for noise in (LEVELS[level] for level in wanted.noise):
        ours: dict[bool, list[str]] = {True: [], False: []}
        for name, entries in said.items():
            for is_expected in ours:
                ours[is_expected] += reports(
                    f"{name}, {'' if is_expected else 'nothing '}expected",
                    FIXTURES,
                    entries,
                    listener,
                    noise,
                    with_expectation=is_expected,
                )
        if "negatives" in wanted.only:
            negatives("synthetic chatter", chatter, listener, noise)
            negatives("no speech", map(no_speech, range(100, 100 + wanted.sample)), listener, noise)
        # Measured before the plain recogniser, which is a second decoder in the same memory.
        used_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        if "plain" in wanted.only:
            recogniser_at_defaults = PlainRecogniser()
            recogniser_at_defaults.prepare("open", spoken_grammar(grammar(NAMES)))
            theirs = [
                verdict
                for name, entries in said.items()
                for verdict in plain(f"plain, {name}", entries, recogniser_at_defaults, noise)
            ]
            against("all reports, expected", noise, ours[True], theirs)
            against("all reports, nothing expected", noise, ours[False], theirs)
            plain_negatives(chatter, recogniser_at_defaults, noise)
        if "folder" in wanted.only and wanted.folder is not None:
            of_folder(wanted.folder, listener, recogniser, wanted.sample, noise)
        print(f"{used_mb:.0f} MB at most")


if __name__ == "__main__":
    main()
