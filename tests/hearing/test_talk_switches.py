"""Talk switches: a joystick's button and a key of the keyboard, held or toggled, lost and found again."""

import builtins
import gc
import signal
import subprocess
import sys
import time

import pytest
from virtual_joystick import VirtualJoystick
from virtual_screen import screen
from waiting import WAIT_S, Told

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.joystick_switch import Button, JoystickSwitch
from assistant.adapters.speech_in.keyboard_switch import KeySwitch, hidden_keys
from assistant.adapters.speech_in.talk_mode import Talk, TalkMode


def talked(mode, moves):
    said = []
    talk = Talk(mode, said.append)
    for is_down in moves:
        talk.moved(is_down=is_down)
    return said, talk


def test_held_the_pilot_talks_from_press_to_release_however_often_the_press_repeats():
    said, _ = talked(TalkMode.HOLD, [True, True, True, False, False, True, False])

    assert said == [True, False, True, False]


def test_toggled_one_press_begins_and_the_next_ends():
    said, _ = talked(TalkMode.TOGGLE, [True, True, False, True, False, True, False])

    assert said == [True, False, True]


@pytest.mark.parametrize("mode", list(TalkMode))
def test_a_switch_that_is_lost_while_talking_ends_the_talking_once(mode):
    said, talk = talked(mode, [True])
    talk.lost()
    talk.lost()
    talk.moved(is_down=True)

    assert said == [True, False, True]


def test_a_button_is_named_by_joystick_and_number():
    assert Button.named("Stick: left:12") == Button(joystick="Stick: left", number=12)
    assert Button.named("stick:1").is_of("Flight STICK 3000")
    assert not Button.named("throttle:1").is_of("Flight Stick 3000")


@pytest.mark.parametrize("text", ["", "stick", ":3", "stick:", "stick:0", "stick:-1", "stick:two", "stick:²"])
def test_what_is_no_button_is_one_sentence_that_says_where_to_find_one(text):
    with pytest.raises(HearingError, match="devices --press"):
        Button.named(text)


@pytest.fixture
def joystick_switch():
    """A switch on button 4 of a virtual joystick, that joystick, what was told, and the talking."""
    pytest.importorskip("pygame")
    told, talking = Told(), Told()
    switch = JoystickSwitch(Button.named("virtual:4"), TalkMode.HOLD, told)
    switch.start(talking)
    assert told.next() == "No joystick named virtual is plugged in (there: none)."
    yield switch, VirtualJoystick(), told, talking
    switch.close()


def test_a_joysticks_button_talks_and_its_other_buttons_do_not(joystick_switch):
    _, joystick, told, talking = joystick_switch
    assert told.next() == "Virtual Controller is there: its button talks."
    for button, is_down in ((3, True), (4, True), (3, False), (4, False)):
        joystick.move(button, is_down)
        # SDL hands on the state that it finds when it looks, so a press needs to last until then.
        time.sleep(0.03)

    assert [talking.next(), talking.next()] == [True, False]
    assert talking.is_empty()


def test_a_joystick_unplugged_while_its_button_is_held_ends_the_talking_and_talks_again_when_replugged(
    joystick_switch,
):
    _, joystick, told, talking = joystick_switch
    told.next()
    joystick.move(4, True)
    assert talking.next() is True
    joystick.unplug()

    assert talking.next() is False
    assert told.next() == "Virtual Controller is gone; its button talks again when it is plugged in."

    again = VirtualJoystick()
    assert told.next() == "Virtual Controller is there: its button talks."
    again.move(4, True)
    assert talking.next() is True


def test_a_button_that_the_joystick_does_not_have_is_told_of(joystick_switch):
    _, joystick, told, _ = joystick_switch
    told.next()
    joystick.unplug()
    told.next()
    VirtualJoystick(buttons=2)

    assert told.next() == "Virtual Controller has 2 buttons; 4 is none of them."


def test_closing_a_switch_ends_the_talking(joystick_switch):
    switch, joystick, _, talking = joystick_switch
    joystick.move(4, True)
    assert talking.next() is True
    switch.close()

    assert talking.next() is False


