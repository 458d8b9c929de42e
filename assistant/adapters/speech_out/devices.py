"""
Loudspeakers, found by name.

Numbers of devices shift when one is plugged in, so a device is remembered by its name and the system's sound
interface, never by its number.
"""

from dataclasses import dataclass
from typing import Any

from assistant.adapters.speech_out.errors import INSTALL, VoiceUnavailable


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputDevice:
    """A loudspeaker as the system has it now."""

    index: int
    name: str
    interface: str
    channels: int
    rate_hz: float
    is_default: bool


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


def output_devices() -> tuple[OutputDevice, ...]:
    """Every loudspeaker; none where the machine has no sound."""
    sounddevice = sounddevice_module()
    try:
        devices, interfaces = sounddevice.query_devices(), sounddevice.query_hostapis()
        default = sounddevice.default.device[1]
    except sounddevice.PortAudioError:
        return ()
    return tuple(
        OutputDevice(
            index=int(device["index"]),
            name=str(device["name"]),
            interface=str(interfaces[device["hostapi"]]["name"]),
            channels=int(device["max_output_channels"]),
            rate_hz=float(device["default_samplerate"]),
            is_default=device["index"] == default,
        )
        for device in devices
        if device["max_output_channels"] > 0
    )


def output_device(name: str | None) -> OutputDevice:
    """
    The loudspeaker of that name, or of which it is a part (in any case); None for the system's own.

    VoiceUnavailable where there is none, or where several fit and none exactly.
    """
    devices = output_devices()
    if not devices:
        raise VoiceUnavailable("No voice: this machine has no loudspeaker.")
    if name is None:
        return next((device for device in devices if device.is_default), devices[0])
    wanted = name.casefold()
    exact = [device for device in devices if device.name.casefold() == wanted]
    fitting = exact or [device for device in devices if wanted in device.name.casefold()]
    if not fitting:
        raise VoiceUnavailable(
            f"No voice: no loudspeaker is called {name!r}; `leadradial devices` lists them."
        )
    if len({device.name for device in fitting}) > 1:
        raise VoiceUnavailable(
            f"No voice: several loudspeakers fit {name!r}; give more of the name (`leadradial devices`)."
        )
    # One device by several interfaces of the system (Windows): the system's own choice, else the first.
    return next((device for device in fitting if device.is_default), fitting[0])
