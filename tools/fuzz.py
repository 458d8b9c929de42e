"""
Throw damaged and invented inputs at every parser, and stop at the first exception that is not its own.

    python tools/fuzz.py --inputs 1000000 --seed 1
    python tools/fuzz.py --only procedure --inputs 50000 --seed 12
    python tools/fuzz.py --guided log -max_total_time=60

Inputs are grown from the project's own files (procedures, golden flights, a log, things pilots say): bytes
changed, cut, doubled and swapped, lines moved, numbers replaced by awkward ones, words of one file set into
another. `--guided` gives the same parsers to a coverage-guided fuzzer (atheris, where it is installed), which
keeps what reaches new code. What a parser may raise is the error its users print as one line; any other
exception is a finding, printed with the input that brought it.
"""

import argparse
import contextlib
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))


def _watched() -> contextlib.AbstractContextManager[object]:
    """Imports seen by the coverage-guided fuzzer, where that is what is run: only this program's own code."""
    if "--guided" not in sys.argv:
        return contextlib.nullcontext()
    import atheris  # noqa: PLC0415 - an extra that not every machine has

    return atheris.instrument_imports(include=["assistant"])  # type: ignore[no-any-return] - untyped


with _watched():
    from assistant.adapters.speech_in.errors import HearingError
    from assistant.adapters.speech_in.own_voices import VERSION, decoder_text, kept_voice
    from assistant.adapters.speech_in.recordings import LIST, recordings
    from assistant.adapters.transcript_file import TranscriptError, read_transcript
    from assistant.debrief.compose import debrief_of
    from assistant.engine.plan import PlanError
    from assistant.flight_log import LogError, read_log
    from assistant.language.hearing import Names, hear
    from assistant.language.transcript import Transcript
    from assistant.nav.errors import NoSolution, OutsideValidity
    from assistant.preferences.files import PreferencesError, settings_from_yaml
    from assistant.procedure.findings import ProcedureError
    from assistant.procedure.load import load_procedure

NAMES = Names(fixes=("TARNO", "BESKA", "VELKA"), frequencies=("Skarrow Tower", "Tower"))
AWKWARD = (
    *(b"0", b"-0", b"-1", b"361", b"1e308", b"-1e309", b"nan", b".inf", b"99999999999999999999", b"010"),
    *(b"0x7f", b"1_000", b"'", b'"', b"null", b"~", b"true", b"[]", b"{}", b"&a", b"*a", b"<<: *a"),
    *(b"!!python/object:os.system", b"!!binary", b"\x00", b"\xff\xfe", b"\xc3\x28", b"\xed\xa0\x80"),
    *("\u2028".encode(), b"\r", b"\t", b"#", b"---\n", b": "),
)
SAID = (
    *(b"16.4 4800", b"radial zero four two range one six decimal four", b"FL80", b"established"),
    *(b"passing four thousand eight hundred", b"runway in sight", b"wind two five zero at one five"),
    *(b"set QNH niner niner six", b"QFE 987", b"altitude at four miles", b"entering hold", b"disregard"),
    *(b"say again", b"R042 12 DME 3500"),
)


def _text(data: bytes) -> str:
    return data.decode("utf-8", errors="surrogateescape")


def _procedure(data: bytes) -> None:
    with contextlib.suppress(ProcedureError):
        load_procedure(_text(data), "fuzzed.yaml")


def _transcript(data: bytes) -> None:
    with contextlib.suppress(TranscriptError):
        read_transcript(_text(data), "fuzzed.txt")


def _log(data: bytes) -> None:
    with contextlib.suppress(LogError):
        read_log(data, "fuzzed.jsonl")


def _debrief(data: bytes) -> None:
    # What the command line tells in one line of a log that cannot be reckoned again.
    with contextlib.suppress(LogError, ProcedureError, PlanError, NoSolution, OutsideValidity):
        debrief_of(read_log(data, "fuzzed.jsonl"))


def _hearing(data: bytes) -> None:
    hear(Transcript(text=_text(data), started_t_s=1.0, ended_t_s=2.0), NAMES, 2.0)


def _preferences(data: bytes) -> None:
    with contextlib.suppress(PreferencesError):
        settings_from_yaml(_text(data), "fuzzed.yaml")


def _recordings(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / LIST).write_bytes(data)
        with contextlib.suppress(HearingError):
            for recording in recordings(Path(folder)):
                if ".." in Path(folder, recording.file).relative_to(folder).parts:
                    raise AssertionError(f"{recording.file} lies outside")


def _voice(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "pilot.json")
        path.write_bytes(data)
        with contextlib.suppress(HearingError):
            decoder_text(kept_voice(path).fitted)


def _voice_seed() -> list[bytes]:
    identity = [[[float(row == column) for column in range(13)] for row in range(13)]] * 3
    return [
        json.dumps(
            {"version": VERSION, "phrases": 30, "matrices": identity, "offsets": [[0.0] * 13] * 3}
        ).encode()
    ]


