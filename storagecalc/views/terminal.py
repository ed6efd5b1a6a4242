"""What goes to a terminal: every text passes here, so that none can move the cursor or lie."""

import os
import sys
from contextlib import suppress

from storagecalc.views.files import reason_words


class OutputError(RuntimeError):
    """What was to be printed could not be; the message says why."""


def as_shown(text: str, encoding: str = "utf-8") -> str:
    """A text of which every character shows as itself, and any other as its number.

    The numbers are written as JSON writes them, so JSON passes and says what it said before. Line
    ends stay.

    Parameters
    ----------
    text
        Anything: names from a file, file names, messages of others that quote them.
    encoding
        What the terminal takes; a character it does not know is written as its number too.

    Examples
    --------
    >>> print(as_shown("plan\\u202e\\x1b[2J"))
    plan\\u202e\\u001b[2J
    """
    hidden = [char for char in set(text) if not _shows(char, encoding)]
    return text.translate({ord(char): _number(char) for char in hidden})


def tell(text: str, end: str = "\n") -> None:
    """Print a text.

    Raises
    ------
    BrokenPipeError
        Where whoever reads has read enough.
    OutputError
        Where it cannot be printed.
    """
    out = sys.stdout
    if out is None:
        raise OutputError("Nothing was done: standard output is closed. Send it to a file instead.")
    try:
        out.write(as_shown(text + end, out.encoding or "utf-8"))
        out.flush()
    except BrokenPipeError:
        _silence_output()
        raise
    except OSError as reason:
        _silence_output()
        words = f"What was to be printed could not be written: {reason_words(reason)}."
        raise OutputError(words) from None


def complain(text: str) -> None:
    """Print a text where faults are told, if anyone can still be told."""
    out = sys.stderr
    if out is not None:
        with suppress(OSError):
            out.write(as_shown(text + "\n", out.encoding or "utf-8"))
            out.flush()


def _silence_output() -> None:
    """What is left in the output must not fail again when Python ends."""
    with suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _shows(char: str, encoding: str) -> bool:
    if not (char.isprintable() or char == "\n"):
        return False
    try:
        char.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def _number(char: str) -> str:
    """A character as JSON writes it: one number, or two where it lies beyond the first plane."""
    pair = char.encode("utf-16-be", "surrogatepass").hex()
    return "".join(f"\\u{pair[place : place + 4]}" for place in range(0, len(pair), 4))