def test_listening_to_joysticks_leaves_the_signal_that_ends_a_program_alone():
    """SDL would take SIGTERM for a window's close button, and nothing could end the flight."""
    pytest.importorskip("pygame")
    program = (
        "import time\n"
        "from assistant.adapters.speech_in.joystick_events import JoystickEvents\n"
        "JoystickEvents(print)\n"
        "print('ready', flush=True)\n"
        "time.sleep(30)\n"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as started:
        assert started.stdout.readline() == "ready\n"
        started.terminate()
        assert started.wait(timeout=WAIT_S) == -signal.SIGTERM


@pytest.fixture
def key_switch(keys):
    """A switch on F9, listening, what it told and the talking."""
    told, talking = Told(), Told()
    switch = KeySwitch("F9", TalkMode.HOLD, told)
    switch.start(talking)
    deadline = time.monotonic() + WAIT_S
    while talking.is_empty() and time.monotonic() < deadline:  # the listener needs a moment to be heard by X
        keys("key", "F9")
        time.sleep(0.05)
    time.sleep(0.1)
    while not talking.is_empty():
        talking.next()
    yield switch, told, talking
    switch.close()


def test_a_key_held_down_talks_once_though_the_system_repeats_it(key_switch, keys):
    _, told, talking = key_switch
    keys("keydown", "F9", "keydown", "F9", "key", "a", "key", "F8", "keyup", "F9")

    assert [talking.next(), talking.next()] == [True, False]
    assert talking.is_empty()
    assert told.is_empty()


@pytest.mark.usefixtures("keys")
def test_a_key_that_is_none_is_one_sentence():
    switch = KeySwitch("f99", TalkMode.HOLD, print)

    with pytest.raises(HearingError, match="no such key"):
        switch.start(print)


# The library leaves the socket of a screen that died to the garbage collector, which complains; here and now.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_screen_that_goes_away_ends_the_talking_and_is_told_of_in_one_sentence(monkeypatch, keys):
    with screen() as (running, name):
        monkeypatch.setenv("DISPLAY", name)
        told, talking = Told(), Told()
        switch = KeySwitch("f9", TalkMode.HOLD, told)
        switch.start(talking)
        deadline = time.monotonic() + WAIT_S
        while talking.is_empty() and time.monotonic() < deadline:
            keys("keydown", "F9")
            time.sleep(0.05)
        running.terminate()

        assert [talking.next(), talking.next()] == [True, False]
        assert told.next() == "The key f9 is not heard: the screen that it belonged to is gone."
        switch.close()
    del switch
    gc.collect()


def test_without_a_screen_a_talk_key_is_one_sentence():
    program = (
        "from assistant.adapters.speech_in.errors import HearingError\n"
        "from assistant.adapters.speech_in.keyboard_switch import KeySwitch, TalkMode\n"
        "try:\n"
        "    KeySwitch('f9', TalkMode.HOLD, print).start(print)\n"
        "except HearingError as error:\n"
        "    print(error)\n"
    )
    found = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, env={"PATH": ""}
    )

    assert found.stdout.startswith("No screen to see keys on")
    assert found.stderr == ""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="Wayland is Linux's")
def test_wayland_is_said_to_hide_keys(monkeypatch):
    monkeypatch.setenv("WAYLAND_DISPLAY", "wayland-0")

    assert "Wayland" in hidden_keys()


@pytest.mark.parametrize(
    ("package", "switch"),
    [
        ("pygame", JoystickSwitch(Button.named("stick:1"), TalkMode.HOLD, print)),
        ("pynput", KeySwitch("f9", TalkMode.HOLD, print)),
    ],
)
def test_a_missing_package_is_one_sentence_with_the_command_that_brings_it(monkeypatch, package, switch):
    real = builtins.__import__

    def without(name, *rest):
        if name.split(".")[0] == package:
            raise ModuleNotFoundError(f"No module named {package!r}", name=package)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)

    with pytest.raises(HearingError, match=r"leadradial\[talk\]"):
        switch.start(print)
