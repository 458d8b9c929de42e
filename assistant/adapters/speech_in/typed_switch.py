"""
The console as a talk switch, where there is no other: an empty line begins, the next one ends.

A terminal tells when a key goes down and never when it comes up, so this one is always toggled.
"""

from collections.abc import AsyncIterator, Callable

from assistant.adapters.speech_in.talk_mode import Talk, TalkMode
from assistant.language.transcript import Transcript
from assistant.session import Talking


class TypedSwitch:
    """Pressed by an empty line; see `TalkSwitch`."""

    name = "an empty line"

    def __init__(self) -> None:
        self._talk = Talk(TalkMode.TOGGLE, lambda _is_talking: None)

    def start(self, on_change: Callable[[bool], None]) -> None:
        """Begin; `on_change` is called by whoever calls `pressed`."""
        self._talk = Talk(TalkMode.TOGGLE, on_change)

    def close(self) -> None:
        """Talking that was begun ends."""
        self._talk.lost()

    def pressed(self) -> None:
        """An empty line was entered."""
        self._talk.moved(is_down=True)
        self._talk.moved(is_down=False)


async def without_presses(
    lines: AsyncIterator[Transcript | Talking], switch: TypedSwitch
) -> AsyncIterator[Transcript | Talking]:
    """Typed lines, of which the empty ones press the switch."""
    async for line in lines:
        if isinstance(line, Transcript) and not line.text:
            switch.pressed()
        else:
            yield line
