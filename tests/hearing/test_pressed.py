"""`leadradial devices`: what is pressed is shown in the form in which it is to be given."""

import shlex
import threading
import time

import pytest
import typer
from virtual_joystick import VirtualJoystick

from assistant.adapters.speech_in.joystick_switch import Button
from assistant.cli import pressed


def meanwhile(action):
    """Do something half a second from now, when presses are waited for."""

    def wait_and_act():
        time.sleep(0.5)
        action()

    thread = threading.Thread(target=wait_and_act)
    thread.start()
    return thread


def test_a_button_is_shown_as_the_option_that_names_it(capsys, monkeypatch):
    pytest.importorskip("pygame")
    monkeypatch.delenv("DISPLAY", raising=False)

    def press():
        joystick = VirtualJoystick()
        time.sleep(0.1)
        joystick.move(3, True)

    acting = meanwhile(press)
    pressed.show_presses(1.0)
    acting.join()
    came, shown = (line for line in capsys.readouterr().out.splitlines() if VirtualJoystick.NAME in line)

    assert came == "Virtual Controller is there, with 8 buttons."
    option, named = shlex.split(shown)
    assert option == "--talk-button"
    assert Button.named(named) == Button(joystick=VirtualJoystick.NAME, number=3)


def test_a_key_is_shown_once_though_the_system_repeats_it(capsys, keys):
    acting = meanwhile(lambda: keys("keydown", "F9", "keydown", "F9", "keyup", "F9", "key", "F9"))
    pressed.show_presses(1.5)
    acting.join()

    assert capsys.readouterr().out.splitlines()[1:] == ["--talk-key f9", "--talk-key f9"]


def test_joysticks_are_listed_or_said_to_be_none():
    pytest.importorskip("pygame")

    assert pressed.joystick_entries() == "none on this machine"


def test_with_nothing_to_watch_there_is_a_sentence_each_and_the_status_of_wrong_input(capsys, monkeypatch):
    def missing(*_):
        raise pressed.HearingError("not here")

    monkeypatch.setattr(pressed, "JoystickEvents", missing)
    monkeypatch.setattr(pressed, "Keys", missing)

    with pytest.raises(typer.Exit) as stop:
        pressed.show_presses(1.0)
    assert stop.value.exit_code == 2
    assert capsys.readouterr().err == "not here\nnot here\n"
