"""How presses of a talk switch become talking: while it is held, or from one press to the next."""

from collections.abc import Callable
from enum import StrEnum


class TalkMode(StrEnum):
    """HOLD: talking while the switch is down. TOGGLE: one press begins, the next ends."""

    HOLD = "hold"
    TOGGLE = "toggle"


class Talk:
    """
    Downs and ups of one switch in, beginnings and ends of talking out.

    A held key repeats its down, and a switch that vanishes never comes up: repeats change nothing, and
    `lost` ends what was begun, since an open microphone that nobody can close would be worse than half a
    report.
    """

    def __init__(self, mode: TalkMode, on_change: Callable[[bool], None]) -> None:
        self._mode = mode
        self._on_change = on_change
        self._is_down = False
        self._is_talking = False

    def moved(self, *, is_down: bool) -> None:
        """The switch is now down, or up."""
        if is_down == self._is_down:
            return
        self._is_down = is_down
        if self._mode is TalkMode.HOLD:
            self._set(is_down)
        elif is_down:
            self._set(not self._is_talking)

    def lost(self) -> None:
        """The switch is gone, or closed."""
        self._is_down = False
        self._set(False)

    def _set(self, is_talking: bool) -> None:
        if is_talking != self._is_talking:
            self._is_talking = is_talking
            self._on_change(is_talking)
