"""What tests of hearing share: recordings by kind, and names."""

import json
from functools import cache

from driver import ROOT

from assistant.language.grammar import Names

FOLDER = ROOT / "audio_fixtures"
NAMES = Names(fixes=("TARNO", "BELIM"), frequencies=("Skarrow Tower", "tower"))


@cache
def manifest():
    return tuple(map(json.loads, (FOLDER / "manifest.jsonl").read_text(encoding="utf-8").splitlines()))


def recordings(voice, kinds=None):
    return [
        entry
        for entry in manifest()
        if entry["voice"] == voice and (entry["kind"] in kinds if kinds else entry["kind"] != "negative")
    ]
