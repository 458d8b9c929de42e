"""The benchmark's ratio of errors, ours to the plain recogniser's, of the same utterances."""

import math

import numpy as np
import pytest

from benchmarks.hearing_against import ratio


def test_of_four_errors_and_ten_the_ratio_is_two_fifths():
    ours = [True] * 4 + [False] * 56
    theirs = [True] * 10 + [False] * 50
    found = ratio(ours, theirs)

    assert (found.ours, found.theirs) == (4, 10)
    assert found.value == pytest.approx(0.4)
    assert 0.0 < found.lowest < 0.4 < found.highest < 1.0


def test_without_any_error_nothing_is_known_of_the_ratio():
    found = ratio([False] * 20, [False] * 20)

    assert math.isnan(found.value)
    assert (found.lowest, found.highest) == (0.0, math.inf)


def test_errors_of_ours_alone_leave_no_upper_bound():
    found = ratio([True, True, False], [False, False, False])

    assert found.lowest > 0.0
    assert found.highest == math.inf


def test_few_errors_leave_a_wide_interval():
    few = ratio([True] + [False] * 59, [True] * 3 + [False] * 57)
    many = ratio([True] * 20 + [False] * 1180, [True] * 60 + [False] * 1140)

    assert few.value == pytest.approx(many.value)
    assert few.highest - few.lowest > 3.0 * (many.highest - many.lowest)


@pytest.mark.parametrize(("our_share", "their_share", "both"), [(0.1, 0.3, 0.06), (0.05, 0.15, 0.04)])
def test_the_interval_covers_the_truth_about_nineteen_times_in_twenty(our_share, their_share, both):
    """Of 2000 draws of 120 pairs of known shares; 0.93 is four standard errors below 0.95."""
    chance = np.random.default_rng(8)
    shares = [both, our_share - both, their_share - both, 1.0 - our_share - their_share + both]
    covered = 0
    for _ in range(2000):
        drawn = chance.choice(4, 120, p=shares)
        found = ratio(list(drawn <= 1), list((drawn == 0) | (drawn == 2)))
        covered += found.lowest <= our_share / their_share <= found.highest

    assert covered / 2000 > 0.93
