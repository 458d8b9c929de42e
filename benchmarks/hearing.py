"""
How well reports are heard: right, refused, wrong accepted; by voice, noise and expectation; and how fast.

    python -m benchmarks.hearing [--sample N] [--human FOLDER] [--only SECTION ...]

Voices of the set "held out" were never tuned on. Intervals are Wilson's, 95 %. Expectation: the true value
plus an error of dead reckoning, drawn by a seed from normal distributions of 0.22 NM, 94 ft and 2.5 degrees,
in windows of the usual width. `--human` is a folder of recordings with a manifest.csv (file,
reference_words, kind); it is for measuring only. "plain" is the recogniser at the library's defaults with the
same grammar: no garbage branch, no front end, no expectation.
"""

import argparse
import csv
import json
import random
import resource
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pocketsphinx

from assistant.adapters.speech_in.audio import Samples, pcm16, read_audio
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.listener import THRESHOLDS, Listener, meaning
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.spoken_grammar import SAID_ALIKE, SpokenGrammar, spoken_grammar
from assistant.engine.events import EngineInput, NotUnderstood, PositionReport
from assistant.language.choice import Candidate, Decision, Expectation, choose, expectation_around
from assistant.language.grammar import Names, grammar
from assistant.language.numbers import DIGITS, SCALES, TEENS, TENS
from benchmarks.sounds import BEFORE_S, in_noise, no_speech

FIXTURES = Path(__file__).resolve().parent.parent / "audio_fixtures"
NAMES = Names(fixes=("TARNO", "BELIM"), frequencies=("Skarrow Tower", "tower"))
NOISES: tuple[float | None, ...] = (None, 15.0, 5.0)
SECTIONS = ("voices", "espeak", "plain", "negatives", "human")
_PLAIN_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
# Standard deviations of the simulated error of dead reckoning.
_ERRORS = {"dme_nm": 0.22, "indicated_ft": 94.0, "radial_deg": 2.5}


class PlainRecogniser(PocketsphinxRecogniser):
    """The library's defaults, with our grammar, no garbage branch and no expectation."""

    def __init__(self) -> None:
        super().__init__()
        self._decoder = pocketsphinx.Decoder(lm=None, logfn="/dev/null", loglevel="FATAL")


def interval(count: int, total: int) -> str:
    """A share in percent with Wilson's 95 % interval."""
    if not total:
        return "-"
    z, share = 1.96, count / total
    centre = (share + z * z / (2 * total)) / (1 + z * z / total)
    half = z * ((share * (1 - share) + z * z / (4 * total)) / total) ** 0.5 / (1 + z * z / total)
    return f"{100 * share:.1f} ({100 * max(centre - half, 0):.0f}-{100 * min(centre + half, 1):.0f})"


def fixtures(kinds: Iterable[str], prefixes: tuple[str, ...], sample: int) -> list[dict[str, str]]:
    """Held-out recordings of some kinds and voices, a seeded sample."""
    lines = (FIXTURES / "manifest.jsonl").read_text(encoding="utf-8").splitlines()
    wanted = [
        entry
        for entry in map(json.loads, lines)
        if entry["set"] == "held out" and entry["kind"] in kinds and entry["voice"].startswith(prefixes)
    ]
    return random.Random(11).sample(wanted, min(sample, len(wanted)))  # noqa: S311  # no secret


def kinds() -> set[str]:
    """Every kind of fixture that is a report or a question."""
    lines = (FIXTURES / "manifest.jsonl").read_text(encoding="utf-8").splitlines()
    return {json.loads(line)["kind"] for line in lines} - {"negative", "approach"}


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


def is_meant(events: tuple[EngineInput, ...]) -> bool:
    """Whether it would have been taken for something."""
    return bool(events) and not any(isinstance(event, NotUnderstood) for event in events)


def row(name: str, noise: float | None, counts: Counter[str], times: list[float]) -> None:
    """Print one line of the table."""
    total = counts["right"] + counts["wrong"] + counts["refused"]
    level = "clean" if noise is None else f"{noise:g} dB"
    speed = (
        f" p50 {1e3 * np.quantile(times, 0.5):.0f} p95 {1e3 * np.quantile(times, 0.95):.0f} ms"
        if times
        else ""
    )
    print(
        f"{name:42} {level:6} n={total:4d}  right {interval(counts['right'], total):16} "
        f"refused {interval(counts['refused'], total):16} wrong {interval(counts['wrong'], total):16}{speed}",
        flush=True,
    )


