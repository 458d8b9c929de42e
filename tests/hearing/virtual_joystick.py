"""A joystick that SDL itself plays: no kernel device, but the library's own way from a button to an event."""

import ctypes
import os
from pathlib import Path

import pytest

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")  # it greets whoever imports it first


def sdl():
    """The SDL library that pygame brings; the same one that is loaded, so the same joysticks."""
    pygame = pytest.importorskip("pygame")
    folder = Path(pygame.__file__).parent.parent / "pygame_ce.libs"
    found = sorted(folder.glob("libSDL2-2*"))
    if not found:
        pytest.skip("this build of pygame-ce brings no SDL library beside it: no virtual joystick")
    library = ctypes.CDLL(str(found[0]))
    library.SDL_JoystickOpen.restype = ctypes.c_void_p
    return library


class VirtualJoystick:
    """Plugged in once joysticks are listened to, since SDL forgets them when nobody does."""

    NAME = "Virtual Controller"
    _KIND_GAMEPAD = 1

    def __init__(self, buttons=8):
        self._sdl = sdl()
        self._index = self._sdl.SDL_JoystickAttachVirtual(self._KIND_GAMEPAD, 2, buttons, 0)
        assert self._index >= 0
        self._device = ctypes.c_void_p(self._sdl.SDL_JoystickOpen(self._index))

    def move(self, button, is_down):
        """Press or release a button, counted from 1."""
        assert self._sdl.SDL_JoystickSetVirtualButton(self._device, button - 1, int(is_down)) == 0

    def unplug(self):
        assert self._sdl.SDL_JoystickDetachVirtual(self._index) == 0
