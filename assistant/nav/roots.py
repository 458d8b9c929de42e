"""Where a function of one number is zero, found the slow and certain way: a scan, then halving."""

from collections.abc import Callable, Iterator


def sign_changes(
    function: Callable[[float], float | None], start_deg: float, stop_deg: float, step_deg: float
) -> Iterator[float]:
    """
    Zeros of a continuous function between two angles, in order from the start, to a millionth of a degree.

    Two zeros within one step are missed, so the step must be finer than the function's bends; None
    (undefined) counts as a gap. Halving is used since it cannot leave the bracket, and costs little at these
    sizes.
    """
    count = max(1, round((stop_deg - start_deg) / step_deg))
    left_deg, left = start_deg, function(start_deg)
    for index in range(1, count + 1):
        right_deg = start_deg + (stop_deg - start_deg) * index / count
        right = function(right_deg)
        if left is not None and right is not None and (left == 0.0 or left * right < 0.0):
            yield _halve(function, left_deg, left, right_deg)
        left_deg, left = right_deg, right
    if left == 0.0:
        yield left_deg


def _halve(function: Callable[[float], float | None], low_deg: float, low: float, high_deg: float) -> float:
    while abs(high_deg - low_deg) > 1e-6:
        middle_deg = (low_deg + high_deg) / 2.0
        middle = function(middle_deg)
        if middle is None or middle * low <= 0.0:
            high_deg = middle_deg
        else:
            low_deg = middle_deg
    return (low_deg + high_deg) / 2.0
