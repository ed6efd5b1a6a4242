"""A word on the terminal about work that takes longer than a second, and none anywhere else."""

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress

AT_ONCE_S = 1.0


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


def _tell(words: str, done: threading.Event) -> None:
    began_s, line = time.monotonic(), ""
    with suppress(OSError):
        while not done.wait(AT_ONCE_S):
            line = f"{words}: {time.monotonic() - began_s:.0f} s"
            sys.stderr.write(f"\r{line}")
            sys.stderr.flush()
        sys.stderr.write(f"\r{' ' * len(line)}\r" if line else "")
        sys.stderr.flush()
