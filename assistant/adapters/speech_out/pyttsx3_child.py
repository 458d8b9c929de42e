"""
The child process in which pyttsx3 renders: one sentence an engine's life, never spoken by pyttsx3 itself.

Run as `python pyttsx3_child.py`. A line of JSON in, `{"text", "path", "voice", "words_per_minute"}`; a line
of JSON out, `{"made": true}` or `{"failed": "why"}`. It stands alone and imports nothing of the project, so
that it starts in a few hundredths of a second.

Why so (found by running pyttsx3 2.99, and in its issues): its `say` plays through a program that cannot be
stopped and sometimes never returns; two sentences in one run come out as one; a second engine made while one
lives is the same engine; on Windows it must live in a thread that has initialised COM, as the main thread of
a process has; on macOS it needs a run loop of its own. A child process is stopped by ending it.
"""

import contextlib
import gc
import json
import sys


def render(order: dict[str, str | int]) -> None:
    """Render one sentence to a file, in a fresh engine."""
    import pyttsx3  # noqa: PLC0415  # what it lacks must become an answer, not a traceback

    engine = pyttsx3.init()
    if order["voice"]:
        engine.setProperty("voice", order["voice"])
    engine.setProperty("rate", order["words_per_minute"])
    engine.save_to_file(order["text"], order["path"])
    engine.runAndWait()
    del engine
    gc.collect()  # init() gives back the old engine as long as it is alive


def voices() -> list[dict[str, str]]:
    """The voices that the system has."""
    import pyttsx3  # noqa: PLC0415  # as above

    return [{"id": str(voice.id), "name": str(voice.name)} for voice in pyttsx3.init().getProperty("voices")]


def main() -> None:
    """Answer orders until there are no more."""
    answers = sys.stdout
    for line in sys.stdin:
        order = json.loads(line)
        try:
            # pyttsx3 prints where it saved to; only answers may go to standard output.
            with contextlib.redirect_stdout(sys.stderr):
                answer: dict[str, object] = {"voices": voices()} if order.get("voices") else {"made": True}
                if "voices" not in answer:
                    render(order)
        except Exception as error:  # noqa: BLE001  # whatever it is, the parent turns it into one sentence
            answer = {"failed": f"{type(error).__name__}: {error}".splitlines()[0]}
        answers.write(json.dumps(answer) + "\n")
        answers.flush()


if __name__ == "__main__":
    main()
