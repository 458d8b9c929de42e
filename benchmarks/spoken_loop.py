"""
The recogniser in the closed loop: every report of a flight spoken by a voice in noise, and heard by it.

    python -m benchmarks.closed_loop --spoken N [--first SEED] [--procedure NAME] [--snr DB]

The pilot's words are rendered by synthetic voices that hearing was not tuned on (Festival; by the flight's
seed), mixed with cockpit noise at a ratio of active speech to noise, and go through the same listener as a
microphone's, held to what the dialogue expects at that moment. What is refused is asked for again, and the
pilot says it again. Right is what means the same as the words that were spoken; wrong is what was accepted
and means something else.
"""

import re
import subprocess
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.listener import Listener, meaning
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser
from assistant.conversation import Conversation
from assistant.dialogue import Dialogue
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.language.numbers import spoken_altitude, spoken_digits
from assistant.language.transcript import Transcript
from assistant.procedure.model import Procedure
from assistant.simulation.case import crew_of, draw
from assistant.simulation.flight import fly
from assistant.simulation.measures import Measures, measure
from benchmarks.hearing_table import interval
from benchmarks.sounds import BEFORE_S, in_noise

VOICES = ("cmu_us_slt_arctic_hts", "kal_diphone", "ked_diphone")
_LETTERS = re.compile(r"\b(dme|qnh|qfe)\b", re.IGNORECASE)


def in_words(text: str) -> str:
    """A typed report as it is spoken, in lower case: "R042 12.1 DME 4800" with its numbers in words."""
    spelled = re.sub(r"\bFL(?=[0-9])", "flight level ", text)

    def say(found: re.Match[str]) -> str:
        written, before = found.group(), spelled[: found.start()].rstrip().lower()
        if "." in written or len(written) <= 2 or before.endswith(("radial", "heading", "level")):
            return spoken_digits(written)
        # Digits right behind a range's would run into them: "four decimal six one five two zero".
        runs_on = re.search(r"\d$", before) and int(written) % 100
        return f"{'passing ' if runs_on else ''}{spoken_altitude(float(written))}"

    return re.sub(r"[0-9]+(?:\.[0-9]+)?", say, spelled).lower()


def rendered(words: str, voice: str) -> Samples:
    """The words in a Festival voice; letters that a voice would read as a word are spelled."""
    spelled = _LETTERS.sub(lambda found: " ".join(found.group().upper()), words)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        command = ["text2wave", "-eval", f"(voice_{voice})", "-o", str(path)]
        subprocess.run(command, input=spelled, text=True, check=True, capture_output=True)  # noqa: S603  # fixed
        return read_audio(path)


def ears(
    conversation: Conversation, listener: Listener, voice: str, snr_db: float, seed: int, heard: Counter[str]
) -> Callable[[str, float, float], Transcript]:
    """What arrives of what the pilot says, through the air and the recogniser; counted in `heard`."""
    names = conversation.dialogue.names

    def hear(text: str, started_s: float, ended_s: float) -> Transcript:
        words = in_words(text)
        listener.expect(conversation.dialogue.expectation(started_s))
        noisy = in_noise(rendered(words, voice), snr_db, seed * 1000 + heard.total())
        made_out = listener.understand(noisy, BEFORE_S).text
        is_right = meaning(made_out, names) == meaning(words, names)
        heard["right" if is_right else "wrong" if made_out else "refused"] += 1
        return Transcript(text=made_out, started_t_s=started_s, ended_t_s=ended_s)

    return hear


def fly_spoken(procedure: Procedure, seed: int, snr_db: float) -> tuple[Measures, Counter[str]]:
    """One flight whose every report is spoken and heard."""
    case = draw(procedure, Conditions(), seed, wind_is_random=True, any_category=True)
    # Slips of the pilot's own would hide those of the ear.
    case = replace(case, habits=replace(case.habits, misreads=0.0, mishears=0.0))
    plan = compile_plan(procedure, case.conditions)
    crew = crew_of(plan, case)
    conversation = Conversation(Dialogue(plan))
    listener = Listener(PocketsphinxRecogniser(), conversation.dialogue.names)
    heard: Counter[str] = Counter()
    voice = VOICES[seed % len(VOICES)]
    flown = fly(
        conversation,
        crew.aircraft,
        crew.pilot,
        crew.first_fix,
        ears=ears(conversation, listener, voice, snr_db, seed, heard),
    )
    wind = case.wind[0]
    return measure(flown, seed=seed, wind=(wind.wind_from_mag_deg, wind.wind_kt)), heard


def spoken(procedure: Procedure, seeds: range, snr_db: float) -> None:
    """Fly and print a line a flight, then the whole."""
    whole: Counter[str] = Counter()
    for seed in seeds:
        one, heard = fly_spoken(procedure, seed, snr_db)
        whole += heard
        print(
            f"{seed} {VOICES[seed % len(VOICES)]} {one.category} {one.ended}: {heard['right']} right,"
            f" {heard['refused']} refused, {heard['wrong']} wrong; {one.challenges} challenged;"
            f" lateral {_shown(one.lateral_share)}, least above the floor {_shown(one.floor_margin_ft)} ft,"
            f" arc {_shown(one.arc_nm)} NM, above the fix {_shown(one.above_faf_ft)} ft,"
            f" callouts below the floor {one.below_floor}",
            flush=True,
        )
    total = whole.total()
    for name in ("right", "refused", "wrong"):
        print(f"{name}: {interval(whole[name], total)} % of {total} at {snr_db:g} dB")


def _shown(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}" if abs(value) < 10.0 else f"{value:.0f}"
