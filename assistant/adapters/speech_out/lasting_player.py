"""
A loudspeaker that is opened again when it comes back.

What PortAudio knows of devices is frozen when it starts, and after a loss every stream of it is dead; so it
is started anew for each attempt. That ends all streams of this process, and there is no other: microphones
listen in processes of their own.
"""

import contextlib
import threading
from collections.abc import Callable

from assistant.adapters.speech_out.devices import sounddevice_module
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.player import Player
from assistant.adapters.speech_out.sound import Sound

_TRIED_EVERY_S = 2.0


class LastingPlayer:
    """
    A `Player` that outlives its loudspeaker.

    open_player: opens it by the name that the pilot gave, or the system's own as it is then; never by a
    number, which shifts. VoiceUnavailable where it cannot be opened at first.
    """

    def __init__(self, open_player: Callable[[], Player], *, tried_every_s: float = _TRIED_EVERY_S) -> None:
        self._open_player = open_player
        self._tried_every_s = tried_every_s
        self._player = open_player()
        self._closing = threading.Event()
        self._reopening: threading.Thread | None = None

    @property
    def rate_hz(self) -> int:
        """Of the loudspeaker that is open, or was last."""
        return self._player.rate_hz

    @property
    def is_sounding(self) -> bool:
        """Whether something is being played now."""
        return self._player.is_alive and self._player.is_sounding

    async def play(self, sound: Sound) -> None:
        """See `Player.play`; VoiceUnavailable at once while the loudspeaker is away, never a wait for it."""
        try:
            await self._player.play(sound)
        except VoiceUnavailable:
            self._reopen()
            raise

    def close(self) -> None:
        """Close the device, or stop waiting for it."""
        self._closing.set()
        if self._reopening is not None:
            self._reopening.join()
        self._player.close()

    def _reopen(self) -> None:
        """Begin to look for it, in a thread: a sound system that is away may take seconds to say so."""
        if self._reopening is None or not self._reopening.is_alive():
            self._reopening = threading.Thread(target=self._try, name="reopening the voice", daemon=True)
            self._reopening.start()

    def _try(self) -> None:
        self._player.close()
        while not self._closing.is_set():
            with contextlib.suppress(VoiceUnavailable):
                _start_anew()
                self._player = self._open_player()
                return
            self._closing.wait(self._tried_every_s)


def _start_anew() -> None:
    """Let PortAudio look at the machine again; sounddevice has no public way to."""
    sounddevice = sounddevice_module()
    with contextlib.suppress(sounddevice.PortAudioError):  # never begun, or the sound system is away
        sounddevice._terminate()  # noqa: SLF001  # named by its maintainers for this (python-sounddevice 125)
    with contextlib.suppress(sounddevice.PortAudioError):
        sounddevice._initialize()  # noqa: SLF001  # as above
