"""
How many errors the whole layer makes against the plain recogniser, utterance by utterance, with an interval.

An error is a meaning that was taken and is not what was said. The plain recogniser takes whatever it
decodes; what means nothing is counted with the refusals, as ours are. The ratio of errors is shown by itself,
and with the refusals of both counted as errors too.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

RIGHT, WRONG = "right", "wrong"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio:
    """Ours over theirs, with a 95 % interval; from 0 to infinity, and NaN, where nothing is known."""

    ours: int
    theirs: int
    lowest: float
    highest: float

    @property
    def value(self) -> float:
        """Ours over theirs."""
        return self.ours / self.theirs if self.theirs else math.nan


def ratio(ours: Sequence[bool], theirs: Sequence[bool], z: float = 1.96) -> Ratio:
    """
    How many fewer ours are, of the same utterances, each true where there was an error.

    The interval is the hybrid of two Wilson intervals for a ratio of paired shares: D. G. Bonett and R. M.
    Price, "Confidence intervals for a ratio of binomial proportions based on paired data", Statistics in
    Medicine 25 (2006). The formula is from memory; a test draws pairs and sees that it covers the truth.
    """
    pairs = list(zip(ours, theirs, strict=True))
    one, other = sum(a for a, _ in pairs), sum(b for _, b in pairs)
    either = sum(a or b for a, b in pairs)
    differing = sum(a != b for a, b in pairs)
    if not either:
        return Ratio(ours=0, theirs=0, lowest=0.0, highest=math.inf)
    together = math.sqrt((differing + 2) / ((one + 1) * (other + 1)))
    apart = [math.sqrt((1 - (count + 1) / (either + 2)) / (count + 1)) for count in (one, other)]
    narrower = z * together / sum(apart)
    (our_low, our_high), (their_low, their_high) = (
        _wilson(count, either, narrower) for count in (one, other)
    )
    return Ratio(
        ours=one,
        theirs=other,
        lowest=our_low / their_high,
        highest=our_high / their_low if their_low > 0.0 else math.inf,
    )


def _wilson(count: int, total: int, z: float) -> tuple[float, float]:
    share, square = count / total, z * z
    centre = (share + square / (2 * total)) / (1 + square / total)
    half = z * math.sqrt((share * (1 - share) + square / (4 * total)) / total) / (1 + square / total)
    # A count of none or all gives nought or one to within a rounding.
    return max(centre - half, 0.0) if count else 0.0, min(centre + half, 1.0)


def against(name: str, noise: float | None, ours: Sequence[str], theirs: Sequence[str]) -> None:
    """Print the ratios of two rows of verdicts about the same utterances."""
    level = "clean" if noise is None else f"{noise:g} dB"
    kinds: dict[str, Callable[[str], bool]] = {
        "errors": lambda verdict: verdict == WRONG,
        "errors and refusals": lambda verdict: verdict != RIGHT,
    }
    for kind, is_one in kinds.items():
        found = ratio([is_one(each) for each in ours], [is_one(each) for each in theirs])
        print(
            f"{name + ', ' + kind:60} {level:6} n={len(ours):4d}  ours {found.ours}, plain {found.theirs}: "
            f"{found.value:.2f} ({found.lowest:.2f}-{found.highest:.2f})",
            flush=True,
        )
