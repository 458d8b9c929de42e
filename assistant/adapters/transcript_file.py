"""
Timed transcripts as text: what a pilot said, and when, a line at a time.

    procedure: procedures/zzzz.yaml
    setup: --wind 250/15 --qnh 996
    # a comment
    00:00 PILOT  radial zero three zero, ten decimal one DME
    00:00 ASSIST action   On the arc. Heading one two zero.
    05:30 END

Times are `mm:ss`, `mm:ss.s` or `h:mm:ss` since the start and never run back. PILOT lines are heard; END lets
time run on to its moment. STAGE and ASSIST lines say what is expected, which makes the file a test; reading a
flight passes over them.
"""

import re
import shlex
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from assistant.engine.events import Priority, StageEntered
from assistant.flight_log import Heard, Record, Spoken
from assistant.language.transcript import Transcript
from assistant.procedure.findings import Finding, shown

TIERS = {
    Priority.SAFETY: "safety",
    Priority.ACTION: "action",
    Priority.PREPARATION: "prepare",
    Priority.ANSWER: "answer",
    Priority.CONFIRMATION: "confirm",
}
"""How an ASSIST line names its tier."""

_CLOCK = re.compile(
    r"(?:(?P<hours>\d{1,3}):(?=\d\d:))?(?P<minutes>\d{1,4}):(?P<seconds>[0-5]\d(?:\.\d{1,6})?)", re.ASCII
)
_EXPECTED = ("STAGE", "ASSIST")


class TranscriptError(Exception):
    """A transcript that cannot be flown; carries every finding."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("\n".join(str(finding) for finding in findings))
        self.findings = findings


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedTranscript:
    """
    A transcript file as read.

    procedure: the file it names, None without. setup: its flags, split as a shell would. until_s: the moment
    of END.
    """

    procedure: str | None
    setup: tuple[str, ...]
    heard: tuple[Transcript, ...]
    until_s: float | None


def clock_text(t_s: float) -> str:
    """Seconds since the start as mm:ss, minutes past 59 running on; tenths are cut off, as a clock does."""
    # A twentieth is added so that 59.999999, a sum of floats that means 60, is not shown a second early.
    minutes, seconds = divmod(int(t_s + 0.05), 60)
    return f"{minutes:02d}:{seconds:02d}"


def parse_clock(text: str) -> float | None:
    """Seconds since the start from `mm:ss`, `mm:ss.s` or `h:mm:ss`; None where it is no such time."""
    match = _CLOCK.fullmatch(text)
    if match is None or (match["hours"] and int(match["minutes"]) > 59):
        return None
    return int(match["hours"] or 0) * 3600.0 + int(match["minutes"]) * 60.0 + float(match["seconds"])


def read_transcript(text: str, name: str) -> TimedTranscript:
    """The transcript in a text, which findings call `name`; TranscriptError with every bad line."""
    reader = _Reader(name)
    # splitlines() would also break at characters that may well stand in what a pilot typed.
    for number, line in enumerate(text.split("\n"), start=1):
        reader.line(number, line.strip())
    if reader.findings:
        raise TranscriptError(tuple(reader.findings))
    return TimedTranscript(
        procedure=reader.procedure,
        setup=tuple(reader.setup),
        heard=tuple(reader.heard),
        until_s=reader.until_s,
    )


def transcript_lines(records: Iterable[Record]) -> Iterator[str]:
    """What was heard, entered and said, as the lines of a transcript."""
    for record in records:
        match record:
            case Heard(t_s=t_s, transcript=transcript):
                yield f"{clock_text(t_s)} PILOT  {transcript.text}"
            case StageEntered(t_s=t_s, stage=stage, predicted=predicted):
                yield f"{clock_text(t_s)} STAGE  {stage}{' (predicted)' if predicted else ''}"
            case Spoken(t_s=t_s, text=text, callout=callout):
                yield f"{clock_text(t_s)} ASSIST {TIERS[callout.priority]:<8} {text}"
            case _:
                pass


class _Reader:
    """Reads lines one by one, collecting what they say and what is wrong with them."""

    def __init__(self, name: str) -> None:
        self.procedure: str | None = None
        self.setup: list[str] = []
        self.heard: list[Transcript] = []
        self.until_s: float | None = None
        self.findings: list[Finding] = []
        self._name = name
        self._latest_s = 0.0

    def line(self, number: int, line: str) -> None:
        """Read one line, stripped."""
        if not line or line.startswith("#"):
            return
        field, colon, rest = line.partition(":")
        if colon and field in ("procedure", "setup"):
            self._header(number, field, rest.strip())
            return
        clock, *after = line.split(maxsplit=1)
        t_s = parse_clock(clock)
        if t_s is None:
            self._wrong(number, f"{shown(clock)} is no time", "begin the line with mm:ss, for example 02:45")
            return
        tag, *words = after[0].split(maxsplit=1) if after else [""]
        if tag in _EXPECTED:
            return
        if tag not in ("PILOT", "END"):
            self._wrong(
                number, f"{shown(tag)} is no kind of line", "write PILOT, END, STAGE or ASSIST after the time"
            )
        elif t_s < self._latest_s:
            self._wrong(number, f"time runs back to {clock}", f"give {clock_text(self._latest_s)} or later")
        elif self.until_s is not None:
            self._wrong(number, "a line after END", "let END be the last")
        elif tag == "END":
            self.until_s = t_s
        elif not words:
            self._wrong(number, "PILOT without words", "write what the pilot said after PILOT")
        else:
            self._latest_s = t_s
            self.heard.append(Transcript(text=words[0], started_t_s=t_s, ended_t_s=t_s))

    def _header(self, number: int, field: str, value: str) -> None:
        if field == "procedure":
            self.procedure = value
            return
        try:
            self.setup.extend(shlex.split(value))
        except ValueError:
            self._wrong(number, "a quotation in setup is not closed", "add the missing quotation mark")

    def _wrong(self, number: int, problem: str, remedy: str) -> None:
        self.findings.append(Finding(file=self._name, line=number, field="", problem=problem, remedy=remedy))
