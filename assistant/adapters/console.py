"""The console: typed lines in, printed lines out."""

import asyncio
import codecs
import itertools
import os
import threading
import time
from collections.abc import AsyncIterator, Callable, Iterator

from rich.console import Console
from rich.text import Text

from assistant.adapters.transcript_file import clock_text
from assistant.engine.core import Glance
from assistant.engine.events import Datum, Priority
from assistant.flight_log import Heard, Record, Spoken
from assistant.language.forms import WRITTEN
from assistant.language.transcript import Transcript
from assistant.session import Clock

LONGEST_LINE = 65_536
"""Characters; a longer line is taken in pieces, so that input without newlines cannot fill the memory."""

LINES_AHEAD = 16
"""How many lines are read before the first of them is handled."""

LONGEST_ECHO = 200
"""Characters of a pilot's line that are printed back; the log has all of it."""

_STYLES = {Priority.SAFETY: "bold red", Priority.ACTION: "bold", Priority.CONFIRMATION: "dim"}


class WallClock:
    """Seconds of real time since the session began, `begun_s` of them before this clock was made."""

    def __init__(self, begun_s: float = 0.0) -> None:
        self._zero_s = time.monotonic() - begun_s

    def now_s(self) -> float:
        """Seconds since the session began."""
        return time.monotonic() - self._zero_s

    async def sleep_until(self, t_s: float) -> None:
        """Return at that moment, or at once when it has passed."""
        await asyncio.sleep(max(0.0, t_s - self.now_s()))


class Screen:
    """
    Prints what is said, a line each, as `02:45  Lead radial. Turn left heading two one five.` does.

    echo: print the pilot's lines too, for where no terminal shows them being typed. glance: called after each
    moment in which something was said, for a line that sums up what is next.
    """

    def __init__(self, console: Console, *, echo: bool, glance: Callable[[float], str] | None = None) -> None:
        self._console = console
        self._echo = echo
        self._glance = glance

    def watch(self, records: tuple[Record, ...]) -> None:
        """Print what there is to print of these records."""
        for record in records:
            match record:
                case Heard(t_s=t_s, transcript=transcript) if self._echo:
                    self._print(f"{clock_text(t_s)}  PILOT  {_cut(transcript.text)}", "dim")
                case Spoken(t_s=t_s, text=text, callout=callout):
                    self._print(f"{clock_text(t_s)}  {text}", _STYLES.get(callout.priority, ""))
                    if self._glance is not None and (line := self._glance(t_s)):
                        self._print(f"       {line}", "dim")
                case _:
                    pass

    def _print(self, line: str, style: str) -> None:
        self._console.print(Text(visible(line), style=style), soft_wrap=True)


def glance_line(glance: Glance) -> str:
    """What is next, the altitude due and the floor, short enough for the corner of an eye."""
    parts = [
        next_text(glance),
        "" if glance.due_ft is None else f"due {level_text(glance.due_ft, glance.datum)}",
        "" if glance.floor_ft is None else f"floor {level_text(glance.floor_ft, glance.datum)}",
    ]
    return " | ".join(filter(None, parts))


def next_text(glance: Glance) -> str:
    """The next event, where it is and in what time, in figures."""
    where = [
        "" if glance.radial_deg is None else f"R{WRITTEN.bearing(glance.radial_deg)}",
        "" if glance.dme_nm is None else f"{WRITTEN.tenths(glance.dme_nm)} DME",
        "" if glance.time_to_s is None else f"in {WRITTEN.time(glance.time_to_s)}",
    ]
    return " ".join(filter(None, (glance.event or glance.stage, *where)))


def level_text(indicated_ft: float, datum: Datum) -> str:
    """A vertical value with what it is measured from, in figures."""
    if datum is Datum.STANDARD:
        return WRITTEN.level(indicated_ft / 100.0)
    return f"{WRITTEN.altitude(indicated_ft)} {datum.upper()}"


def visible(text: str) -> str:
    """Text without what would move the cursor, ring the bell or otherwise act on a terminal."""
    return "".join(character if character.isprintable() else "?" for character in text)


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_ECHO else text[:LONGEST_ECHO] + " …"


async def typed_lines(file_descriptor: int, clock: Clock) -> AsyncIterator[Transcript]:
    """
    Lines typed or piped into a file descriptor, each stamped when it arrives, until its end.

    A daemon thread reads, since neither a regular file nor a Windows console can be waited for by an event
    loop. It reads the descriptor itself: a buffered reader would be locked by the blocked thread when the
    program ends.
    """
    loop = asyncio.get_running_loop()
    lines: asyncio.Queue[str | None] = asyncio.Queue()
    room = threading.Semaphore(LINES_AHEAD)

    def read() -> None:
        try:
            for line in itertools.chain(_lines(file_descriptor), (None,)):
                room.acquire()
                loop.call_soon_threadsafe(lines.put_nowait, line)
        except RuntimeError:
            return  # the session ended first and its loop is closed

    threading.Thread(target=read, name="typed lines", daemon=True).start()
    while (line := await lines.get()) is not None:
        room.release()
        now_s = clock.now_s()
        yield Transcript(text=line, started_t_s=now_s, ended_t_s=now_s)


def _lines(file_descriptor: int) -> Iterator[str]:
    decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")
    begun = ""
    while block := _block(file_descriptor):
        *whole, begun = (begun + decoder.decode(block)).split("\n")
        yield from (line.strip() for line in whole)
        while len(begun) > LONGEST_LINE:
            yield begun[:LONGEST_LINE]
            begun = begun[LONGEST_LINE:]
    if last := (begun + decoder.decode(b"", final=True)).strip():
        yield last


def _block(file_descriptor: int) -> bytes:
    try:
        return os.read(file_descriptor, 4096)
    except OSError:
        return b""  # the terminal was closed, or there never was any input: the end, as for Ctrl-D
