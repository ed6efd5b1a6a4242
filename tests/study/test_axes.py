"""Twenty values that stand for all futures."""

import math

import numpy as np
import pytest

from storagecalc.study.axes import twenty


def test_of_forty_every_second_from_the_least():
    """By hand: one in forty is the first of forty, three in forty the third."""
    shuffled = np.random.default_rng(1).permutation(40)
    assert twenty(shuffled) == [float(number) for number in range(0, 40, 2)]


@pytest.mark.parametrize("count", [1, 7, 20, 33, 2_000])
def test_always_values_that_are_there_and_rising(count):
    values = np.random.default_rng(2).normal(size=count)
    found = twenty(values)
    assert len(found) == 20
    assert set(found) <= set(values.tolist())
    assert found == sorted(found)


def test_never_stays_never():
    """Three of four futures fill: fifteen dots of twenty, and five beyond the horizon."""
    found = twenty([math.inf, 30, 10, 20])
    assert found == 5 * [10] + 5 * [20] + 5 * [30] + 5 * [math.inf]
