"""
How people's numbers and people's other talk are heard: recordings in a folder with a manifest.csv.

Its fields: file, speaker, reference_words, kind (numbers, digits_joined, negative). Such recordings are for
measuring only. AN4's speakers whose names begin with a to l, and one of FSDD's, are left out: tuned on.
"""

import csv
import random
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.listener import SHORTEST_NUMBER_S, THRESHOLDS, Listener, meaning
from assistant.adapters.speech_in.recogniser import Decoded, Recogniser
from assistant.adapters.speech_in.spoken_grammar import SAID_ALIKE, SpokenGrammar
from assistant.engine.events import PositionReport
from assistant.language.choice import Candidate, Decision, Expectation, choose, expectation_around
from assistant.language.numbers import DIGITS, SCALES, TEENS, TENS
from benchmarks.hearing_table import NAMES, row
from benchmarks.sounds import BEFORE_S, in_noise

_PLAIN_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
# Standard deviations of the simulated error of dead reckoning: degrees, NM, ft.
_OFF = {"radial_deg": 2.5, "dme_nm": 0.22, "indicated_ft": 94.0}
_LAST_TUNED_ON = "l"
_ALSO_TUNED_ON = "fsdd-jackson"

Spoken = tuple[str, Samples]


def people(folder: Path, kinds: set[str], sample: int) -> list[Spoken]:
    """Recordings of some kinds by speakers never tuned on, with their words; a seeded sample."""
    with (folder / "manifest.csv").open(encoding="utf-8") as file:
        entries = [entry for entry in csv.DictReader(file) if entry["kind"] in kinds]
    held_out = [entry for entry in entries if not _is_tuned_on(entry["speaker"])]
    chosen = random.Random(13).sample(held_out, min(sample, len(held_out)))  # noqa: S311  # no secret
    return [(entry["reference_words"], read_audio(folder / entry["file"])) for entry in chosen]


def _is_tuned_on(speaker: str) -> bool:
    """AN4's speakers are named by sex and initials: an4-fjmd."""
    database, _, name = speaker.partition("-")
    return speaker == _ALSO_TUNED_ON or (database == "an4" and name[1:2] <= _LAST_TUNED_ON)


def digits_only(entries: list[Spoken]) -> list[Spoken]:
    """Those of three to five digits and nothing else."""
    return [
        (words, sound)
        for words, sound in entries
        if 3 <= len(words.split()) <= 5 and all(word in DIGITS for word in words.split())
    ]


def as_reading(words: str) -> tuple[str, float] | None:
    """What digits by themselves can be: a radial, a range with its tenths last, an altitude in tens."""
    digits = "".join(str(DIGITS[word]) for word in words.split())
    number = int(digits)
    if len(digits) == 3:
        return ("radial_deg", float(number)) if number <= 360 else ("dme_nm", number / 10.0)
    is_altitude = digits[0] != "0" and number % 10 == 0 and number <= 60_000
    return ("indicated_ft", float(number)) if is_altitude else None


def readings(name: str, entries: list[Spoken], listener: Listener, noise: float | None) -> None:
    """Digits by themselves through the whole layer, as `leadradial hear --expect` takes them."""
    counts: Counter[str] = Counter()
    times = []
    chance = random.Random(17)  # noqa: S311  # no secret
    for number, (words, sound) in enumerate(entries):
        reading = as_reading(words)
        if reading is None:
            continue
        field, value = reading
        listener.expect(expectation_around(**{field: value + chance.gauss(0.0, _OFF[field])}))
        noisy = in_noise(sound, noise, number)
        begun_s = time.perf_counter()
        hearing = listener.understand(noisy, BEFORE_S)
        times.append(time.perf_counter() - begun_s)
        is_right = any(
            isinstance(event, PositionReport) and getattr(event, field) == value
            for event in meaning(hearing.text, NAMES)
        )
        if hearing.text:
            counts["right" if is_right else "wrong"] += 1
        else:
            counts["asked back" if hearing.choice.decision is Decision.ASK else "refused"] += 1
    row(name, noise, counts, times)


