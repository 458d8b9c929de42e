"""A joystick's button as the switch by which the pilot talks."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Self

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.joystick_events import (
    ButtonMoved,
    JoystickCame,
    JoystickEvent,
    JoystickEvents,
    JoystickWent,
)
from assistant.adapters.speech_in.talk_mode import Talk, TalkMode


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """A button by the name of its joystick, or a part of it, and its number, counted from 1."""

    joystick: str
    number: int

    @classmethod
    def named(cls, text: str) -> Self:
        """`NAME:3` as a button; HearingError where it is no such thing. The name may hold colons."""
        name, _, number = text.rpartition(":")
        if not name.strip() or not (number.isascii() and number.isdigit()) or int(number) < 1:
            raise HearingError(
                f"--talk-button {text!r}: give a joystick and a button, as NAME:3; "
                "leadradial devices --press tells both."
            )
        return cls(joystick=name.strip(), number=int(number))

    def __str__(self) -> str:
        return f"{self.joystick}:{self.number}"

    def is_of(self, joystick: str) -> bool:
        """Whether a joystick of that name is meant."""
        return self.joystick.casefold() in joystick.casefold()


class JoystickSwitch:
    """
    Talks while, or after, the button is pressed; by name, so that replugging changes nothing.

    `tell` is given a sentence where the joystick is missing, goes and comes back; the flight goes on.
    """

    def __init__(self, button: Button, mode: TalkMode, tell: Callable[[str], None]) -> None:
        self.name = f"button {button.number} of {button.joystick}"
        self._button = button
        self._tell = tell
        self._on_change: Callable[[bool], None] = lambda _is_talking: None
        self._talk = Talk(mode, self._change)
        self._events: JoystickEvents | None = None
        self._here: list[str] = []

    def start(self, on_change: Callable[[bool], None]) -> None:
        """Begin; `on_change` is called from another thread. HearingError where joysticks cannot be used."""
        self._on_change = on_change
        self._events = JoystickEvents(self._take)
        if not any(map(self._button.is_of, self._here)):
            there = ", ".join(self._here) or "none"
            self._tell(f"No joystick named {self._button.joystick} is plugged in (there: {there}).")

    def close(self) -> None:
        """Listen no more; talking that was begun ends."""
        if self._events is not None:
            self._events.close()
        self._talk.lost()

    def _change(self, is_talking: bool) -> None:
        self._on_change(is_talking)

    def _take(self, event: JoystickEvent) -> None:
        match event:
            case JoystickCame(joystick=name, buttons=buttons):
                self._here.append(name)
                if not self._button.is_of(name):
                    return
                if self._button.number > buttons:
                    self._tell(f"{name} has {buttons} buttons; {self._button.number} is none of them.")
                elif self._events is not None:  # not one of those that were there at the start
                    self._tell(f"{name} is there: its button talks.")
            case JoystickWent(joystick=name):
                self._here.remove(name)
                if self._button.is_of(name):
                    self._tell(f"{name} is gone; its button talks again when it is plugged in.")
                    self._talk.lost()
            case ButtonMoved(joystick=name, button=number, is_down=is_down) if (
                self._button.is_of(name) and number == self._button.number
            ):
                self._talk.moved(is_down=is_down)
