"""
The recogniser in the closed loop: every report of a flight spoken by a voice in noise, and heard by it.

    python -m benchmarks.spoken_loop --flights 100 --out spoken.jsonl [--first SEED] [--cores 2]
                                     [--snr DB] [--procedure NAME]

A line of JSON a flight is added to the file; the same command again flies only what is missing in it, and
prints the summary of all. Flights are spread over all demonstration procedures and voices by their seed.

The pilot's words are rendered by synthetic voices that hearing was not tuned on (Festival), mixed with
cockpit noise at a ratio of active speech to noise, and go through the same listener as a microphone's, held
to what the dialogue expects at that moment. What is refused or asked back the pilot says again, a lone
"leaving" or "landed" in other words. Right is what means the same as the words that were spoken; wrong is
what was accepted and means something else.
"""

import argparse
import json
import re
import subprocess
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.listener import Hearing, Listener, meaning
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.conversation import Conversation
from assistant.dialogue import Dialogue
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.language.choice import Decision
from assistant.language.grammar import Names
from assistant.language.numbers import spoken_altitude, spoken_digits
from assistant.language.transcript import Transcript
from assistant.procedure.load import load_procedure
from assistant.simulation.case import crew_of, draw
from assistant.simulation.flight import fly
from assistant.simulation.measures import Measures, measure
from assistant.simulation.report import report
from benchmarks.hearing_table import interval
from benchmarks.sounds import BEFORE_S, in_noise

FILES = sorted((Path(__file__).parent.parent / "procedures").glob("*.yaml"))
VOICES = ("cmu_us_slt_arctic_hts", "kal_diphone", "ked_diphone")
# What a pilot says the next time where a single word was not understood.
OTHERWISE = {"leaving": "leaving the hold", "landed": "touchdown"}
_LETTERS = re.compile(r"\b(dme|qnh|qfe)\b", re.IGNORECASE)


def in_words(text: str) -> str:
    """A typed report as it is spoken, in lower case: "R042 12.1 DME 4800" with its numbers in words."""
    spelled = re.sub(r"\bFL(?=[0-9])", "flight level ", text)

    def say(found: re.Match[str]) -> str:
        written, before = found.group(), spelled[: found.start()].rstrip().lower()
        if "." in written or len(written) <= 2 or before.endswith(("radial", "heading", "level")):
            return spoken_digits(written)
        # Digits right behind a range's would run into them: "four decimal six one five two zero".
        runs_on = re.search(r"\d$", before) and int(written) % 100
        return f"{'passing ' if runs_on else ''}{spoken_altitude(float(written))}"

    return re.sub(r"[0-9]+(?:\.[0-9]+)?", say, spelled).lower()


class Festival:
    """One voice of Festival in a process that stays: loading a voice takes longer than a report does."""

    def __init__(self, voice: str) -> None:
        self._process = subprocess.Popen(  # fixed
            ["festival", "--pipe"],  # noqa: S607  # on the path, as for the fixtures
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        self._tell(f"(voice_{voice})")

    def say(self, words: str) -> Samples:
        """The words as sound; letters that a voice would read as a word are spelled."""
        spelled = _LETTERS.sub(lambda found: " ".join(found.group().upper()), words)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "said.wav")
            self._tell(f'(utt.save.wave (utt.synth (Utterance Text "{spelled}")) "{path}" (quote riff))')
            return read_audio(path)

    def _tell(self, command: str) -> None:
        """Have a command carried out, and wait until it is."""
        out, answers = self._process.stdin, self._process.stdout
        if out is None or answers is None:
            raise OSError("Festival was begun without pipes.")
        out.write(f'{command}\n(format t "done\\n")\n(fflush nil)\n')
        out.flush()
        for line in answers:
            if "done" in line:
                return
        raise OSError(f"Festival ended at {command}.")

    def close(self) -> None:
        """End the process."""
        self._process.kill()
        self._process.communicate()


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """Which flight: its seed, procedure and voice, and how loud the noise is."""

    seed: int
    procedure: str
    voice: str
    snr_db: float


