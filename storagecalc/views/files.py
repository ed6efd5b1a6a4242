"""Writing files so that a name never stands for half of one, and never for someone else's."""

import itertools
import os
import re
from collections.abc import Iterator
from pathlib import Path

# A number that counts versions of a file; a longer one at the end is a year, or says something.
COUNTED = re.compile(r"(.+)-(\d{1,2})")


class FileError(RuntimeError):
    """A file that was not written, because something stands in its way; the message says what."""


class NameInUseError(FileError):
    """A file that was not written because something has its name already."""


def write_whole(path: Path, text: str) -> None:
    """Write a text file so that its name only ever stands for a whole one.

    Parameters
    ----------
    path
        The file; replaced where it exists.
    text
        All of its content, written as UTF-8 with the line ends it has.
    """
    unfinished = unfinished_name(path)
    try:
        unfinished.write_text(text, encoding="utf-8", newline="")
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)


def unfinished_name(path: Path) -> Path:
    """Where a file lies while it is being written."""
    return path.with_name(f".{path.name}.{os.getpid()}.part")


def write_new(path: Path, text: str) -> None:
    """Write a text file where there is none yet, whoever else may be about to.

    Parameters
    ----------
    path
        The file; nothing may have its name, and its folder must exist.
    text
        All of its content.

    Raises
    ------
    NameInUseError
        Where something has its name.
    FileError
        Where it is a folder, lies in a folder that does not exist, or cannot be written.
    """
    try:
        if path.is_dir():
            raise FileError("is a folder; name the file to write in it")
        if not path.parent.is_dir():
            raise FileError("lies in a folder that does not exist; make the folder first")
        # Whoever makes the name has it: of two who want it at the same time one is refused. A link
        # that leads nowhere is a name in use as well.
        path.open("x").close()
        try:
            write_whole(path, text)
        except BaseException:
            path.unlink(missing_ok=True)
            raise
    except FileExistsError:
        raise NameInUseError("exists and is left as it is; choose another name") from None
    except OSError as reason:
        raise FileError(f"cannot be written: {reason.strerror}") from None
    except ValueError:
        raise FileError("has a name that no file can have") from None


def unused_name(path: Path) -> Path:
    """The first name beside a file, with a number, that nothing has yet."""
    return next(name for name in numbered_names(path) if not os.path.lexists(name))


def numbered_names(path: Path) -> Iterator[Path]:
    """Names beside a file: its own with a number that counts on.

    Parameters
    ----------
    path
        The file; ``plan.toml`` gives ``plan-2.toml`` and then ``plan-3.toml``.
    """
    counted = COUNTED.fullmatch(path.stem)
    stem, first = (counted[1], int(counted[2]) + 1) if counted else (path.stem, 2)
    return (path.with_name(f"{stem}-{number}{path.suffix}") for number in itertools.count(first))