def _recording_seeds() -> list[bytes]:
    lines = (ROOT / "audio_fixtures/manifest.jsonl").read_bytes().splitlines()
    return [b"\n".join(lines[at : at + 3]) + b"\n" for at in range(0, len(lines), 40)]


def _seeds(pattern: str) -> list[bytes]:
    return [path.read_bytes() for path in sorted(ROOT.glob(pattern))]


def _log_seeds() -> list[bytes]:
    """A log's header with a few lines each, so that an input is small."""
    head, *lines = (ROOT / "tests/debrief/logs/version-1.jsonl").read_bytes().split(b"\n")
    short = (
        head[: head.index(b'"procedure_text"')]
        + b'"procedure_text": "x", '
        + head[head.index(b'"conditions"') :]
    )
    return [b"\n".join([short, *lines[at : at + 4], b""]) for at in range(0, len(lines) - 4, 4)]


def _whole_logs() -> list[bytes]:
    """A flight's log, whole and cut after its start: what a debrief is made from."""
    whole = (ROOT / "tests/debrief/logs/version-1.jsonl").read_bytes()
    lines = whole.split(b"\n")
    return [whole, b"\n".join([*lines[: len(lines) // 3], b""])]


PARSERS: dict[str, tuple[Callable[[bytes], None], Callable[[], list[bytes]], int]] = {
    # What it is, where its inputs grow from, and its share: the slow ones get fewer.
    "hearing": (_hearing, lambda: list(SAID), 480),
    "log": (_log, _log_seeds, 170),
    "transcript": (_transcript, lambda: _seeds("tests/golden/*.txt"), 150),
    "preferences": (
        _preferences,
        lambda: [b"wind: 250/15\nqnh: 996\ncategory: C\nspeeds: {final: 140}\n"],
        70,
    ),
    "recordings": (_recordings, _recording_seeds, 30),
    "voice": (_voice, _voice_seed, 10),
    "procedure": (_procedure, lambda: _seeds("procedures/*.yaml"), 86),
    "debrief": (_debrief, _whole_logs, 4),
}


def grown(seeds: list[bytes], chance: random.Random) -> bytes:
    """One input: a seed with one to five changes."""
    data = bytearray(chance.choice(seeds))
    if len(data) > 2000 and chance.random() < 0.7:
        lines = bytes(data).split(b"\n")
        start = chance.randrange(len(lines))
        data = bytearray(b"\n".join(lines[start : start + chance.randint(1, 40)]))
    for _ in range(chance.randint(1, 5)):
        _change(data, seeds, chance)
    return bytes(data)


def _change(data: bytearray, seeds: list[bytes], chance: random.Random) -> None:
    at = chance.randrange(len(data) + 1)
    to = min(at + chance.randint(0, 12), len(data))
    match chance.randrange(7):
        case 0 if at < len(data):
            data[at] ^= 1 << chance.randrange(8)
        case 1:
            del data[at:to]
        case 2:
            data[at:at] = data[at:to]
        case 3:
            data[at:to] = chance.choice(AWKWARD)
        case 4:
            other = chance.choice(seeds)
            start = chance.randrange(len(other) + 1)
            data[at:at] = other[start : start + chance.randint(0, 60)]
        case 5:
            data[at:at] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 6)))
        case _:
            del data[at:]


def fuzz(inputs: int, seed: int, only: str | None = None) -> dict[str, int]:
    """
    Run so many inputs over all parsers, or over the one named; how many each had.

    Whatever is not a parser's own error propagates.
    """
    chance = random.Random(seed)  # noqa: S311 - to be repeatable, not secret
    had: dict[str, int] = {}
    chosen = PARSERS if only is None else {only: PARSERS[only]}
    shares = sum(share for _, _, share in chosen.values())
    for name, (parse, seeds, share) in chosen.items():
        had[name] = max(inputs * share // shares, 1)
        pool = seeds()
        for _ in range(had[name]):
            data = grown(pool, chance)
            try:
                parse(data)
            except Exception:
                print(f"{name}, seed {seed}: {data!r}", file=sys.stderr)
                raise
    return had


def guided(name: str, options: list[str]) -> None:
    """Give one parser to the coverage-guided fuzzer; never returns."""
    import atheris  # noqa: PLC0415 - an extra that not every machine has

    parse, seeds, _ = PARSERS[name]
    corpus = Path(tempfile.mkdtemp(prefix="fuzz-"))
    for number, seed in enumerate(seeds()):
        (corpus / str(number)).write_bytes(seed)
    atheris.Setup([sys.argv[0], *options, str(corpus)], parse)
    atheris.Fuzz()


def main() -> None:
    """Run and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=sorted(PARSERS))
    parser.add_argument("--guided", choices=sorted(PARSERS))
    arguments, options = parser.parse_known_args()
    if arguments.guided:
        guided(arguments.guided, options)
    begun_s = time.monotonic()
    had = fuzz(arguments.inputs, arguments.seed, arguments.only)
    figures = ", ".join(f"{name} {count}" for name, count in had.items())
    print(f"{sum(had.values())} inputs in {time.monotonic() - begun_s:.0f} s, none uncaught: {figures}")


if __name__ == "__main__":
    main()