def flights_of(seeds: Iterable[int], snr_db: float, procedures: list[str]) -> list[Spoken]:
    """Flights spread so that every procedure comes in turn, and every voice on each of them."""
    return [
        Spoken(
            seed=seed,
            procedure=procedures[seed % len(procedures)],
            voice=VOICES[(seed + seed // len(procedures)) % len(VOICES)],
            snr_db=snr_db,
        )
        for seed in seeds
    ]


def outcome(hearing: Hearing, words: str, names: Names) -> str:
    """What became of the words: "right", "asked back", "refused" or "wrong"."""
    if hearing.choice.decision is Decision.ASK:
        return "asked back"
    if not hearing.text:
        return "refused"
    return "right" if meaning(hearing.text, names) == meaning(words, names) else "wrong"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """
    One utterance: when it ended, the words said, what became of them, how they sounded, and why.

    `heard`: the readings that were weighed, the one by sound alone first.
    """

    t_s: float
    words: str
    became: str
    heard: tuple[str, ...]
    why: str


class Ears:
    """What arrives of what the pilot says, through the air and the recogniser; counted as it comes."""

    def __init__(
        self, conversation: Conversation, listener: Listener, flight: Spoken, say: Callable[[str], Samples]
    ) -> None:
        self.heard: Counter[str] = Counter()
        self.lines: list[Line] = []
        self._conversation, self._listener, self._flight = conversation, listener, flight
        self._say = say
        self._not_understood = ""

    def __call__(self, text: str, started_s: float, ended_s: float) -> Transcript:
        """The words of the pilot as they reach the dialogue."""
        words, dialogue = in_words(text), self._conversation.dialogue
        if words == self._not_understood:
            words = OTHERWISE.get(words, words)
        self._listener.expect(dialogue.expectation(started_s))
        noisy = in_noise(self._say(words), self._flight.snr_db, self._flight.seed * 1000 + self.heard.total())
        hearing = self._listener.understand(noisy, BEFORE_S)
        became = outcome(hearing, words, dialogue.names)
        self.heard[became] += 1
        self._not_understood = words if became in ("refused", "asked back") else ""
        heard = tuple(dict.fromkeys((hearing.heard.text, *hearing.alternatives)))
        self.lines.append(Line(t_s=ended_s, words=words, became=became, heard=heard, why=hearing.why))
        return hearing.transcript(started_s, ended_s)


def fly_spoken(flight: Spoken) -> dict[str, Any]:
    """One flight whose every report is spoken and heard, as the line that is kept of it."""
    file = next(file for file in FILES if file.stem == flight.procedure)
    procedure = load_procedure(file.read_text(encoding="utf-8"), str(file))
    case = draw(procedure, Conditions(), flight.seed, wind_is_random=True, any_category=True)
    # Slips of the pilot's own would hide those of the ear.
    case = replace(case, habits=replace(case.habits, misreads=0.0, mishears=0.0))
    plan = compile_plan(procedure, case.conditions)
    crew = crew_of(plan, case)
    conversation = Conversation(Dialogue(plan))
    voice = Festival(flight.voice)
    listener = Listener(PocketsphinxRecogniser(), conversation.dialogue.names)
    ears = Ears(conversation, listener, flight, voice.say)
    try:
        flown = fly(conversation, crew.aircraft, crew.pilot, crew.first_fix, ears=ears)
    finally:
        voice.close()
    wind = case.wind[0]
    measures = measure(flown, seed=flight.seed, wind=(wind.wind_from_mag_deg, wind.wind_kt))
    return {
        **asdict(flight),
        "heard": dict(ears.heard),
        "lines": [asdict(line) for line in ears.lines],
        "measures": asdict(measures),
    }


def kept(file: Path) -> list[dict[str, Any]]:
    """The flights flown so far; a last line that was cut off in the writing is not one."""
    if not file.exists():
        return []
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    return [json.loads(line) for line in lines if line.endswith("\n")]


def missing(flights: list[Spoken], rows: list[dict[str, Any]]) -> list[Spoken]:
    """Those of the flights that no line was kept of."""
    done = [Spoken(**{name: row[name] for name in Spoken.__dataclass_fields__}) for row in rows]
    return [flight for flight in flights if flight not in done]


def fly_all(
    flights: list[Spoken],
    file: Path,
    cores: int,
    fly_one: Callable[[Spoken], dict[str, Any]] = fly_spoken,
) -> None:
    """Fly what is missing in the file, and add a line of each as it is over."""
    rows = kept(file)
    # A line cut off in the writing is dropped, so that the next one is not joined to it.
    file.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    with file.open("a", encoding="utf-8") as out:
        for row in _flown(missing(flights, rows), cores, fly_one):
            out.write(json.dumps(row) + "\n")
            out.flush()
            print(line_of(row), flush=True)


def _flown(
    flights: list[Spoken], cores: int, fly_one: Callable[[Spoken], dict[str, Any]]
) -> Iterator[dict[str, Any]]:
    if cores == 1:
        yield from map(fly_one, flights)
        return
    with ProcessPoolExecutor(cores) as pool:
        for done in as_completed([pool.submit(fly_one, flight) for flight in flights]):
            yield done.result()


def measures_of(row: dict[str, Any]) -> Measures:
    """The measures of a flight that was kept."""
    return Measures(**row["measures"])


def line_of(row: dict[str, Any]) -> str:
    """A flight in a line."""
    one, heard = measures_of(row), row["heard"]
    counts = ", ".join(f"{heard.get(name, 0)} {name}" for name in _OUTCOMES)
    return (
        f"{row['seed']} {row['procedure']} {row['voice']} {one.category} {one.ended}: {counts};"
        f" {one.challenges} challenged; lateral {_shown(one.lateral_share)}, least above the floor"
        f" {_shown(one.floor_margin_ft)} ft, arc {_shown(one.arc_nm)} NM, above the fix"
        f" {_shown(one.above_faf_ft)} ft, callouts below the floor {one.below_floor}"
    )


_OUTCOMES = ("right", "asked back", "refused", "wrong")


def summary(rows: list[dict[str, Any]]) -> list[str]:
    """All flights together: how their reports were heard, by voice too, and the limits they kept."""
    if not rows:
        return ["no flights"]
    lines = [_heard_by("all voices", rows)]
    lines += [
        _heard_by(voice, mine) for voice in VOICES if (mine := [row for row in rows if row["voice"] == voice])
    ]
    whole = report(measures_of(row) for row in rows)
    lines.append(f"{whole.flights} flights: " + ", ".join(f"{n} {how}" for how, n in whole.ended.items()))
    for limit in whole.limits:
        outside = f"; outside: {' '.join(map(str, limit.outside))}" if limit.outside else ""
        lines.append(f"{limit.name}: {limit.kept} of {limit.of}{outside}")
    return lines


def _heard_by(name: str, rows: list[dict[str, Any]]) -> str:
    heard: Counter[str] = Counter()
    for row in rows:
        heard.update(row["heard"])
    shares = ", ".join(f"{which} {interval(heard[which], heard.total())} %" for which in _OUTCOMES)
    return f"{name}: {heard.total()} reports: {shares}"


def _shown(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}" if abs(value) < 10.0 else f"{value:.0f}"


def main() -> None:
    """Fly what is missing, and print the summary."""
    parser = argparse.ArgumentParser(description="Flights whose every report is spoken and heard.")
    parser.add_argument("--flights", type=int, default=100, metavar="N")
    parser.add_argument("--first", type=int, default=1, metavar="SEED")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE")
    parser.add_argument("--cores", type=int, default=1, metavar="N")
    parser.add_argument("--snr", type=float, default=15.0, metavar="DB")
    parser.add_argument("--procedure", choices=[file.stem for file in FILES])
    asked = parser.parse_args()
    names = [asked.procedure] if asked.procedure else [file.stem for file in FILES]
    fly_all(
        flights_of(range(asked.first, asked.first + asked.flights), asked.snr, names), asked.out, asked.cores
    )
    print("\n".join(summary(kept(asked.out))))


if __name__ == "__main__":
    main()
