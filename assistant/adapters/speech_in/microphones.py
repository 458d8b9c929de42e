"""Microphones, found by name, and the sentence for a pilot whose microphone is not."""

from typing import Any

from assistant.adapters.sound_devices import (
    Direction,
    SoundDevice,
    fitting,
    names_of,
    preferred,
    sound_devices,
)
from assistant.adapters.speech_in.errors import HearingError


def sounddevice_module() -> Any:  # noqa: ANN401  # a module without types
    """The module sounddevice; HearingError with a sentence where it or PortAudio is missing."""
    try:
        import sounddevice  # noqa: PLC0415  # an extra; loading it loads the system's sound
    except ImportError:
        raise HearingError(
            'A microphone needs the extra "voice": python -m pip install "leadradial[voice]".'
        ) from None
    except OSError:
        raise HearingError("The PortAudio library is missing (Debian: libportaudio2).") from None
    return sounddevice


def input_devices() -> tuple[SoundDevice, ...]:
    """Every microphone; none where the machine has no sound. HearingError where sound cannot be asked for."""
    return sound_devices(sounddevice_module(), Direction.INPUT)


def input_device(name: str | None) -> SoundDevice:
    """
    The microphone of that name, or of which it is a part (in any case); None for the system's own.

    HearingError where there is none, or where several fit and none exactly.
    """
    devices = input_devices()
    if not devices:
        raise HearingError("This machine has no microphone.")
    found = fitting(devices, name)
    if not found:
        raise HearingError(f"No microphone is called {name!r}; there are {', '.join(names_of(devices))}.")
    if name is not None and len(names_of(found)) > 1:
        raise HearingError(
            f"Several microphones fit {name!r}: {', '.join(names_of(found))}; give more of the name."
        )
    return preferred(found)
