"""
What a second opinion is worth: sections of `benchmarks.hearing` without it and with it, in the same run.

    python -m benchmarks.second_opinion MODEL [--people FOLDER] [--sample N] [--only SECTION] [--noise LEVEL]

MODEL is a folder with a Whisper model for CTranslate2, `--people` one of recordings with a manifest.csv. Its
margins were chosen on speakers whose names begin with a to l, who are left out here. Times are those of every
utterance, whether the opinion was asked or not; of people's numbers, those of the opinion alone.
"""

import argparse
import time
from collections import Counter
from pathlib import Path

from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.general_model import GeneralModel
from assistant.adapters.speech_in.listener import Listener
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.adapters.speech_in.recordings import NEGATIVE
from assistant.adapters.speech_in.second_opinion import SURE, weights
from assistant.adapters.speech_in.spoken_grammar import SAID_ALIKE, SpokenGrammar
from assistant.engine.events import PositionReport
from assistant.language.choice import Candidate, Choice, Decision
from assistant.language.numbers import DIGITS, SCALES, TEENS, TENS
from assistant.language.reconsidering import Weighed, reconsidered
from benchmarks.hearing import FIXTURES, fixtures, kinds, negatives, reports
from benchmarks.hearing_people import digits_only, people, readings
from benchmarks.hearing_table import LEVELS, NAMES, row
from benchmarks.sounds import BEFORE_S, in_noise

SECTIONS = ("numbers", "digits", "voices", "espeak", "chatter")


def numbers(entries: list[tuple[str, Samples]], opinion: GeneralModel, noise: float | None) -> None:
    """People's numbers, any row of number words, nothing expected: right if every word is."""
    words = sorted({SAID_ALIKE.get(word, word) for word in (*DIGITS, *TEENS, *TENS, *SCALES)})
    loop = [(0, 1, word) for word in words] + [(1, 1, word) for word in words] + [(1, 2, "")]
    recogniser = PocketsphinxRecogniser()
    recogniser.prepare("numbers", SpokenGrammar(arcs=tuple(loop), final=2, fillers=frozenset()))
    opinion.prepare(frozenset(words))
    without: Counter[str] = Counter()
    with_it: Counter[str] = Counter()
    times = []
    for number, (reference, recording) in enumerate(entries):
        sound = cleaned(in_noise(recording, noise, number), BEFORE_S).sound
        truth = " ".join(SAID_ALIKE.get(word, word) for word in reference.split())
        text = recogniser.decode("numbers", sound).text
        decision = Decision.ACCEPT if text else Decision.REFUSE
        first = Choice(decision=decision, reading=_candidate(text, 0.0) if text else None, why="")
        without[_verdict(first, truth)] += 1
        begun_s = time.perf_counter()
        weighed = [
            Weighed(reading=_candidate(weight.text, weight.together), opinion=weight.opinion, fits=True)
            for weight in weights(opinion, recogniser, sound, [text])
        ]
        with_it[_verdict(reconsidered(first, weighed, SURE), truth)] += 1
        times.append(time.perf_counter() - begun_s)
    row("people's numbers, nothing expected, without", noise, without, [])
    row("people's numbers, nothing expected, with", noise, with_it, times)


def _candidate(text: str, score: float) -> Candidate:
    # Only words count here: each row of them is a meaning of its own.
    return Candidate(text=text, events=(PositionReport(t_s=0.0, observed_t_s=0.0, fix=text),), score=score)


def _verdict(choice: Choice, truth: str) -> str:
    if choice.decision is Decision.ASK:
        return "asked back"
    if choice.reading is None:
        return "refused"
    return "right" if choice.reading.text == truth else "wrong"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("model", type=Path)
    parser.add_argument("--people", type=Path, help="a folder of people's recordings")
    parser.add_argument("--sample", type=int, default=60, help="utterances a cell")
    parser.add_argument("--only", nargs="*", default=SECTIONS, choices=SECTIONS)
    parser.add_argument("--noise", nargs="*", default=("clean", "15"), choices=tuple(LEVELS))
    wanted = parser.parse_args()
    size = wanted.sample
    opinion = GeneralModel(wanted.model)
    recogniser = PocketsphinxRecogniser()
    for noise in (LEVELS[level] for level in wanted.noise):
        if "numbers" in wanted.only and wanted.people is not None:
            numbers(people(wanted.people, {"numbers"}, size), opinion, noise)
        for suffix, listener in (
            ("without", Listener(recogniser, NAMES)),
            ("with", Listener(recogniser, NAMES, opinion)),
        ):
            if "digits" in wanted.only and wanted.people is not None:
                spoken = digits_only(people(wanted.people, {"numbers"}, 1000))[:size]
                readings(f"people's digits, expected, {suffix}", spoken, listener, noise)
            for section, prefixes in (("voices", ("festival", "piper")), ("espeak", ("espeak",))):
                if section in wanted.only:
                    entries = fixtures(kinds(), prefixes, size)
                    for is_expected in (True, False):
                        name = f"{section}, {'' if is_expected else 'nothing '}expected, {suffix}"
                        reports(name, FIXTURES, entries, listener, noise, with_expectation=is_expected)
            if "chatter" in wanted.only:
                chatter = [
                    read_audio(FIXTURES / entry["file"]) for entry in fixtures({NEGATIVE}, ("",), size)
                ]
                negatives(f"synthetic chatter, {suffix}", chatter, listener, noise)
                if wanted.people is not None:
                    others = [sound for _, sound in people(wanted.people, {NEGATIVE}, size)]
                    negatives(f"people's talk not for us, {suffix}", others, listener, noise)


if __name__ == "__main__":
    main()
