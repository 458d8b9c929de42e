"""
Learns where the acoustic model's means lie for other kinds of sound: `python -m tools.fit_kinds_of_sound`.

From development recordings of audio_fixtures alone, whose words are known; the result is package data
(`speech_in/kinds_of_sound.npz`). Two ways:

- narrow: each recording as it is, and without what lies above 4 kHz. What a bell's share of the frames of one
  becomes in the other is by how far its mean shifts (single pass retraining); one affine map of all shifts in
  each stream, so that it holds for voices that were not in it.
- formant: eSpeak's development accents, clean and in noise at 10 dB; each bell's mean moves towards its share
  of the frames, by as much as there is of it, from where one affine map for all has put it.
"""

import argparse
import json
import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pocketsphinx
from scipy.signal import resample_poly

from assistant.adapters.speech_in.acoustic_model import (
    CEPSTRA,
    STREAMS,
    AcousticModel,
    Numbers,
    acoustic_model,
    features,
)
from assistant.adapters.speech_in.audio import Samples, read_audio
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.kinds_of_sound import SHIFTS, Kind, fingerprint, quantised
from assistant.adapters.speech_in.pocketsphinx_recogniser import SETTINGS, PocketsphinxRecogniser
from assistant.adapters.speech_in.voice_fitting import Timed, shares
from benchmarks.sounds import BEFORE_S, in_noise

