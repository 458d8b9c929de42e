"""One recogniser for all tests of hearing: loading it is the slow part."""

import shutil
import subprocess

import pytest
from hearing_fixtures import NAMES
from virtual_screen import screen

from assistant.adapters.speech_in.listener import Listener
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser


@pytest.fixture(scope="session")
def recogniser():
    return PocketsphinxRecogniser()


@pytest.fixture
def listener(recogniser):
    return Listener(recogniser, NAMES)


@pytest.fixture(scope="session")
def display():
    with screen() as (_, name):
        yield name


@pytest.fixture
def keys(display, monkeypatch):
    """Presses keys on that screen, by another program than the one that listens."""
    monkeypatch.setenv("DISPLAY", display)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    pytest.importorskip("pynput")

    def press(*actions):
        subprocess.run([shutil.which("xdotool"), *actions], check=True, capture_output=True)

    return press
