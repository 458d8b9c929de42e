"""
What a second opinion is worth: right, refused, wrong accepted, without it and with it, in the same run.

    python -m benchmarks.second_opinion MODEL [--human FOLDER] [--sample N] [--noise DB] [--only SECTION]

MODEL is a folder with a Whisper model for CTranslate2; `--human` one of recordings with a manifest.csv. The
margins were chosen on AN4's speakers whose initials come up to L; here are the speakers after them, and the
synthetic voices of the set "held out". A time is that of an utterance with which the opinion was asked.
"""

import argparse
import csv
import random
import time
from collections import Counter
from pathlib import Path

from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.general_model import GeneralModel
from assistant.adapters.speech_in.listener import Listener, meaning
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.second_opinion import SURE, weights
from assistant.adapters.speech_in.spoken_grammar import SAID_ALIKE, SpokenGrammar
from assistant.engine.events import PositionReport
from assistant.language.choice import Candidate, Choice, Decision, Expectation, expectation_around
from assistant.language.numbers import DIGITS, SCALES, TEENS, TENS
from assistant.language.reconsidering import Weighed, reconsidered
from benchmarks.hearing import FIXTURES, NAMES, expected, fixtures, kinds, row
from benchmarks.sounds import BEFORE_S, in_noise

SECTIONS = ("numbers", "voices", "espeak", "chatter")
_LAST_INITIAL_TUNED_ON = "l"


def numbers(folder: Path, opinion: GeneralModel, noises: list[float | None], sample: int) -> None:
    """People's numbers, nothing expected: right if every word is."""
    words = {SAID_ALIKE.get(word, word) for word in (*DIGITS, *TEENS, *TENS, *SCALES)}
    loop = [(0, 1, word) for word in words] + [(1, 1, word) for word in words] + [(1, 2, "")]
    recogniser = PocketsphinxRecogniser()
    recogniser.prepare("numbers", SpokenGrammar(arcs=tuple(loop), final=2, fillers=frozenset()))
    opinion.prepare(frozenset(words))
    entries = [entry for entry in _listed(folder, "numbers") if _initial(entry) > _LAST_INITIAL_TUNED_ON]
    for noise in noises:
        without: Counter[str] = Counter()
        with_it: Counter[str] = Counter()
        times = []
        for number, entry in enumerate(entries[:sample]):
            sound = cleaned(in_noise(read_audio(folder / entry["file"]), noise, number), BEFORE_S).sound
            truth = " ".join(SAID_ALIKE.get(word, word) for word in entry["reference_words"].split())
            text = recogniser.decode("numbers", sound).text
            first = _choice(text)
            without[_verdict(first, truth)] += 1
            begun_s = time.perf_counter()
            weighed = [
                Weighed(reading=_candidate(weight.text, weight.together), opinion=weight.opinion, fits=True)
                for weight in weights(opinion, recogniser, sound, [text])
            ]
            with_it[_verdict(reconsidered(first, weighed, SURE), truth)] += 1
            times.append(time.perf_counter() - begun_s)
        row("human numbers, nothing expected, without", noise, without, [])
        row("human numbers, nothing expected, with", noise, with_it, times)


def _candidate(text: str, score: float) -> Candidate:
    # Words are all that counts here: each row of them is a meaning of its own.
    events = (PositionReport(t_s=0.0, observed_t_s=0.0, fix=text),) if text else ()
    return Candidate(text=text, events=events, score=score)


def _choice(text: str) -> Choice:
    decision = Decision.ACCEPT if text else Decision.REFUSE
    return Choice(decision=decision, reading=_candidate(text, 0.0) if text else None, why="")


def _verdict(choice: Choice, truth: str) -> str:
    if choice.decision is not Decision.ACCEPT or choice.reading is None:
        return "refused"
    return "right" if choice.reading.text == truth else "wrong"


def reports(
    name: str, said: list[tuple[str, Samples]], listeners: dict[str, Listener], noises: list[float | None]
) -> None:
    """Reports with nothing expected and with windows; words that are empty must not be accepted."""
    for is_expected in (False, True):
        for noise in noises:
            for title, listener in listeners.items():
                counts: Counter[str] = Counter()
                chance = random.Random(7)  # noqa: S311  # no secret
                times = []
                for number, (words, sound) in enumerate(said):
                    truth = meaning(words, NAMES)
                    windows = expected(truth, chance) if words else _anything(chance)
                    listener.expect(windows if is_expected else None)
                    begun_s = time.perf_counter()
                    hearing = listener.understand(in_noise(sound, noise, number), BEFORE_S)
                    times.append(time.perf_counter() - begun_s)
                    is_right = bool(truth) and meaning(hearing.text, NAMES) == truth
                    counts["refused" if not hearing.text else "right" if is_right else "wrong"] += 1
                row(f"{name}, {'' if is_expected else 'not '}expected, {title}", noise, counts, times)


def _anything(chance: random.Random) -> Expectation:
    return expectation_around(
        dme_nm=chance.uniform(3.0, 25.0),
        indicated_ft=chance.uniform(1500.0, 7000.0),
        radial_deg=chance.uniform(0.0, 360.0),
    )


def _listed(folder: Path, kind: str) -> list[dict[str, str]]:
    with (folder / "manifest.csv").open(encoding="utf-8") as file:
        entries = [entry for entry in csv.DictReader(file) if entry["kind"] == kind]
    return random.Random(13).sample(entries, len(entries))  # noqa: S311  # no secret


def _initial(entry: dict[str, str]) -> str:
    """Of the speaker: AN4 calls them an4-, sex, initials."""
    return entry["speaker"].removeprefix("an4-")[1]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("model", type=Path)
    parser.add_argument("--human", type=Path, help="a folder of human recordings")
    parser.add_argument("--sample", type=int, default=60, help="utterances a cell")
    parser.add_argument("--noise", type=float, nargs="*", default=[15.0], help="dB, beside clean")
    parser.add_argument("--only", nargs="*", default=SECTIONS, choices=SECTIONS)
    wanted = parser.parse_args()
    noises: list[float | None] = [None, *wanted.noise]
    opinion = GeneralModel(wanted.model)
    if "numbers" in wanted.only and wanted.human is not None:
        numbers(wanted.human, opinion, noises, wanted.sample)
    recogniser = PocketsphinxRecogniser()
    listeners = {
        "without": Listener(recogniser, NAMES),
        "with": Listener(recogniser, NAMES, opinion),
    }
    for section, voices in (("voices", ("festival", "piper")), ("espeak", ("espeak",))):
        if section in wanted.only:
            entries = fixtures(kinds(), voices, wanted.sample)
            said = [(entry["words"], read_audio(FIXTURES / entry["file"])) for entry in entries]
            reports(section, said, listeners, noises)
    if "chatter" in wanted.only and wanted.human is not None:
        entries = _listed(wanted.human, "negative")[: wanted.sample]
        reports(
            "human speech not for us",
            [("", read_audio(wanted.human / entry["file"])) for entry in entries],
            listeners,
            noises,
        )


if __name__ == "__main__":
    main()