ROOT = Path(__file__).resolve().parent.parent
FIXTURES = ROOT / "audio_fixtures"
NARROW_VOICES = ("flite-awb", "flite-kal16", "flite-rms", "flite-slt", "espeak-gb", "espeak-us", "piper-joe")
FORMANT_VOICES = ("espeak-gb", "espeak-us", "espeak-scotland")
_EACH = 24
"""Recordings of a voice for the narrow kind; of the formant kind all."""
_NOISE_DB = 10.0
_HOLD = 0.02
_FRAMES_FOR_ITS_OWN = 20.0
"""So many frames of a bell weigh as much as the map of all."""
_SHIFT = 160
_SILENCE = "SIL"


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """An utterance cleaned, with the sounds that were said in it."""

    sound: Samples
    original: Samples
    number: int
    sounds: tuple[Timed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """Of each bell [sound, stream, bell]: its frames, and the sums of the features before and after."""

    frames: Numbers
    before: Numbers
    after: Numbers


def followed(recogniser: PocketsphinxRecogniser, voices: Iterable[str], each: int) -> Iterator[Followed]:
    """Development recordings with known words, as clean as they are."""
    entries = [json.loads(line) for line in (FIXTURES / "manifest.jsonl").read_text("utf-8").splitlines()]
    for voice in voices:
        theirs = [
            entry
            for entry in entries
            if (entry["voice"], entry["set"]) == (voice, "development") and entry["kind"] != "negative"
        ]
        chosen = random.Random(9).sample(theirs, min(each, len(theirs)))  # noqa: S311  # no secret
        for number, entry in enumerate(chosen):
            original = read_audio(FIXTURES / entry["file"])
            sound = cleaned(in_noise(original, None, number), BEFORE_S).sound
            sounds = recogniser.sounds_of(entry["words"], sound)
            if sounds:
                yield Followed(sound=sound, original=original, number=number, sounds=sounds)


def altered(clean: Followed, sound: Samples) -> tuple[Samples, int]:
    """The same utterance, altered, cut to the clean one's frames; and where among these it begins."""
    size = 1 << (len(clean.sound) + len(sound)).bit_length()
    product = np.fft.rfft(clean.sound, size) * np.conj(np.fft.rfft(sound, size))
    lag = int(np.argmax(np.fft.irfft(product, size)))
    lag -= size if lag > size // 2 else 0
    skipped = -lag % _SHIFT
    return sound[skipped:], (lag + skipped) // _SHIFT


def summed(model: AcousticModel, utterances: Iterable[tuple[Followed, Numbers, Numbers, int]]) -> Sums:
    """Sums over utterances, given as features before and after, the latter from so many frames on."""
    number = {sound: at for at, sound in enumerate(model.sounds)}
    frames = np.zeros(model.means.shape[:3])
    before, after = np.zeros(model.means.shape), np.zeros(model.means.shape)
    for clean, one, other, offset in utterances:
        first, last = max(0, offset), min(one.shape[1], offset + other.shape[1])
        spoken = np.full(one.shape[1], number[_SILENCE])
        for timed in clean.sounds:
            spoken[timed.first : timed.last + 1] = number[timed.sound]
        one, other = one[:, first:last], other[:, first - offset : last - offset]  # noqa: PLW2901  # cut alike
        for sound in np.unique(spoken[first:last]):
            at = np.flatnonzero(spoken[first:last] == sound)
            for stream in range(STREAMS):
                share = shares(one[stream, at], model.means[sound, stream], model.variances[sound, stream])
                frames[sound, stream] += share.sum(axis=0)
                before[sound, stream] += share.T @ one[stream, at]
                after[sound, stream] += share.T @ other[stream, at]
    return Sums(frames=frames, before=before, after=after)


def by_one_map(model: AcousticModel, frames: Numbers, towards: Numbers) -> Numbers:
    """Means moved by the affine map, one a stream, that brings them nearest to where they should be."""
    moved = np.empty_like(model.means)
    for stream in range(STREAMS):
        mean, variance, wanted = (
            each[:, stream].reshape(-1, CEPSTRA) for each in (model.means, model.variances, towards)
        )
        extended = np.concatenate([np.ones((len(mean), 1)), mean], axis=1)
        weight = frames[:, stream].reshape(-1, 1) / variance
        for row in range(CEPSTRA):
            weighted = extended * weight[:, row : row + 1]
            squares, products = weighted.T @ extended, weighted.T @ wanted[:, row]
            own = np.eye(CEPSTRA + 1)[row + 1]
            hold = _HOLD * squares[0, 0]
            solved = np.linalg.solve(squares + hold * np.eye(CEPSTRA + 1), products + hold * own)
            moved[:, stream, :, row] = (extended @ solved).reshape(moved.shape[0], -1)
    return moved


def narrow(sound: Samples) -> Samples:
    """A sound without what lies above 4 kHz."""
    halved: Samples = resample_poly(resample_poly(sound, 1, 2), 2, 1).astype(np.float32)[: len(sound)]
    return halved


def narrow_means(model: AcousticModel, recogniser: PocketsphinxRecogniser) -> Numbers:
    """The means of speech that ends at 4 kHz."""
    clean = list(followed(recogniser, NARROW_VOICES, _EACH))
    others = [
        altered(each, cleaned(in_noise(narrow(each.original), None, each.number), BEFORE_S).sound)
        for each in clean
    ]
    one = features((each.sound for each in clean), SETTINGS)
    other = features((sound for sound, _ in others), SETTINGS)
    offsets = [offset for _, offset in others]
    sums = summed(model, zip(clean, one, other, offsets, strict=True))
    shifts = (sums.after - sums.before) / np.maximum(sums.frames, 1e-9)[..., None]
    return by_one_map(model, sums.frames, model.means + shifts)


def formant_means(model: AcousticModel, recogniser: PocketsphinxRecogniser) -> Numbers:
    """The means of eSpeak's voices."""
    clean = list(followed(recogniser, FORMANT_VOICES, 1000))
    noisy = [
        altered(each, cleaned(in_noise(each.original, _NOISE_DB, each.number), BEFORE_S).sound)
        for each in clean
    ]
    as_is = features((each.sound for each in clean), SETTINGS)
    in_it = features((sound for sound, _ in noisy), SETTINGS)
    every = [(each, one, one, 0) for each, one in zip(clean, as_is, strict=True)]
    for each, one, (_, offset) in zip(clean, in_it, noisy, strict=True):
        # Its frames are told from silence by the clean one's sounds, as far as both go.
        moved = tuple(
            Timed(
                sound=timed.sound,
                first=max(timed.first - offset, 0),
                last=min(timed.last - offset, one.shape[1] - 1),
            )
            for timed in each.sounds
        )
        shifted = Followed(sound=each.sound, original=each.original, number=each.number, sounds=moved)
        every.append((shifted, one, one, 0))
    sums = summed(model, every)
    heard = sums.after / np.maximum(sums.frames, 1e-9)[..., None]
    mapped = by_one_map(model, sums.frames, heard)
    own = (sums.frames / (sums.frames + _FRAMES_FOR_ITS_OWN))[..., None]
    return own * heard + (1.0 - own) * mapped


def main() -> None:
    """Fit and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=ROOT / "assistant/adapters/speech_in" / SHIFTS)
    wanted = parser.parse_args()
    folder = Path(pocketsphinx.get_model_path(), "en-us", "en-us")
    model, recogniser = acoustic_model(folder), PocketsphinxRecogniser()
    found = {Kind.NARROW: narrow_means(model, recogniser), Kind.FORMANT: formant_means(model, recogniser)}
    content: dict[str, np.ndarray] = {"model": np.array(fingerprint(folder), dtype=np.int64)}
    for kind, means in found.items():
        content[f"{kind}_shifts"], content[f"{kind}_steps"] = quantised(means - model.means)
    np.savez_compressed(wanted.out, **content)  # type: ignore[arg-type]  # its stub takes one of them for a flag
    print(f"{wanted.out}: {wanted.out.stat().st_size} bytes")


if __name__ == "__main__":
    main()
