"""An answer is found once for each evaluation, and an error each time."""

import gc
import weakref

import pytest

from storagecalc.study.decision.kept import kept
from storagecalc.study.evaluate import evaluate


def test_found_once_for_each_evaluation(demo):
    asked = []
    first, second = evaluate(demo, draws=0), evaluate(demo, draws=0)

    @kept
    def order_of_asking(evaluation):
        asked.append(evaluation)
        return len(asked)

    assert [order_of_asking(each) for each in (first, second, first, second)] == [1, 2, 1, 2]
    assert asked == [first, second]


def test_an_error_is_raised_each_time(demo):
    evaluation = evaluate(demo, draws=0)

    @kept
    def refused(_):
        raise ValueError("no")

    for _ in range(2):
        with pytest.raises(ValueError, match="no"):
            refused(evaluation)


def test_an_evaluation_is_not_held_by_what_is_kept(demo):
    evaluation = evaluate(demo, draws=0)

    @kept
    def drawn(found):
        return found.draws

    drawn(evaluation)
    held = weakref.ref(evaluation)
    del evaluation
    gc.collect()
    assert held() is None
    assert drawn.__name__ == "drawn"
