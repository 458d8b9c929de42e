"""
Loudspeakers and microphones, found by name.

Numbers of devices shift when one is plugged in, so a device is remembered by its name and the system's sound
interface, never by its number. What is said where none is found belongs to whoever speaks or listens by it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class Direction(StrEnum):
    """Which way sound goes; the values are sounddevice's own words."""

    INPUT = "input"
    OUTPUT = "output"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundDevice:
    """A loudspeaker or microphone as the system has it now."""

    index: int
    name: str
    interface: str
    channels: int
    rate_hz: float
    is_default: bool


def sound_devices(sounddevice: Any, direction: Direction) -> tuple[SoundDevice, ...]:  # noqa: ANN401  # a module
    """Every device of a direction, by the module sounddevice; none where the machine has no sound."""
    try:
        devices, interfaces = sounddevice.query_devices(), sounddevice.query_hostapis()
        default = sounddevice.default.device[(Direction.INPUT, Direction.OUTPUT).index(direction)]
    except sounddevice.PortAudioError:
        return ()
    channels = f"max_{direction}_channels"
    return tuple(
        SoundDevice(
            index=int(device["index"]),
            name=str(device["name"]),
            interface=str(interfaces[device["hostapi"]]["name"]),
            channels=int(device[channels]),
            rate_hz=float(device["default_samplerate"]),
            is_default=device["index"] == default,
        )
        for device in devices
        if device[channels] > 0
    )


def fitting(devices: Sequence[SoundDevice], name: str | None) -> tuple[SoundDevice, ...]:
    """The devices of that name, else those of whose name it is a part, in any case; None: every one."""
    if name is None:
        return tuple(devices)
    wanted = name.casefold()
    exact = tuple(device for device in devices if device.name.casefold() == wanted)
    return exact or tuple(device for device in devices if wanted in device.name.casefold())


def names_of(devices: Sequence[SoundDevice]) -> tuple[str, ...]:
    """Their names, each once, in order of the alphabet."""
    return tuple(sorted({device.name for device in devices}))


def preferred(devices: Sequence[SoundDevice]) -> SoundDevice:
    """
    The system's own choice among some, else the first.

    One device may be there by several interfaces of the system (Windows).
    """
    return next((device for device in devices if device.is_default), devices[0])
