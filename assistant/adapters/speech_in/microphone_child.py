"""
The child process that listens to the microphone: sound at 16 kHz, one channel, on its standard output.

Run as a module, with a part of the device's name or none. First a line of JSON, of the device
`{"name", "rate_hz", "held_s"}` or `{"failed": "why"}`; then 32-bit floats, in blocks, until the device is
gone or the pipe is closed. `held_s`: how long a sound may be on its way before it is written here.

Why a process of its own: PortAudio learns of devices that came or went only by being started anew, and with
that every open stream dies, the voice's too. Here it is started anew by starting the process anew. And what a
recogniser does with the interpreter's lock cannot make it lose sound.
"""

import json
import os
import queue
import sys
from contextlib import suppress
from typing import BinaryIO

from assistant.adapters.sound_devices import SoundDevice
from assistant.adapters.speech_in.audio import Samples
from assistant.adapters.speech_in.converter import Converter
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.microphones import input_device, sounddevice_module

_BLOCK_S = 0.01
"""Words wait for their block to be full, and answers with them; a virtual device gained nothing at 5 ms."""

_SILENT_FOR_S = 1.0
"""A device that gave nothing this long is gone, whatever its stream says of itself."""


def listen(device: SoundDevice, out: BinaryIO) -> None:
    """Write what the device hears until it is gone; OSError where nobody reads any more."""
    sounddevice = sounddevice_module()
    blocks: queue.SimpleQueue[Samples] = queue.SimpleQueue()
    try:
        stream = sounddevice.InputStream(
            device=device.index,
            samplerate=device.rate_hz,
            channels=min(device.channels, 2),
            dtype="float32",
            blocksize=round(_BLOCK_S * device.rate_hz),
            latency="low",
            callback=lambda block, *_: blocks.put(block.copy()),
        )
        stream.start()
    except (sounddevice.PortAudioError, ValueError) as error:
        reason = str(error.args[0] if error.args else error).split("[")[0].strip().rstrip(".")
        raise HearingError(f"The microphone {device.name!r} cannot be opened ({reason}).") from None
    converter = Converter(device.rate_hz)
    with suppress(queue.Empty):  # gone; who reads sees the end
        blocks_first = blocks.get(timeout=_SILENT_FOR_S)
        found = {
            "name": device.name,
            "rate_hz": device.rate_hz,
            "held_s": float(stream.latency) + _BLOCK_S,
        }
        _write(out, json.dumps(found).encode() + b"\n")
        _write(out, converter.converted(blocks_first).tobytes())
        while True:
            _write(out, converter.converted(blocks.get(timeout=_SILENT_FOR_S)).tobytes())


def _write(out: BinaryIO, data: bytes) -> None:
    out.write(data)
    out.flush()


def main() -> None:
    """Listen until the device or the reader is gone."""
    out = sys.stdout.buffer
    name = sys.argv[1] if len(sys.argv) > 1 else None
    try:
        listen(input_device(name), out)
    except HearingError as error:
        _write(out, json.dumps({"failed": str(error)}).encode() + b"\n")
    except OSError:
        pass  # nobody reads any more
    # Closing the stream of a device that is gone may hang in its driver, and PortAudio does it at a process's
    # ordinary end too; whoever reads would then wait for sound that cannot come.
    os._exit(0)


if __name__ == "__main__":
    main()
