"""
What a pilot can talk by: the joysticks that are there, and what is pressed, as it is pressed.

Nobody knows the number of a button or a system's name for a key, so they are shown in the form in which `fly`
wants them.
"""

import queue
import shlex
import time
from collections.abc import Callable
from typing import Any

import typer

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.joystick_events import (
    ButtonMoved,
    JoystickCame,
    JoystickEvent,
    JoystickEvents,
    JoystickWent,
    joysticks,
)
from assistant.adapters.speech_in.keyboard_switch import Keys, hidden_keys
from assistant.cli.errors import WRONG_INPUT


def joystick_entries() -> list[dict[str, Any]] | str:
    """The joysticks that are plugged in, with how many buttons each; a sentence where there are none."""
    try:
        found = joysticks()
    except HearingError as error:
        return str(error)
    return [{"name": each.joystick, "buttons": each.buttons} for each in found] or "none on this machine"


def show_presses(duration_s: float) -> None:
    """Print each button and key that goes down, for some seconds or until Ctrl-C."""
    lines: queue.Queue[str] = queue.Queue()
    sources: list[JoystickEvents | Keys] = []
    begin: Callable[[], JoystickEvents | Keys]
    try:
        for begin in (lambda: _joysticks(lines), lambda: _keys(lines)):
            try:
                sources.append(begin())
            except HearingError as error:
                typer.echo(str(error), err=True)
        if not sources:
            raise typer.Exit(WRONG_INPUT)
        typer.echo(f"Press the button or key to talk by; {duration_s:.0f} s.")
        _print_for(lines, duration_s)
    finally:
        for source in sources:
            source.close()


def _joysticks(lines: "queue.Queue[str]") -> JoystickEvents:
    def told(event: JoystickEvent) -> None:
        match event:
            case ButtonMoved(joystick=name, button=number, is_down=True):
                lines.put(f"--talk-button {shlex.quote(f'{name}:{number}')}")
            case JoystickCame(joystick=name, buttons=buttons):
                lines.put(f"{name} is there, with {buttons} buttons.")
            case JoystickWent(joystick=name):
                lines.put(f"{name} is gone.")

    return JoystickEvents(told)


def _keys(lines: "queue.Queue[str]") -> Keys:
    held: set[str] = set()

    def told(key: str, is_down: bool) -> None:
        if is_down and key not in held:
            lines.put(f"--talk-key {shlex.quote(key)}")
        (held.add if is_down else held.discard)(key)

    keys = Keys(told, lambda: lines.put("Keys are no longer seen."))
    if hidden := hidden_keys():
        lines.put(hidden)
    return keys


def _print_for(lines: "queue.Queue[str]", duration_s: float) -> None:
    until_s = time.monotonic() + duration_s
    while (left_s := until_s - time.monotonic()) > 0.0:
        try:
            typer.echo(lines.get(timeout=left_s))
        except queue.Empty:
            return
