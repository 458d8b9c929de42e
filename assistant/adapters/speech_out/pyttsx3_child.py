"""
The child process in which pyttsx3 renders: one sentence an engine's life, and pyttsx3 itself never speaks.

Run as `python pyttsx3_child.py`. A line of JSON in, `{"text", "path", "voice", "words_per_minute"}` or
`{"voices": true}`; a line out, `{"made": true}`, `{"voices": [{"id", "name", "languages", "is_default"}]}`
or, before it ends, `{"failed": "why"}`.
It stands alone and imports nothing of the project, so that it starts in a tenth of a second.

Why so (found by running pyttsx3 2.99, and in its issues): its `say` plays through a program that cannot be
stopped and sometimes never returns; two sentences in one run come out as one; a second engine made while one
lives is the same engine; `runAndWait` can return before the file is written, and letting go of the engine
then crashes the process; on Windows an engine must live in a thread that has initialised COM, as the main
thread of a process has; on macOS it needs a run loop of its own. A process is ended when it hangs.
"""

import contextlib
import gc
import json
import os
import sys
import threading
import time
from pathlib import Path
from types import TracebackType

_WRITTEN_S = 3.0
"""How long the file may come after `runAndWait`."""


def render(order: dict[str, str | int]) -> None:
    """Render one sentence to a file, in a fresh engine; return when the file is whole."""
    import pyttsx3  # noqa: PLC0415  # what it lacks must become an answer, not a traceback

    path = str(order["path"])
    finished = threading.Event()
    engine = pyttsx3.init()
    token = engine.connect("finished-utterance", lambda **_: finished.set())
    if order["voice"]:
        # An unknown voice is no error to some engines: they go on with another.
        if all(voice.id != order["voice"] for voice in engine.getProperty("voices")):
            raise LookupError(order["voice"])
        engine.setProperty("voice", order["voice"])
    engine.setProperty("rate", order["words_per_minute"])
    engine.save_to_file(order["text"], path)
    engine.runAndWait()
    _wait_written(path, finished)
    engine.disconnect(token)
    del engine
    gc.collect()  # init() gives back the old engine as long as it is alive


def _wait_written(path: str, finished: threading.Event) -> None:
    """Return when the engine has finished, or, where a system's engine never says so, the file is stable."""
    file = Path(path)
    size, until_s = -1, time.monotonic() + _WRITTEN_S
    while not finished.wait(0.05) and time.monotonic() < until_s:
        before, size = size, file.stat().st_size if file.exists() else 0
        if size == before > 0:
            return


def voices() -> list[dict[str, object]]:
    """The voices that the system has, and which of them speaks where none is asked for."""
    import pyttsx3  # noqa: PLC0415  # as above

    engine = pyttsx3.init()
    default = engine.getProperty("voice")
    return [
        {
            "id": str(voice.id),
            "name": str(voice.name),
            "languages": [str(language) for language in voice.languages or ()],
            "is_default": voice.id == default,
        }
        for voice in engine.getProperty("voices")
    ]


def main() -> None:
    """Answer orders until there are no more, or one fails: then say why, and end."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    # pyttsx3 prints where it saved to, sound libraries complain: only answers may go to standard output.
    os.dup2(2, 1)

    def answer(what: dict[str, object]) -> None:
        with contextlib.suppress(BrokenPipeError):  # the parent is gone; there is nobody to tell
            answers.write(json.dumps(what) + "\n")
            answers.flush()

    def fail(kind: type[BaseException], error: BaseException, _trace: TracebackType | None) -> None:
        answer({"failed": f"{kind.__name__}: {error}".splitlines()[0]})

    sys.excepthook = fail
    for line in sys.stdin:
        order = json.loads(line)
        if order.get("voices"):
            answer({"voices": voices()})
        else:
            render(order)
            answer({"made": True})


if __name__ == "__main__":
    main()
