"""What follows from an evaluation is worked out once for it, however often a page asks."""

from collections.abc import Callable
from functools import wraps
from typing import TypeVar
from weakref import WeakKeyDictionary

from storagecalc.study.evaluate import Evaluation

Found = TypeVar("Found")


def kept(find: Callable[[Evaluation], Found]) -> Callable[[Evaluation], Found]:
    """The same function, with its answer kept as long as the evaluation itself lives.

    An error is not kept: the next call raises it anew.
    """
    known: WeakKeyDictionary[Evaluation, Found] = WeakKeyDictionary()

    @wraps(find)
    def known_or_found(evaluation: Evaluation) -> Found:
        if evaluation not in known:
            known[evaluation] = find(evaluation)
        return known[evaluation]

    return known_or_found
