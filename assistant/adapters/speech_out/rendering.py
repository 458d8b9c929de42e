"""Renderers: a sentence in, its sound out. pyttsx3 in a child process, or piper run as a program."""

import contextlib
import json
import queue
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from assistant.adapters.speech_out.errors import INSTALL, VoiceUnavailable
from assistant.adapters.speech_out.sound import Sound, from_file

WORDS_PER_MINUTE = 170
"""Brisk but plain. Common practice, no source; a renderer's own scale, so only roughly true."""

ANSWER_S = 15.0
"""
How long a rendering may take before it counts as hung. A sentence takes a fiftieth of a second; a system
whose speech was never started since it was switched on may take many.
"""

ORDERS_A_CHILD = 300
"""Sentences; 1800 in one process went well, but a process that never ends is asked for trouble."""


class Renderer(Protocol):
    """Makes sounds of sentences; `key` names all that its sounds depend on, apart from the text."""

    @property
    def key(self) -> str:
        """Engine, voice and rate: sounds of two renderers with one key are interchangeable."""

    def render(self, sentence: str) -> Sound:
        """The sound of a sentence, as the engine made it; VoiceUnavailable where it cannot."""

    def close(self) -> None:
        """End what was started."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemVoice:
    """A voice; its languages as the system calls them ("en-gb"). is_default: speaks where none is named."""

    ident: str
    name: str
    languages: tuple[str, ...]
    is_default: bool

    @property
    def is_english(self) -> bool:
        """Callouts are in English; where a system does not say what a voice speaks, its name may."""
        known = [language.lower() for language in self.languages]
        return any(language.startswith("en") for language in known) or self.name.lower().startswith("english")


class Pyttsx3Renderer:
    """
    The system's own voices through pyttsx3, in a child process that is ended when it hangs.

    voice: an id as `voices()` lists them, empty for the system's own choice. command: the child, for tests.
    """

    def __init__(
        self,
        *,
        voice: str = "",
        words_per_minute: int = WORDS_PER_MINUTE,
        command: Sequence[str] = (sys.executable, str(Path(__file__).with_name("pyttsx3_child.py"))),
        answer_s: float = ANSWER_S,
    ) -> None:
        self._voice = voice
        self._words_per_minute = words_per_minute
        self._command = tuple(command)
        self._answer_s = answer_s
        self._child: _Child | None = None
        self._folder = tempfile.TemporaryDirectory(prefix="leadradial-voice-")
        self._lock = threading.Lock()

    @property
    def key(self) -> str:
        """See `Renderer`."""
        return f"pyttsx3 {sys.platform} {self._voice} {self._words_per_minute}"

    def render(self, sentence: str) -> Sound:
        """See `Renderer`."""
        path = Path(self._folder.name) / "sentence.wav"
        order = {
            "text": sentence,
            "path": str(path),
            "voice": self._voice,
            "words_per_minute": self._words_per_minute,
        }
        with self._lock:
            # Once more in a new child where nothing came of it, as users of pyttsx3 do by hand.
            for _ in range(2):
                path.unlink(missing_ok=True)  # or a child that writes nothing would leave the words before
                self._answer(order)
                with contextlib.suppress(OSError):
                    return from_file(str(path))
                self._end_child()
            raise VoiceUnavailable("No voice: the system's speech rendered nothing.")

    def voices(self) -> tuple[SystemVoice, ...]:
        """Each voice of the system."""
        with self._lock:
            answer = self._answer({"voices": True})
        return tuple(
            SystemVoice(
                ident=voice["id"],
                name=voice["name"],
                languages=tuple(voice["languages"]),
                is_default=voice["is_default"],
            )
            for voice in answer["voices"]
        )

    def close(self) -> None:
        """See `Renderer`."""
        with self._lock:
            self._end_child()
        self._folder.cleanup()

    def _answer(self, order: dict[str, object]) -> dict[str, Any]:
        for _ in range(2):
            if self._child is None or self._child.is_spent:
                self._end_child()
                self._child = _Child(self._command)
            answer = self._child.ask(order, self._answer_s)
            if answer is not None and "failed" in answer:
                self._end_child()
                raise VoiceUnavailable(_plain(str(answer["failed"])))
            if answer is not None:
                return answer
            self._end_child()
        raise VoiceUnavailable("No voice: the system's speech does not answer.")

    def _end_child(self) -> None:
        if self._child is not None:
            self._child.end()
            self._child = None


class _Child:
    """A running child process, and a thread that reads its answers."""

    def __init__(self, command: tuple[str, ...]) -> None:
        self._process = subprocess.Popen(  # noqa: S603  # our own program
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
        self._answers: queue.Queue[str] = queue.Queue()
        self._asked = 0
        self._reading = threading.Thread(target=self._read, name="voice answers", daemon=True)
        self._reading.start()

    @property
    def is_spent(self) -> bool:
        """Whether it has made so many engines that a new process is the safer one."""
        return self._asked >= ORDERS_A_CHILD

    def ask(self, order: dict[str, object], wait_s: float) -> dict[str, Any] | None:
        """Its answer; None where it died, took too long or made no sense."""
        self._asked += 1
        try:
            if self._process.stdin is not None:
                self._process.stdin.write(json.dumps(order) + "\n")
                self._process.stdin.flush()
            return dict(json.loads(self._answers.get(timeout=wait_s)))
        except (OSError, queue.Empty, ValueError):
            return None

    def end(self) -> None:
        """End it, whatever it is doing."""
        self._process.kill()
        self._process.wait()
        self._reading.join()
        for stream in (self._process.stdin, self._process.stdout):
            with contextlib.suppress(OSError):  # what was still to be written went nowhere, as meant
                if stream is not None:
                    stream.close()

    def _read(self) -> None:
        if self._process.stdout is not None:
            for line in self._process.stdout:
                self._answers.put(line)
        self._answers.put("")  # no answer will come any more


def _plain(failure: str) -> str:
    """Why pyttsx3 could not, as a sentence with a remedy."""
    if failure.startswith(("ModuleNotFoundError: No module named 'pyttsx3'", "ImportError")):
        return f"No voice: pyttsx3 is not installed. To have one: {INSTALL}."
    if "espeak" in failure.lower():
        return "No voice: the eSpeak NG library is missing. Install it (Debian: libespeak-ng1)."
    if failure.startswith("LookupError: "):
        unknown = failure.removeprefix("LookupError: ")
        return f"No voice: the system has none of the id {unknown!r}; `leadradial devices` lists them."
    return f"No voice: the system's speech could not be started ({failure})."


class PiperRenderer:
    """
    Piper's neural voices, run as a program: `piper --model FILE`, a line of text in, a WAV file out.

    Piper is licensed GPL-3.0-or-later; it is started as a separate program, only where the pilot installed it
    and names a voice file.
    """

    def __init__(self, model: Path, *, program: str = "piper", answer_s: float = 30.0) -> None:
        self._model = model
        self._program = program
        self._answer_s = answer_s
        self._folder = tempfile.TemporaryDirectory(prefix="leadradial-voice-")

    @property
    def key(self) -> str:
        """See `Renderer`."""
        return f"piper {self._model.resolve()}"

    def render(self, sentence: str) -> Sound:
        """See `Renderer`."""
        path = Path(self._folder.name) / f"{threading.get_ident()}.wav"
        command = [self._program, "--model", str(self._model), "--output_file", str(path)]
        try:
            subprocess.run(  # noqa: S603  # the pilot's own choice of program
                command,
                input=sentence.encode(),
                capture_output=True,
                timeout=self._answer_s,
                check=True,
            )
            return from_file(str(path))
        except FileNotFoundError:
            raise VoiceUnavailable(
                "No voice: the program piper is not installed (piper-tts, GPL-3.0)."
            ) from None
        except (OSError, subprocess.SubprocessError):
            raise VoiceUnavailable(
                f"Piper made no sound with the voice {self._model}; check the file."
            ) from None
        finally:
            path.unlink(missing_ok=True)

    def close(self) -> None:
        """See `Renderer`."""
        self._folder.cleanup()
