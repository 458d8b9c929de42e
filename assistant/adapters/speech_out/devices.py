"""Loudspeakers, found by name, and the sentence for a pilot whose loudspeaker is not."""

from typing import Any

from assistant.adapters.sound_devices import (
    Direction,
    SoundDevice,
    fitting,
    names_of,
    preferred,
    sound_devices,
)
from assistant.adapters.speech_out.errors import INSTALL, VoiceUnavailable


def sounddevice_module() -> Any:  # noqa: ANN401  # a module without types
    """The module sounddevice; VoiceUnavailable with a sentence where it or PortAudio is missing."""
    try:
        import sounddevice  # noqa: PLC0415  # an extra; loading it loads the system's sound
    except ImportError:
        raise VoiceUnavailable(f"No voice: sounddevice is not installed. To have one: {INSTALL}.") from None
    except OSError:
        raise VoiceUnavailable(
            "No voice: the PortAudio library is missing. Install it (Debian: libportaudio2)."
        ) from None
    return sounddevice


def output_devices() -> tuple[SoundDevice, ...]:
    """Every loudspeaker; none where the machine has no sound. VoiceUnavailable where it cannot be asked."""
    return sound_devices(sounddevice_module(), Direction.OUTPUT)


def output_device(name: str | None) -> SoundDevice:
    """
    The loudspeaker of that name, or of which it is a part (in any case); None for the system's own.

    VoiceUnavailable where there is none, or where several fit and none exactly.
    """
    devices = output_devices()
    if not devices:
        raise VoiceUnavailable("No voice: this machine has no loudspeaker.")
    found = fitting(devices, name)
    if not found:
        raise VoiceUnavailable(
            f"No voice: no loudspeaker is called {name!r}; `leadradial devices` lists them."
        )
    if name is not None and len(names_of(found)) > 1:
        raise VoiceUnavailable(
            f"No voice: several loudspeakers fit {name!r}; give more of the name (`leadradial devices`)."
        )
    return preferred(found)
