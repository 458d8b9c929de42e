"""
Where an open microphone takes speech to begin and end.

    python -m benchmarks.speech_detection [--people FOLDER]

Utterances of voices never tuned on stand in two seconds of noise, each with a pause of a person's length put
in at its quietest inner moment. Silero's network is compared with a plain detector by level, both with the
same rules for beginnings and ends (`speech_detector`).

- missed: nothing of the utterance was taken for speech;
- cut: the utterance was taken to be over inside its pause;
- false: speech was taken to begin where there was none;
- end: from the last sound of the utterance until it is taken to be over, s (median and 95 % point).

People's recordings are those of a folder that `hearing_people` describes.
"""

import argparse
import itertools
from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt

from assistant.adapters.speech_in.audio import RATE_HZ, Samples, read_audio
from assistant.adapters.speech_in.recordings import recordings
from assistant.adapters.speech_in.speech_detector import Begun, Over, SpeechDetector, SpeechShare, silero
from benchmarks.hearing_people import people
from benchmarks.sounds import BEFORE_S, cockpit_noise, in_noise, no_speech

FOLDER = Path(__file__).resolve().parent.parent / "audio_fixtures"
PAUSES_S = (0.3, 0.4, 0.5)
NOISES_DB = (None, 15.0, 5.0)
_QUIET_S = 1.4
_AFTER_S = 1.5
_BLOCK = RATE_HZ // 50


def by_level() -> SpeechShare:
    """A detector by level: 9 dB above the quietest tenth of the last four seconds."""
    powers: deque[float] = deque(maxlen=125)

    def share(frame: Samples) -> float:
        power = float(np.mean(np.square(frame, dtype=np.float64)))
        powers.append(power)
        return 1.0 if power > 8.0 * float(np.quantile(list(powers), 0.1)) else 0.0

    return share


def _powers(sound: Samples) -> npt.NDArray[np.float64]:
    blocks = sound[: len(sound) // _BLOCK * _BLOCK].reshape(-1, _BLOCK)
    powers: npt.NDArray[np.float64] = np.square(blocks, dtype=np.float64).mean(axis=1)
    return powers


def trimmed(sound: Samples) -> Samples:
    """The recording from its first to its last loud block (within 30 dB of the loudest)."""
    power = _powers(sound)
    loud = np.flatnonzero(power > power.max() * 1e-3)
    return sound[loud[0] * _BLOCK : (loud[-1] + 1) * _BLOCK]


def with_pause(sound: Samples, pause_s: float) -> tuple[Samples, int]:
    """The utterance with a silence put in at the quietest moment of its middle half, and where."""
    power = _powers(sound)
    first = len(power) // 4
    at = (first + int(np.argmin(power[first : 3 * len(power) // 4]))) * _BLOCK
    silence = np.zeros(round(pause_s * RATE_HZ), dtype=np.float32)
    return np.concatenate([sound[:at], silence, sound[at:]]), at


def spans(share: SpeechShare, sound: Samples) -> list[tuple[int, int, int]]:
    """What is taken for speech: from, to, and when that was known, in samples."""
    detector, found, at = SpeechDetector(share), [], 0
    begun: int | None = None
    for start in range(0, len(sound), _BLOCK):
        block = sound[start : start + _BLOCK]
        at += len(block)
        for change in detector.take(block, is_muted=False):
            match change:
                case Begun(first=first):
                    begun = first
                case Over(first=first, last=last):
                    found.append((first, last, at))
                    begun = None
                case _:
                    pass
    return found if begun is None else [*found, (begun, at, at)]


def scenes(
    sounds: list[Samples], noise_db: float | None
) -> Iterator[tuple[Samples, int, int, int, int, float]]:
    """Each utterance in noise: the sound, where it begins, pauses from and to, ends; the pause in seconds."""
    for number, (sound, pause_s) in enumerate(zip(sounds, itertools.cycle(PAUSES_S), strict=False)):
        paused, at = with_pause(trimmed(sound), pause_s)
        quiet, after = (np.zeros(round(each * RATE_HZ), dtype=np.float32) for each in (_QUIET_S, _AFTER_S))
        scene = in_noise(np.concatenate([quiet, paused, after]), noise_db, number)
        begin = round((BEFORE_S + _QUIET_S) * RATE_HZ)
        pause = begin + at
        yield scene, begin, pause, pause + round(pause_s * RATE_HZ), begin + len(paused), pause_s


def row(name: str, made: Callable[[], SpeechShare], sounds: list[Samples], noise_db: float | None) -> None:
    """Measure one detector in one noise, and print."""
    missed = false = 0
    cut = dict.fromkeys(PAUSES_S, 0)
    of = dict.fromkeys(PAUSES_S, 0)
    late_s = []
    for scene, begin, pause, resumed, end, pause_s in scenes(sounds, noise_db):
        found = spans(made(), scene)
        ours = [each for each in found if each[0] < end and each[1] > begin]
        false += len(found) - len(ours)
        of[pause_s] += 1
        if not ours:
            missed += 1
            continue
        cut[pause_s] += any(pause - _BLOCK * 5 < last <= resumed for _, last, _ in ours[:-1])
        late_s.append((ours[-1][2] - end) / RATE_HZ)
    cuts = "  ".join(f"{cut[each]}/{of[each]}" for each in PAUSES_S)
    noise = "clean" if noise_db is None else f"{noise_db:.0f} dB"
    ends = f"{np.median(late_s):.2f} {np.quantile(late_s, 0.95):.2f}" if late_s else "-"
    print(f"{name:<16}{noise:>6}{len(sounds):>6}{missed:>8}{false:>7}   {cuts:<24}{ends}", flush=True)


def nothing(name: str, made: Callable[[], SpeechShare]) -> None:
    """How often noise, coughs, clicks, breath, music and tones are taken for speech."""
    noise = cockpit_noise(300 * RATE_HZ, 3) * np.float32(0.05)
    hits = 0
    for seed in range(60):
        sound = np.concatenate([np.zeros(RATE_HZ, dtype=np.float32), no_speech(seed)])
        hits += bool(spans(made(), sound + cockpit_noise(len(sound), seed) * np.float32(0.002)))
    begun = len(spans(made(), noise))
    print(f"{name:<16}{begun} beginnings in 300 s of cockpit noise; in {hits} of 60 other sounds")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Where speech is taken to begin and end.")
    parser.add_argument("--people", type=Path, help="a folder of people's recordings with a manifest.csv")
    parser.add_argument("--sample", type=int, default=90)
    arguments = parser.parse_args()
    held_out = [each for each in recordings(FOLDER) if each.set == "held out" and each.kind != "negative"]
    chosen = np.random.default_rng(7).permutation(len(held_out))[: arguments.sample]
    sets = {"fixtures": [read_audio(FOLDER / held_out[index].file) for index in chosen]}
    if arguments.people:
        spoken = people(arguments.people, {"numbers", "digits_joined"}, arguments.sample)
        sets["people"] = [sound for _, sound in spoken]
    detectors: dict[str, Callable[[], SpeechShare]] = {"network": silero, "level": by_level}
    pauses = "  ".join(f"{each:.1f} s" for each in PAUSES_S)
    print(f"{'':<16}{'noise':>6}{'n':>6}{'missed':>8}{'false':>7}   cut at {pauses:<17}end, s")
    for kind, sounds in sets.items():
        for noise_db in NOISES_DB:
            for name, made in detectors.items():
                row(f"{kind} {name}", made, sounds, noise_db)
    for name, made in detectors.items():
        nothing(name, made)


if __name__ == "__main__":
    main()
