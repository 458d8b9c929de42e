"""
What the pilot talks by: something that says when talking begins and ends, wherever it hears of it.

Switches satisfy the protocol by shape (`joystick_switch`, `keyboard_switch`); in a test, a list of times.
"""

from collections.abc import Callable
from typing import Protocol

from assistant.adapters.speech_in.joystick_switch import Button, JoystickSwitch
from assistant.adapters.speech_in.keyboard_switch import KeySwitch
from assistant.adapters.speech_in.talk_mode import TalkMode


class TalkSwitch(Protocol):
    """A switch under the pilot's finger. `name` as a sentence can hold it: "button 3 of …"."""

    name: str

    def start(self, on_change: Callable[[bool], None]) -> None:
        """
        Begin to listen; `on_change` is called, from any thread, with True where the pilot begins to talk.

        HearingError, with one sentence, where it cannot be listened to.
        """

    def close(self) -> None:
        """Listen no more; talking that was begun ends."""


def talk_switches(
    button: str | None, key: str | None, mode: TalkMode, tell: Callable[[str], None]
) -> tuple[TalkSwitch, ...]:
    """
    The switches that were asked for, not yet started: a button as NAME:3, a key as f9.

    `tell` is given a sentence where one is missing, goes or comes back. HearingError for what is no button.
    """
    switches: list[TalkSwitch] = []
    if button is not None:
        switches.append(JoystickSwitch(Button.named(button), mode, tell))
    if key is not None:
        switches.append(KeySwitch(key, mode, tell))
    return tuple(switches)
