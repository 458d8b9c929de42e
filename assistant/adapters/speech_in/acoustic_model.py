"""
The average sounds of pocketsphinx's English model, as its files give them, and speech in the same terms.

The model has for each of its sounds 128 bells (Gaussians) in each of three streams: cepstra, their slopes and
the slopes' slopes, 13 numbers each. Files are in Sphinx-3's form: a text header, a mark for the byte order,
counts, 32-bit floats.
"""

import struct
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.speech_in.audio import Samples, pcm16
from assistant.adapters.speech_in.errors import HearingError

Numbers = NDArray[np.float64]

STREAMS = 3
CEPSTRA = 13

_HEADER_END = b"endhdr\n"
_HEADER = b"s3\nversion 1.0\n" + _HEADER_END
_BYTE_ORDER = 0x11223344
# The decoder takes smaller variances for this one, too (its setting varfloor).
_LEAST_VARIANCE = 1e-4
_FIRST_SOUND = b"+NSN+\0"


@dataclass(frozen=True, slots=True, kw_only=True)
class AcousticModel:
    """
    What each sound is like: `means` and `variances` are [sound, stream, bell, cepstrum].

    `sounds` has the sounds' names in that order.
    """

    sounds: tuple[str, ...]
    means: Numbers
    variances: Numbers


def acoustic_model(folder: Path) -> AcousticModel:
    """Read the model in a folder; HearingError where it is none."""
    try:
        means = _bells((folder / "means").read_bytes())
        variances = np.maximum(_bells((folder / "variances").read_bytes()), _LEAST_VARIANCE)
        definition = (folder / "mdef").read_bytes()
        names = definition[definition.index(_FIRST_SOUND) :].split(b"\0")[: len(means)]
    except (OSError, ValueError, struct.error):
        raise HearingError(f"{folder}: not the acoustic model that pocketsphinx brings.") from None
    return AcousticModel(sounds=tuple(map(bytes.decode, names)), means=means, variances=variances)


def _bells(data: bytes) -> Numbers:
    at = data.index(_HEADER_END) + len(_HEADER_END)
    mark, sounds, streams, bells = struct.unpack_from("<4i", data, at)
    lengths = struct.unpack_from(f"<{STREAMS}i", data, at + 16)
    if (mark, streams, lengths) != (_BYTE_ORDER, STREAMS, (CEPSTRA,) * STREAMS):
        raise ValueError
    # A check sum follows the numbers.
    count = sounds * streams * bells * CEPSTRA
    return (
        np.frombuffer(data, "<f4", count=count, offset=at + 16 + 4 * STREAMS + 4)
        .reshape(sounds, STREAMS, bells, CEPSTRA)
        .astype(np.float64)
    )


def bells_file(numbers: Numbers) -> bytes:
    """Means or variances [sound, stream, bell, cepstrum] as a file that the decoder reads."""
    sounds, streams, bells, length = numbers.shape
    counts = struct.pack("<4i", _BYTE_ORDER, sounds, streams, bells) + struct.pack(
        "<3i", *(length,) * STREAMS
    )
    return _HEADER + counts + struct.pack("<i", numbers.size) + numbers.astype("<f4").tobytes()


def features(sounds: Iterable[Samples], settings: dict[str, Any]) -> list[Numbers]:
    """
    Utterances as the decoder sees them: of each [stream, frame, cepstrum], ten milliseconds a frame.

    The cepstra are the decoder's own, which it writes down when told to; the rest is its feature type
    "1s_c_d_dd": the mean of the utterance taken off, slopes over four frames, and over two of those.
    """
    import pocketsphinx  # noqa: PLC0415  # an extra, loaded when it is wanted

    file = resources.files("assistant.adapters.speech_in") / "feat.params"
    with tempfile.TemporaryDirectory() as folder, resources.as_file(file) as path:
        decoder = pocketsphinx.Decoder(lm=None, featparams=str(path), **settings, mfclogdir=folder)
        decoder.add_fsg("any", decoder.create_fsg("any", 0, 1, [(0, 1, 1.0, "one")]))
        decoder.activate_search("any")
        for sound in sounds:
            decoder.start_utt()
            decoder.process_raw(pcm16(sound), no_search=False, full_utt=True)
            decoder.end_utt()
        # It numbers its files, and the last is complete only when it is gone.
        del decoder
        written = [path.read_bytes() for path in sorted(Path(folder).glob("*.mfc"))]
    found = []
    for data in written:
        cepstra = np.frombuffer(data, ">f4", offset=4).reshape(-1, CEPSTRA).astype(np.float64)
        found.append(with_slopes(cepstra - cepstra[cepstra[:, 0] >= 0.0].mean(axis=0)))
    return found


def with_slopes(cepstra: Numbers) -> Numbers:
    """Cepstra [frame, cepstrum] as the three streams; the first and last frames stand on beyond the ends."""
    padded = np.concatenate([np.repeat(cepstra[:1], 3, 0), cepstra, np.repeat(cepstra[-1:], 3, 0)])
    at = np.arange(3, 3 + len(cepstra))
    slopes = padded[at + 2] - padded[at - 2]
    bends = (padded[at + 3] - padded[at - 1]) - (padded[at + 1] - padded[at - 3])
    return np.stack([cepstra, slopes, bends])
