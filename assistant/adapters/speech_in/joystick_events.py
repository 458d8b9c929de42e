"""
Buttons of joysticks as events, with no window: pygame's joystick part in a thread of its own.

SDL must be told before it is loaded that there is no screen, that buttons count though no window of ours is
in front (the simulator's is), and that signals are not its business: it would take SIGTERM for a wish to
close a window that does not exist, and the program could not be ended. The variables are SDL's own names;
the often quoted SDL_HINT_… form has no effect.

Everything of SDL happens in one thread, since on some systems it tells the events only to the thread that
asked for them. Devices come and go at any time and are told of as they do.
"""

import os
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from assistant.adapters.speech_in.errors import HearingError

POLL_S = 0.008
"""A press is seen on the average half of this late; the recording reaches back further."""

_SDL_SETTINGS = {
    "SDL_VIDEODRIVER": "dummy",
    "SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS": "1",
    "SDL_NO_SIGNAL_HANDLERS": "1",
    "PYGAME_HIDE_SUPPORT_PROMPT": "1",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ButtonMoved:
    """A button of a joystick went down or up; buttons are counted from 1, as on most sticks."""

    joystick: str
    button: int
    is_down: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JoystickCame:
    """A joystick is there: at the start, or plugged in."""

    joystick: str
    buttons: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JoystickWent:
    """A joystick was unplugged."""

    joystick: str


JoystickEvent = ButtonMoved | JoystickCame | JoystickWent


class JoystickEvents:
    """
    Tells what joysticks do, from its own thread, until closed.

    Constructing it returns when those that are plugged in have been told of. HearingError where the package
    is missing or finds no way to joysticks.
    """

    def __init__(self, on_event: Callable[[JoystickEvent], None]) -> None:
        self._pygame = _pygame()
        self._on_event = on_event
        self._names: dict[int, str] = {}
        self._open: dict[int, Any] = {}
        self._problem = ""
        self._ready = threading.Event()
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._run, name="joysticks", daemon=True)
        self._thread.start()
        self._ready.wait()
        if self._problem:
            self._thread.join()
            raise HearingError(f"Joysticks cannot be listened to: {self._problem}.")

    def close(self) -> None:
        """Listen no more."""
        self._closing.set()
        self._thread.join()

    def _run(self) -> None:
        pygame = self._pygame
        try:
            pygame.display.init()
            pygame.joystick.init()
            self._take()
        except pygame.error as error:
            self._problem = str(error).rstrip(".")
        self._ready.set()
        while not self._problem and not self._closing.wait(POLL_S):
            self._take()
        self._open.clear()
        pygame.joystick.quit()
        pygame.display.quit()

    def _take(self) -> None:
        pygame = self._pygame
        for event in pygame.event.get():
            match event.type:
                case pygame.JOYDEVICEADDED:
                    # It can be gone again before it is looked at.
                    with suppress(pygame.error):
                        self._came(pygame.joystick.Joystick(event.device_index))
                case pygame.JOYDEVICEREMOVED if event.instance_id in self._open:
                    del self._open[event.instance_id]
                    self._on_event(JoystickWent(joystick=self._names[event.instance_id]))
                case pygame.JOYBUTTONDOWN | pygame.JOYBUTTONUP if event.instance_id in self._names:
                    self._on_event(
                        ButtonMoved(
                            joystick=self._names[event.instance_id],
                            button=event.button + 1,
                            is_down=event.type == pygame.JOYBUTTONDOWN,
                        )
                    )

    def _came(self, joystick: Any) -> None:  # noqa: ANN401  # pygame's own class, imported late
        identity = joystick.get_instance_id()
        # A joystick gives events only while somebody holds it open.
        self._open[identity] = joystick
        self._names[identity] = joystick.get_name()
        self._on_event(JoystickCame(joystick=joystick.get_name(), buttons=joystick.get_numbuttons()))


def joysticks() -> tuple[JoystickCame, ...]:
    """The joysticks that are plugged in; HearingError where they cannot be asked for."""
    found: list[JoystickCame] = []

    def note(event: JoystickEvent) -> None:
        if isinstance(event, JoystickCame):
            found.append(event)

    JoystickEvents(note).close()
    return tuple(found)


def _pygame() -> Any:  # noqa: ANN401  # imported late
    for name, value in _SDL_SETTINGS.items():
        os.environ.setdefault(name, value)
    try:
        import pygame  # noqa: PLC0415  # an extra, loaded when it is wanted
    except (ImportError, OSError):
        raise HearingError(
            'A joystick button needs the extra "talk": python -m pip install "leadradial[talk]".'
        ) from None
    return pygame