def reports(name: str, entries: list[dict[str, str]], listener: Listener, *, with_expectation: bool) -> None:
    """Reports through the whole layer."""
    for noise in NOISES:
        counts: Counter[str] = Counter()
        times = []
        chance = random.Random(7)  # noqa: S311  # no secret
        for number, entry in enumerate(entries):
            truth = meaning(entry["words"], NAMES)
            listener.expect(expected(truth, chance) if with_expectation else None)
            sound = in_noise(read_audio(FIXTURES / entry["file"]), noise, number)
            begun_s = time.perf_counter()
            hearing = listener.understand(sound, BEFORE_S)
            times.append(time.perf_counter() - begun_s)
            events = meaning(hearing.text, NAMES)
            counts["refused" if not hearing.text else "right" if events == truth else "wrong"] += 1
        row(name, noise, counts, times)


def plain(entries: list[dict[str, str]]) -> None:
    """The same reports by the recogniser at its defaults."""
    recogniser = PlainRecogniser()
    recogniser.prepare("open", spoken_grammar(grammar(NAMES)))
    for noise in NOISES:
        counts: Counter[str] = Counter()
        times = []
        for number, entry in enumerate(entries):
            sound = in_noise(read_audio(FIXTURES / entry["file"]), noise, number)
            begun_s = time.perf_counter()
            events = meaning(_plainly(recogniser, sound).text, NAMES)
            times.append(time.perf_counter() - begun_s)
            right = events == meaning(entry["words"], NAMES)
            counts["right" if right else "wrong" if is_meant(events) else "refused"] += 1
        row("plain, same reports", noise, counts, times)


def _plainly(recogniser: PlainRecogniser, sound: Samples) -> Decoded:
    assert len(pcm16(sound)) > 0
    return recogniser.decode("open", sound)


def negatives(name: str, sounds: list[Samples], listener: Listener, noises: tuple[float | None, ...]) -> None:
    """What is not for us: everything accepted is wrong."""
    listener.expect(None)
    for noise in noises:
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


def human(folder: Path, listener: Listener, recogniser: PocketsphinxRecogniser, sample: int) -> None:
    """Human numbers and chatter, measured where they lie."""
    with (folder / "manifest.csv").open(encoding="utf-8") as file:
        entries = list(csv.DictReader(file))
    by_kind: dict[str, list[tuple[str, Samples]]] = {}
    for entry in random.Random(13).sample(entries, len(entries)):  # noqa: S311  # no secret
        by_kind.setdefault(entry["kind"], []).append(
            (entry["reference_words"], read_audio(folder / entry["file"]))
        )
    others = [sound for _, sound in by_kind["negative"]][:sample]
    negatives("human speech not for us", others, listener, (None, 15.0))
    numbers(by_kind["numbers"][:sample], recogniser)
    digits = [
        (words, sound)
        for words, sound in by_kind["numbers"]
        if 3 <= len(words.split()) <= 5 and all(word in DIGITS for word in words.split())
    ]
    digit_strings("human digit strings 3-5 (AN4), expected", digits[:sample], recogniser)
    digit_strings("human digit strings 3-5 (FSDD), expected", by_kind["digits_joined"][:sample], recogniser)


def numbers(entries: list[tuple[str, Samples]], recogniser: PocketsphinxRecogniser) -> None:
    """Any row of number words, nothing expected: right if every word is."""
    words = {SAID_ALIKE.get(word, word) for word in (*DIGITS, *TEENS, *TENS, *SCALES)}
    loop = [(0, 1, word) for word in words] + [(1, 1, word) for word in words] + [(1, 2, "")]
    recogniser.prepare("numbers", SpokenGrammar(arcs=tuple(loop), final=2, fillers=frozenset()))
    for noise in NOISES:
        counts: Counter[str] = Counter()
        for number, (reference, sound) in enumerate(entries):
            clean = cleaned(in_noise(sound, noise, number), BEFORE_S)
            text = recogniser.decode("numbers", clean.sound).text
            truth = " ".join(SAID_ALIKE.get(word, word) for word in reference.split())
            counts["right" if text == truth else "wrong" if text else "refused"] += 1
        row("human numbers, nothing expected", noise, counts, [])


