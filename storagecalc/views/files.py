"""Writing files so that a name never stands for half of one, and never for someone else's."""

import errno
import itertools
import os
import re
import secrets
import shutil
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

# A number that counts versions of a file; a longer one at the end is a year, or says something.
COUNTED = re.compile(r"(.+)-(\d{1,2})")
UNFINISHED = ".storagecalc-{}.part"
LEFT_AFTER_S = 60
"""Seconds after which an unfinished file is taken to be left from a run that was cut short."""

REASONS = {
    errno.EACCES: "you may not write there",
    errno.EPERM: "you may not write there",
    errno.EROFS: "what it lies on can only be read",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ENOTDIR: "a part of its path is a file, not a folder",
    errno.EEXIST: "a part of its path is a file, not a folder",
    errno.ENOENT: "its folder does not exist",
    errno.ELOOP: "its path is a link that leads back to itself",
    errno.EIO: "the disk reports a fault",
}


class FileError(RuntimeError):
    """A file that was not written, because something stands in its way; the message says what."""


class NameInUseError(FileError):
    """A file that was not written because something has its name already."""


def reason_words(reason: OSError) -> str:
    """Why a file cannot be had, in plain words where we have them."""
    return REASONS.get(reason.errno or 0, str(reason.strerror or reason))


def write_whole(path: Path, text: str) -> None:
    """Write a text file so that its name only ever stands for a whole one.

    Parameters
    ----------
    path
        The file; replaced where it exists, and then who may read and write it stays as it was.
    text
        All of its content, written as UTF-8 with the line ends it has.

    Raises
    ------
    FileError
        Where it cannot be written.
    """
    try:
        unfinished = _written_beside(path, text.encode())
        try:
            unfinished.replace(path)
        finally:
            unfinished.unlink(missing_ok=True)
    except OSError as reason:
        raise FileError(f"cannot be written: {reason_words(reason)}") from None
    except UnicodeEncodeError:
        raise FileError("cannot be written: its text holds half a character") from None


def try_to_write(path: Path, *, room_bytes: int) -> None:
    """Find out whether a file could be written, before the work that fills it; leaves nothing.

    Parameters
    ----------
    path
        The file; what it holds already stays as it is.
    room_bytes
        How large it may become.

    Raises
    ------
    FileError
        Where it could not be written; the message says why.
    """
    try:
        if _mode(path) is not None and not os.access(path, os.W_OK):
            raise FileError("cannot be written: it is write-protected")
        if shutil.disk_usage(path.parent).free < room_bytes:
            raise OSError(errno.ENOSPC, "")
        _written_beside(path, b"").unlink()
    except OSError as reason:
        raise FileError(f"cannot be written: {reason_words(reason)}") from None


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
        if os.path.isdir(path):
            raise FileError("is a folder; name the file to write in it")
        # Whoever makes the name has it: of two who want it at the same time one is refused. A link
        # that leads nowhere is a name in use as well.
        path.open("x").close()
    except FileExistsError:
        raise NameInUseError("exists and is left as it is; choose another name") from None
    except FileNotFoundError:
        raise FileError("lies in a folder that does not exist; make the folder first") from None
    except OSError as reason:
        raise FileError(f"cannot be written: {reason_words(reason)}") from None
    except ValueError:
        raise FileError("has a name that no file can have") from None
    try:
        write_whole(path, text)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


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


def _written_beside(path: Path, content: bytes) -> Path:
    """An unfinished file in the same folder, safely on the disk; whoever asks for it moves it."""
    mode = _mode(path)
    unfinished = path.with_name(UNFINISHED.format(secrets.token_hex(8)))
    # Nobody can guess the name, and a link that has it all the same is refused, not followed.
    how = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    number = os.open(unfinished, how, 0o666 if mode is None else mode)
    try:
        with open(number, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if mode is not None:
            _own_like(unfinished, path)
            unfinished.chmod(mode)
        _remove_left(unfinished)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    return unfinished


def _mode(path: Path) -> int | None:
    """Who may do what with a file, as one number; None where there is no file or a link."""
    try:
        found = path.lstat().st_mode
    except FileNotFoundError:
        return None
    return stat.S_IMODE(found) if stat.S_ISREG(found) else None


def _own_like(unfinished: Path, path: Path) -> None:
    """Give a file the owner and group of the one it replaces, as far as we may."""
    was = path.lstat()
    if hasattr(os, "chown"):
        with suppress(OSError):
            os.chown(unfinished, was.st_uid, was.st_gid)


def _remove_left(unfinished: Path) -> None:
    """Remove what runs that were cut short left in the folder: the disk's own clock tells."""
    now_s = unfinished.stat().st_mtime
    for left in unfinished.parent.glob(UNFINISHED.format("*")):
        with suppress(OSError):
            was = left.lstat()
            if stat.S_ISREG(was.st_mode) and now_s - was.st_mtime > LEFT_AFTER_S:
                left.unlink()
