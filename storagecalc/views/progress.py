"""A word about work that takes longer than a second: on a terminal, or below a notebook cell."""

import os
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any, TypeVar

from storagecalc.views.page.passage import REPORT_VARIABLE

AT_ONCE_S = 1.0
Thing = TypeVar("Thing")


@contextmanager
def working(words: str) -> Iterator[None]:
    """Tell what is being worked on, and for how long; wiped out when it is done.

    Only where faults are told on a terminal: a pipe or a file gets nothing.

    Parameters
    ----------
    words
        What is being done: "Drawing 2,000 futures".
    """
    out = sys.stderr
    if out is None or not out.isatty():
        yield
        return
    done = threading.Event()
    told = threading.Thread(target=_tell, args=(words, done), daemon=True)
    told.start()
    try:
        yield
    finally:
        done.set()
        told.join()


def counted(things: Sequence[Thing], words: str) -> Iterator[Thing]:
    """Go through things and tell, below a live notebook's cell, how many of them are done.

    Parameters
    ----------
    things
        One after the other.
    words
        What they are: "positions of the sliders".
    """
    began_s, place = time.monotonic(), None
    for number, thing in enumerate(things):
        if time.monotonic() - began_s > AT_ONCE_S and _is_live():
            place = _put(place, f"{number} of {len(things)} {words}")
        yield thing
    if place is not None:
        _put(place, "")


def _is_live() -> bool:
    """Whether somebody watches a notebook; a report is run where nobody does."""
    if "IPython" not in sys.modules or os.environ.get(REPORT_VARIABLE):
        return False
    from IPython import get_ipython

    return hasattr(get_ipython(), "kernel")


def _put(place: Any, text: str) -> Any:
    from IPython.display import display

    shown = {"text/plain": text}
    if place is None:
        return display(shown, raw=True, display_id=True)  # type: ignore[no-untyped-call]
    place.update(shown, raw=True)
    return place


def _tell(words: str, done: threading.Event) -> None:
    began_s, line = time.monotonic(), ""
    with suppress(OSError):
        while not done.wait(AT_ONCE_S):
            line = f"{words}: {time.monotonic() - began_s:.0f} s"
            sys.stderr.write(f"\r{line}")
            sys.stderr.flush()
        sys.stderr.write(f"\r{' ' * len(line)}\r" if line else "")
        sys.stderr.flush()
