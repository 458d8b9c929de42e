"""
Microphones, found by name.

Numbers of devices shift when one is plugged in, so a device is remembered by its name, never by its number.
"""

from dataclasses import dataclass
from typing import Any

from assistant.adapters.speech_in.errors import HearingError


@dataclass(frozen=True, slots=True, kw_only=True)
class InputDevice:
    """A microphone as the system has it now."""

    index: int
    name: str
    interface: str
    channels: int
    rate_hz: float
    is_default: bool


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


def input_devices() -> tuple[InputDevice, ...]:
    """Every microphone; none where the machine has no sound. HearingError where sound cannot be asked for."""
    sounddevice = sounddevice_module()
    try:
        devices, interfaces = sounddevice.query_devices(), sounddevice.query_hostapis()
        default = sounddevice.default.device[0]
    except sounddevice.PortAudioError:
        return ()
    return tuple(
        InputDevice(
            index=int(device["index"]),
            name=str(device["name"]),
            interface=str(interfaces[device["hostapi"]]["name"]),
            channels=int(device["max_input_channels"]),
            rate_hz=float(device["default_samplerate"]),
            is_default=device["index"] == default,
        )
        for device in devices
        if device["max_input_channels"] > 0
    )


def input_device(name: str | None) -> InputDevice:
    """
    The microphone of that name, or of which it is a part (in any case); None for the system's own.

    HearingError where there is none, or where several fit and none exactly.
    """
    devices = input_devices()
    if not devices:
        raise HearingError("This machine has no microphone.")
    if name is None:
        return next((device for device in devices if device.is_default), devices[0])
    wanted = name.casefold()
    exact = [device for device in devices if device.name.casefold() == wanted]
    fitting = exact or [device for device in devices if wanted in device.name.casefold()]
    there = ", ".join(sorted({device.name for device in fitting or devices}))
    if not fitting:
        raise HearingError(f"No microphone is called {name!r}; there are {there}.")
    if len({device.name for device in fitting}) > 1:
        raise HearingError(f"Several microphones fit {name!r}: {there}; give more of the name.")
    # One device by several interfaces of the system (Windows): the system's own choice, else the first.
    return next((device for device in fitting if device.is_default), fitting[0])
