"""Sound libraries write complaints straight to the terminal; here they are kept off the pilot's screen."""

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

_STANDARD_ERROR = 2


@contextmanager
def native_messages_silenced() -> Iterator[None]:
    """
    Drop what is written to standard error by file descriptor; what Python writes there still arrives.

    What goes wrong is told by our own sentences, once; ALSA and PortAudio tell it in pages, at any time.
    """
    try:
        kept = os.dup(_STANDARD_ERROR)
    except OSError:  # standard error is closed: nothing can be written there by anyone
        yield
        return
    python_stderr = sys.stderr
    if _writes_there(python_stderr):
        python_stderr.flush()
        sys.stderr = os.fdopen(os.dup(kept), "w", buffering=1, encoding="utf-8", errors="backslashreplace")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, _STANDARD_ERROR)
    os.close(nowhere)
    try:
        yield
    finally:
        os.dup2(kept, _STANDARD_ERROR)
        os.close(kept)
        if sys.stderr is not python_stderr:
            sys.stderr.close()
            sys.stderr = python_stderr


def _writes_there(stream: object) -> bool:
    """Whether a stream is the one of that file descriptor, and no stand-in for it."""
    try:
        return isinstance(stream, io.TextIOBase) and stream.fileno() == _STANDARD_ERROR
    except OSError:
        return False