def numbers(entries: list[Spoken], recogniser: Recogniser, noise: float | None) -> None:
    """Any row of number words, nothing expected: right if every word is, asked back if one is too short."""
    words = sorted({SAID_ALIKE.get(word, word) for word in (*DIGITS, *TEENS, *TENS, *SCALES)})
    loop = [(0, 1, word) for word in words] + [(1, 1, word) for word in words] + [(1, 2, "")]
    recogniser.prepare("numbers", SpokenGrammar(arcs=tuple(loop), final=2, fillers=frozenset()))
    counts: Counter[str] = Counter()
    for number, (reference, sound) in enumerate(entries):
        clean = cleaned(in_noise(sound, noise, number), BEFORE_S)
        decoded = recogniser.decode("numbers", clean.sound)
        truth = " ".join(SAID_ALIKE.get(word, word) for word in reference.split())
        if not decoded.text or decoded.shortest_number_s < SHORTEST_NUMBER_S:
            counts["asked back" if decoded.text else "refused"] += 1
        else:
            counts["right" if decoded.text == truth else "wrong"] += 1
    row("people's numbers, nothing expected", noise, counts, [])


def strings(name: str, entries: list[Spoken], recogniser: Recogniser, noise: float | None) -> list[str]:
    """
    Three to five digits as one number, against a window about it: 8 either way for three, else 300.

    What became of each.
    """
    recogniser.prepare("digits", SpokenGrammar(arcs=tuple(_three_to_five()), final=9, fillers=frozenset()))
    verdicts = []
    chance = random.Random(17)  # noqa: S311  # no secret
    for number, (reference, sound) in enumerate(entries):
        truth = "".join(str(DIGITS[word]) for word in reference.split())
        size, slack = len(truth), 8 if len(truth) == 3 else 300
        centre = int(truth) + round(chance.gauss(0.0, slack / 3.2))
        window = (max(centre - slack, 0), min(centre + slack, 10**size - 1))
        recogniser.prepare("window", _within(range(window[0], window[1] + 1), size))
        clean = cleaned(in_noise(sound, noise, number), BEFORE_S)
        heard = _as_value(recogniser.decode("digits", clean.sound))
        limited = heard
        if heard.text and not (len(heard.text) == size and window[0] <= int(heard.text) <= window[1]):
            limited = _as_value(recogniser.decode("window", clean.sound))
        choice = choose(heard, limited, Expectation(dme_nm=(0.0, 1.0)), THRESHOLDS)
        if choice.decision is Decision.ACCEPT and choice.reading is not None:
            verdicts.append("right" if choice.reading.text == truth else "wrong")
        else:
            verdicts.append("asked back" if choice.decision is Decision.ASK else "refused")
    row(name, noise, Counter(verdicts), [])
    return verdicts


def plain_strings(name: str, entries: list[Spoken], recogniser: Recogniser, noise: float | None) -> list[str]:
    """The same digits by the recogniser at its defaults, as it hears them: what became of each."""
    recogniser.prepare("digits", SpokenGrammar(arcs=tuple(_three_to_five()), final=9, fillers=frozenset()))
    verdicts = []
    for number, (reference, sound) in enumerate(entries):
        heard = _as_value(recogniser.decode("digits", in_noise(sound, noise, number)))
        truth = "".join(str(DIGITS[word]) for word in reference.split())
        verdicts.append("right" if heard.text == truth else "wrong" if heard.text else "refused")
    row(name, noise, Counter(verdicts), [])
    return verdicts


def _three_to_five() -> Iterator[tuple[int, int, str]]:
    for state in range(5):
        yield from ((state, state + 1, word) for word in _PLAIN_DIGITS)
    yield from ((state, 9, "") for state in (3, 4, 5))


def _within(values: range, size: int) -> SpokenGrammar:
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
