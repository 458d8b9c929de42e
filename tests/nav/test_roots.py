"""The root finder: in order, none invented, none lost at the ends."""

from math import sin

import pytest

from assistant.nav.roots import sign_changes


def test_zeros_come_in_order() -> None:
    assert list(sign_changes(sin, 1.0, 10.0, 0.5)) == pytest.approx([3.141593, 6.283185, 9.424778], abs=1e-5)


def test_a_zero_at_either_end_counts_once() -> None:
    assert list(sign_changes(lambda x: x, 0.0, 5.0, 1.0)) == pytest.approx([0.0], abs=1e-5)
    assert list(sign_changes(lambda x: x - 5.0, 0.0, 5.0, 1.0)) == pytest.approx([5.0], abs=1e-5)


def test_undefined_stretches_are_gaps() -> None:
    assert list(sign_changes(lambda x: None if x < 2.0 else x - 3.0, 0.0, 5.0, 0.5)) == pytest.approx(
        [3.0], abs=1e-5
    )
    assert list(sign_changes(lambda _x: None, 0.0, 5.0, 1.0)) == []