def digit_strings(name: str, entries: list[tuple[str, Samples]], recogniser: PocketsphinxRecogniser) -> None:
    """Three to five digits as a value, against a window about it: 8 wide either way for three, else 300."""
    recogniser.prepare("digits", SpokenGrammar(arcs=tuple(_three_to_five()), final=9, fillers=frozenset()))
    for noise in NOISES:
        counts: Counter[str] = Counter()
        times = []
        chance = random.Random(17)  # noqa: S311  # no secret
        for number, (reference, sound) in enumerate(entries):
            truth = "".join(str(DIGITS[word]) for word in reference.split())
            size, slack = len(truth), 8 if len(truth) == 3 else 300
            centre = int(truth) + round(chance.gauss(0.0, slack / 3.2))
            window = (max(centre - slack, 0), min(centre + slack, 10**size - 1))
            recogniser.prepare("window", _strings(range(window[0], window[1] + 1), size))
            clean = cleaned(in_noise(sound, noise, number), BEFORE_S)
            begun_s = time.perf_counter()
            heard = _as_value(recogniser.decode("digits", clean.sound))
            limited = heard
            if heard.text and not (len(heard.text) == size and window[0] <= int(heard.text) <= window[1]):
                limited = _as_value(recogniser.decode("window", clean.sound))
            choice = choose(heard, limited, Expectation(dme_nm=(0.0, 1.0)), THRESHOLDS)
            times.append(time.perf_counter() - begun_s)
            said = choice.reading.text if choice.reading and choice.decision is Decision.ACCEPT else ""
            counts["refused" if not said else "right" if said == truth else "wrong"] += 1
        row(name, noise, counts, times)


def _three_to_five() -> Iterator[tuple[int, int, str]]:
    for state in range(5):
        yield from ((state, state + 1, word) for word in _PLAIN_DIGITS)
    yield from ((state, 9, "") for state in (3, 4, 5))


def _strings(values: range, size: int) -> SpokenGrammar:
    """Numbers of some digits as a tree of digits, for a window."""
    states: dict[str, int] = {"": 0}
    arcs: dict[tuple[int, int, str], None] = {}
    final = 1
    for number in values:
        text = f"{number:0{size}d}"
        for end in range(1, size + 1):
            state = states.setdefault(text[:end], len(states) + 1)
            arcs[(states[text[: end - 1]], state, _PLAIN_DIGITS[int(text[end - 1])])] = None
        arcs[(states[text], final, "")] = None
    return SpokenGrammar(arcs=tuple(arcs), final=final, fillers=frozenset())


def _as_value(decoded: Decoded) -> Candidate:
    text = "".join(str(DIGITS[word]) for word in decoded.text.split())
    events = (PositionReport(t_s=0.0, observed_t_s=0.0, dme_nm=float(text)),) if text else ()
    return Candidate(text=text, events=events, score=decoded.score)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sample", type=int, default=80, help="utterances a cell")
    parser.add_argument("--human", type=Path, help="a folder of human recordings")
    parser.add_argument("--only", nargs="*", default=SECTIONS, choices=SECTIONS)
    wanted = parser.parse_args()
    begun_s = time.perf_counter()
    recogniser = PocketsphinxRecogniser()
    listener = Listener(recogniser, NAMES)
    print(f"ready in {time.perf_counter() - begun_s:.2f} s")
    voices = fixtures(kinds(), ("festival", "piper"), wanted.sample)
    if "voices" in wanted.only:
        reports("synthetic, not eSpeak, expected", voices, listener, with_expectation=True)
        reports("synthetic, not eSpeak, nothing expected", voices, listener, with_expectation=False)
    if "espeak" in wanted.only:
        espeak = fixtures(kinds(), ("espeak",), wanted.sample)
        reports("eSpeak accents, expected", espeak, listener, with_expectation=True)
    if "negatives" in wanted.only:
        chatter = fixtures({"negative"}, ("",), wanted.sample)
        spoken = [read_audio(FIXTURES / entry["file"]) for entry in chatter]
        negatives("synthetic chatter", spoken, listener, (None, 15.0))
        negatives(
            "no speech", [no_speech(seed) for seed in range(100, 100 + wanted.sample)], listener, NOISES
        )
    if "human" in wanted.only and wanted.human is not None:
        human(wanted.human, listener, recogniser, wanted.sample)
    if "plain" in wanted.only:
        plain(voices)
    print(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB at most")


if __name__ == "__main__":
    main()
