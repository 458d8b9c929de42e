"""What a rig flew on a virtual loudspeaker of its own: its facts, and the recording."""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
from driver import ROOT
from virtual_sound import VirtualSound

_PLACES = (ROOT, ROOT / "tests", ROOT / "tests" / "audio")


def flown_by(rig, folder, *arguments, before=(), timeout_s):
    """Run `rig BEFORE… FOLDER/flown.npz ARGUMENTS…` as a program of its own."""
    written = folder / "flown.npz"
    command = [sys.executable, Path(__file__).with_name(rig), *before, written, *arguments]
    sound = VirtualSound()
    try:
        subprocess.run(
            [str(part) for part in command],
            env=sound.environment | {"PYTHONPATH": os.pathsep.join(map(str, _PLACES))},
            check=True,
            timeout=timeout_s,
            capture_output=True,
        )
    finally:
        sound.close()
    with np.load(written) as loaded:
        return json.loads(str(loaded["facts"])), loaded["samples"]
