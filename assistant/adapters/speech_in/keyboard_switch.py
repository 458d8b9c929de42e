"""
A key of the keyboard as the switch by which the pilot talks, whatever window is in front.

What each system lets a program see is in docs/talk_switches.md. A talk key is seen by the simulator too: it
should be one that means nothing there.
"""

import logging
import os
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.talk_mode import Talk, TalkMode

_CLOSES_WITHIN_S = 1.0


class KeySwitch:
    """
    Talks while, or after, the key is pressed.

    `key` as `leadradial devices --press` names it: f9, ctrl_r, scroll_lock, a letter. `tell` is given a
    sentence where the system hides keys from programs.
    """

    def __init__(self, key: str, mode: TalkMode, tell: Callable[[str], None]) -> None:
        self.name = f"key {key}"
        self._key = key.strip().casefold()
        self._tell = tell
        self._on_change: Callable[[bool], None] = lambda _is_talking: None
        self._talk = Talk(mode, self._change)
        self._keys: Keys | None = None

    def start(self, on_change: Callable[[bool], None]) -> None:
        """Begin; `on_change` is called from another thread. HearingError where keys cannot be seen."""
        if not is_key(self._key):
            raise HearingError(
                f"--talk-key {self._key!r}: no such key; leadradial devices --press tells the name of one."
            )
        self._on_change = on_change
        self._keys = Keys(self._moved, self._lost)
        if hidden := hidden_keys():
            self._tell(hidden)

    def close(self) -> None:
        """Listen no more; talking that was begun ends."""
        if self._keys is not None:
            self._keys.close()
        self._talk.lost()

    def _change(self, is_talking: bool) -> None:
        self._on_change(is_talking)

    def _moved(self, key: str, is_down: bool) -> None:
        if key == self._key:
            self._talk.moved(is_down=is_down)

    def _lost(self) -> None:
        why = (
            "macOS must allow the terminal, under Privacy & Security, Accessibility"
            if sys.platform == "darwin"
            else "the screen that it belonged to is gone"
        )
        self._tell(f"The {self.name} is not heard: {why}.")
        self._talk.lost()


class Keys:
    """
    Tells of every key that goes down or up, by name, from a thread of its own, until closed.

    `on_lost` is called once where the system ends it: the screen went away, or keys are not ours to see.
    HearingError where the package is missing or there is no screen.
    """

    def __init__(self, on_key: Callable[[str, bool], None], on_lost: Callable[[], None]) -> None:
        self._is_closed = False
        self._on_key = on_key
        self._on_lost = on_lost
        self._listener = _keyboard().Listener(
            on_press=lambda key: self._moved(key, True),
            on_release=lambda key: self._moved(key, False),
        )
        # In a thread of ours: the library's own would print a traceback where the screen goes away.
        self._thread = threading.Thread(target=self._listen, name="talk key", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Listen no more; not to be called from `on_key`."""
        self._is_closed = True
        if not self._thread.is_alive():  # to stop what never came to run would be waited for for ever
            return
        with suppress(Exception):  # the screen may be gone already
            self._listener.stop()
            # On X the library's thread would wait for one more key before it ends: its own second connection,
            # which is there for this, ends it now. On other systems there is no such thing, and no need.
            second = self._listener._display_stop  # noqa: SLF001  # nothing public does it
            second.record_disable_context(self._listener._context)  # noqa: SLF001  # see above
            second.flush()
        self._thread.join(_CLOSES_WITHIN_S)

    def _moved(self, key: Any, is_down: bool) -> None:  # noqa: ANN401  # pynput's own, imported late
        if not self._is_closed:
            self._on_key(key_name(key), is_down)

    def _listen(self) -> None:
        with suppress(Exception):  # of many kinds, by system; that it has ended is what matters
            self._listener.run()
        if not self._is_closed:
            self._on_lost()


def is_key(name: str) -> bool:
    """Whether a key can have that name; HearingError where keys cannot be seen."""
    return len(name) == 1 or name in _keyboard().Key.__members__


def key_name(key: Any) -> str:  # noqa: ANN401  # pynput's own classes, imported late
    """The name of a key: as pynput has it (f9, ctrl_r), a character in lower case, or its code."""
    if (name := getattr(key, "name", None)) is not None:
        return str(name)
    if key is not None and key.char:
        return str(key.char).casefold()
    return f"<{getattr(key, 'vk', None)}>"


def hidden_keys() -> str:
    """A sentence on the keys that this system hides, empty where it shows all."""
    if sys.platform.startswith("linux") and os.environ.get("WAYLAND_DISPLAY"):
        return "Wayland shows keys to us only while the window of an X program is in front."
    return ""


def _keyboard() -> Any:  # noqa: ANN401  # imported late
    # The library writes whatever ends it to the log, and with nobody listening that is the pilot's screen.
    logging.getLogger("pynput").addHandler(logging.NullHandler())
    try:
        from pynput import keyboard  # noqa: PLC0415  # an extra, loaded when it is wanted
    except ImportError as error:
        if error.name is not None and error.name.startswith("pynput"):
            raise HearingError(
                'A talk key needs the extra "talk": python -m pip install "leadradial[talk]".'
            ) from None
        raise HearingError(
            "No screen to see keys on: a talk key needs a desktop, a talk button none."
        ) from None
    return keyboard
