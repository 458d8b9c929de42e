"""
A loudspeaker and a microphone that are programs: what is said can be recorded, what is heard can be played.

PulseAudio with null sinks, private to one test, with no hardware, D-Bus or display. `norewinds` matters: a
null sink without it buffers two seconds.
"""

import asyncio
import contextlib
import os
import shutil
import subprocess
import tempfile
import threading
import time
from pathlib import Path

import numpy as np

RATE_HZ = 48_000
NEEDED = ("pulseaudio", "pactl", "parec", "paplay")


def _real_time():
    command = (shutil.which("chrt") or "", "--rr", "1")
    is_allowed = command[0] and subprocess.run([*command, "true"], capture_output=True, check=False)
    return command if is_allowed and is_allowed.returncode == 0 else ()


FIRST = _real_time()
"""
Before a command whose moments are measured: what else the machine does must not delay it. Niceness would not
do, since Linux weighs that inside a session alone. Empty where nobody may (not root).
"""


def is_possible():
    """Whether this machine has the programs."""
    return all(shutil.which(program) for program in NEEDED)


def _program(name):
    return shutil.which(name) or name


async def paplay(wav):
    """Play a file into the microphone, to its end, in the environment of this process."""
    player = await asyncio.create_subprocess_exec(_program("paplay"), "--device=micfeed", str(wav))
    assert await player.wait() == 0


class VirtualSound:
    """A private sound server; `environment` is what a program needs to use it."""

    def __init__(self):
        self._folder = Path(tempfile.mkdtemp(prefix="leadradial-sound-"))
        server = f"unix:{self._folder}/pulse.sock"
        private = {"XDG_RUNTIME_DIR": str(self._folder), "PULSE_SERVER": server}
        dropped = ("DBUS_SESSION_BUS_ADDRESS", "DISPLAY", "PULSE_LATENCY_MSEC")
        kept = {name: value for name, value in os.environ.items() if name not in dropped}
        self.environment = kept | private
        self.begin()

    def begin(self):
        """The sound is there, or there again after `kill`."""
        self._server = subprocess.Popen(
            [
                *FIRST,
                *("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no"),
                *("--disable-shm=yes", f"--log-target=file:{self._folder}/pulse.log"),
                *("-L", f"module-native-protocol-unix auth-anonymous=1 socket={self._folder}/pulse.sock"),
                *("-L", "module-null-sink sink_name=spk norewinds=1 rate=48000 channels=2"),
                *("-L", "module-null-sink sink_name=micfeed norewinds=1 rate=48000 channels=1"),
                *("-L", "module-remap-source source_name=mic master=micfeed.monitor"),
            ],
            env=self.environment | {"HOME": str(self._folder)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        deadline_s = time.monotonic() + 20.0
        while self._control("info") != 0:
            if time.monotonic() > deadline_s or self._server.poll() is not None:
                self.close()
                raise RuntimeError("the virtual sound server did not start")
            time.sleep(0.05)
        self._control("set-default-sink", "spk")
        self._control("set-default-source", "mic")

    def _control(self, *command):
        return subprocess.run(
            [_program("pactl"), *command], env=self.environment, capture_output=True, check=False
        ).returncode

    def hear(self, wav):
        """Play a file into the microphone, to its end."""
        subprocess.run([_program("paplay"), "--device=micfeed", str(wav)], env=self.environment, check=True)

    def kill(self):
        """The sound goes away, as when a headset is unplugged."""
        self._server.kill()
        self._server.wait()

    def close(self):
        self.kill()
        shutil.rmtree(self._folder, ignore_errors=True)


class Recording:
    """
    What the loudspeaker gives, from now on, each sample at its moment on the system's monotonic clock.

    device: "micfeed" records what the microphone is given instead.
    """

    def __init__(self, environment=None, device="spk"):
        self._recorder = subprocess.Popen(
            [
                *("parec", f"--device={device}.monitor", "--raw", "--format=s16le"),
                *(f"--rate={RATE_HZ}", "--channels=1", "--latency-msec=5"),
            ],
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        self._blocks = []
        self._begun = threading.Event()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        if not self._begun.wait(10.0):
            raise RuntimeError("nothing comes from the virtual loudspeaker")

    def _read(self):
        odd = b""
        while data := self._recorder.stdout.read1(65_536):
            arrived_s = time.monotonic()
            data = odd + data
            whole = len(data) // 2 * 2
            odd = data[whole:]
            self._blocks.append((arrived_s, np.frombuffer(data[:whole], "<i2")))
            self._begun.set()

    def stop(self):
        """
        The samples, from -1 to 1, and the moment of the first of them.

        A block arrives when it is full or later, never before its sound: the earliest line that no block
        precedes tells when each sample was.
        """
        self._recorder.terminate()
        self._recorder.wait()
        self._reader.join()
        with contextlib.suppress(OSError):
            self._recorder.stdout.close()
        ends = np.cumsum([len(samples) for _, samples in self._blocks])
        began_s = min(
            arrived_s - end / RATE_HZ for (arrived_s, _), end in zip(self._blocks, ends, strict=True)
        )
        samples = np.concatenate([samples for _, samples in self._blocks]) / 32_768.0
        return samples.astype(np.float32), began_s


def tone_spans(samples, frequency_hz, *, window_s=0.005, share=0.25):
    """When a tone sounds: (begin, end) in s from the first sample, from its energy in short windows."""
    window = int(window_s * RATE_HZ)
    count = len(samples) // window
    blocks = samples[: count * window].reshape(count, window)
    turning = np.exp(-2j * np.pi * frequency_hz * np.arange(window) / RATE_HZ)
    level = np.abs(blocks @ turning) / window
    return _spans(level > share * max(float(level.max()), 1e-4), window_s)


def loud_spans(samples, *, window_s=0.02, gap_s=0.5, threshold=0.004):
    """When anything sounds, pauses up to `gap_s` included: (begin, end) in s."""
    window = int(window_s * RATE_HZ)
    count = len(samples) // window
    level = np.sqrt(np.mean(samples[: count * window].reshape(count, window) ** 2, axis=1))
    joined = []
    for begin_s, end_s in _spans(level > threshold, window_s):
        if joined and begin_s - joined[-1][1] < gap_s:
            joined[-1] = (joined[-1][0], end_s)
        else:
            joined.append((begin_s, end_s))
    return joined


def _spans(is_on, window_s):
    edges = np.flatnonzero(np.diff(np.concatenate([[0], is_on.astype(int), [0]])))
    return [(begin * window_s, end * window_s) for begin, end in edges.reshape(-1, 2)]
