"""What benchmarks of hearing share: names that may be said, levels of noise, a line of the table."""

from collections import Counter

import numpy as np

from assistant.engine.events import EngineInput, NotUnderstood
from assistant.language.grammar import Names

NAMES = Names(fixes=("TARNO", "BELIM"), frequencies=("Skarrow Tower", "tower"))
LEVELS: dict[str, float | None] = {"clean": None, "15": 15.0, "5": 5.0}
"""Signal to noise, dB; None is a faint hiss."""


def interval(count: int, total: int) -> str:
    """A share in percent with Wilson's 95 % interval."""
    if not total:
        return "-"
    z, share = 1.96, count / total
    centre = (share + z * z / (2 * total)) / (1 + z * z / total)
    half = z * ((share * (1 - share) + z * z / (4 * total)) / total) ** 0.5 / (1 + z * z / total)
    return f"{100 * share:.1f} ({100 * max(centre - half, 0):.0f}-{100 * min(centre + half, 1):.0f})"


def is_meant(events: tuple[EngineInput, ...]) -> bool:
    """Whether it would have been taken for something."""
    return bool(events) and not any(isinstance(event, NotUnderstood) for event in events)


def row(name: str, noise: float | None, counts: Counter[str], times: list[float]) -> None:
    """Print one line of the table: right, refused and asked back together, wrong; and how long it took."""
    refused = counts["refused"] + counts["asked back"]
    total = counts["right"] + counts["wrong"] + refused
    level = "clean" if noise is None else f"{noise:g} dB"
    speed = (
        f" p50 {1e3 * np.quantile(times, 0.5):.0f} p95 {1e3 * np.quantile(times, 0.95):.0f} ms"
        if times
        else ""
    )
    print(
        f"{name:42} {level:6} n={total:4d}  right {interval(counts['right'], total):16} "
        f"refused {interval(refused, total):16} wrong {interval(counts['wrong'], total):16}"
        f" ({counts['asked back']} asked back){speed}",
        flush=True,
    )
