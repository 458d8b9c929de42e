"""
Lines typed on a terminal whose screen is drawn by us: the keys one by one, the line shown by whoever draws.

POSIX terminals only; elsewhere lines are read whole (`console.typed_lines`).
"""

import asyncio
import codecs
import os
import sys
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import contextmanager

from assistant.language.transcript import Transcript
from assistant.session import Clock

LONGEST = 400
"""Characters of a line; more are not taken, since nothing that long is a report."""

_ENTER = "\r\n"
_ERASE = "\x7f\x08"
_ERASE_LINE = "\x15"  # Ctrl-U
_END = "\x04"  # Ctrl-D
_ESCAPE = "\x1b"


def can_read_keys(file_descriptor: int) -> bool:
    """Whether a file descriptor is a terminal whose keys can be read one by one."""
    return sys.platform != "win32" and os.isatty(file_descriptor)


@contextmanager
def keys_unbuffered(file_descriptor: int) -> Iterator[None]:
    """The terminal gives keys at once and shows none; Ctrl-C still interrupts. As it was, afterwards."""
    import termios  # noqa: PLC0415  # POSIX only
    import tty  # noqa: PLC0415  # POSIX only

    before = termios.tcgetattr(file_descriptor)
    tty.setcbreak(file_descriptor)
    try:
        yield
    finally:
        termios.tcsetattr(file_descriptor, termios.TCSADRAIN, before)


class Line:
    """The line being typed: keys in, whole lines out."""

    def __init__(self) -> None:
        self.text = ""
        self.has_ended = False
        self._escaping = False

    def take(self, characters: str) -> Iterator[str]:
        """Take keys; the lines that they complete. Ctrl-D on an empty line ends."""
        for character in characters:
            if self._escaping:
                # An arrow or another key of several characters, which ends with a letter or a tilde.
                self._escaping = not (character.isalpha() or character == "~")
            elif character == _ESCAPE:
                self._escaping = True
            elif character in _ENTER:
                line, self.text = self.text.strip(), ""
                yield line
            elif character in _ERASE:
                self.text = self.text[:-1]
            elif character == _ERASE_LINE:
                self.text = ""
            elif character == _END:
                self.has_ended = self.has_ended or not self.text
            elif character.isprintable() and len(self.text) < LONGEST:
                self.text += character


async def typed_keys(
    file_descriptor: int,
    clock: Clock,
    shown: Callable[[str], None],
    entered_nothing: Callable[[], None] = lambda: None,
) -> AsyncIterator[Transcript]:
    """
    Lines typed on a terminal with `keys_unbuffered`; `shown` is given the line after each key.

    entered_nothing: called for an empty line, which is no transcript.
    """
    loop = asyncio.get_running_loop()
    blocks: asyncio.Queue[bytes] = asyncio.Queue()
    loop.add_reader(file_descriptor, lambda: blocks.put_nowait(_read(file_descriptor)))
    decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")
    line = Line()
    try:
        while not line.has_ended and (block := await blocks.get()):
            for text in line.take(decoder.decode(block)):
                if text:
                    now_s = clock.now_s()
                    yield Transcript(text=text, started_t_s=now_s, ended_t_s=now_s)
                else:
                    entered_nothing()
            shown(line.text)
    finally:
        loop.remove_reader(file_descriptor)


def _read(file_descriptor: int) -> bytes:
    try:
        return os.read(file_descriptor, 1024)
    except OSError:
        return b""  # the terminal was closed
