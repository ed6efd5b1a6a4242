"""Files are whole, stay as private as they were, and follow no link that somebody has laid."""

import errno
import os
import shutil
from pathlib import Path
from types import SimpleNamespace

import pytest

from storagecalc.views import files
from storagecalc.views.files import (
    LEFT_AFTER_S,
    FileError,
    NameInUseError,
    try_to_write,
    write_new,
    write_whole,
)


def refusing(number):
    def refuse(*_arguments, **_options):
        raise OSError(number, os.strerror(number))

    return refuse


def names(folder):
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_who_may_read_a_file_stays_as_it_was(tmp_path, mode):
    path = tmp_path / "plan.html"
    path.write_text("old", encoding="utf-8")
    path.chmod(mode)
    write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "new"
    assert path.stat().st_mode & 0o7777 == mode


def test_while_it_is_written_nobody_else_may_read_it_either(tmp_path, monkeypatch):
    path, seen = tmp_path / "plan.html", []
    path.touch(0o600)
    monkeypatch.setattr(os, "fsync", lambda number: seen.append(os.fstat(number).st_mode & 0o777))
    write_whole(path, "new")
    assert seen == [0o600]


def test_a_new_file_is_as_private_as_the_system_makes_files(tmp_path):
    before = os.umask(0o027)
    try:
        write_whole(tmp_path / "plan.html", "new")
    finally:
        os.umask(before)
    assert (tmp_path / "plan.html").stat().st_mode & 0o777 == 0o640


def test_it_is_on_the_disk_before_it_has_its_name(tmp_path, monkeypatch):
    done, path = [], tmp_path / "plan.html"
    monkeypatch.setattr(os, "fsync", lambda _number: done.append(path.exists()))
    write_whole(path, "new")
    assert done == [False]


def test_a_link_laid_where_the_unfinished_file_goes_is_not_followed(tmp_path, monkeypatch):
    prey = tmp_path / "prey"
    prey.write_text("mine", encoding="utf-8")
    monkeypatch.setattr(files.secrets, "token_hex", lambda _count: "guessed")
    (tmp_path / ".storagecalc-guessed.part").symlink_to(prey)
    with pytest.raises(FileError, match="cannot be written"):
        write_whole(tmp_path / "plan.html", "new")
    with pytest.raises(FileError, match="cannot be written"):
        try_to_write(tmp_path / "plan.html", room_bytes=1)
    assert prey.read_text(encoding="utf-8") == "mine"
    assert names(tmp_path) == [".storagecalc-guessed.part", "prey"]


def test_a_link_with_the_file_s_own_name_is_replaced_not_followed(tmp_path):
    prey, path = tmp_path / "prey", tmp_path / "plan.html"
    prey.write_text("mine", encoding="utf-8")
    path.symlink_to(prey)
    write_whole(path, "new")
    assert (prey.read_text(encoding="utf-8"), path.read_text(encoding="utf-8")) == ("mine", "new")
    assert not path.is_symlink()


def test_what_a_run_that_was_killed_left_goes_with_the_next(tmp_path):
    old, young, link, other = (
        tmp_path / name
        for name in (".storagecalc-1.part", ".storagecalc-2.part", ".storagecalc-3.part", "a.part")
    )
    prey = tmp_path / "prey"
    for path in (old, young, other, prey):
        path.write_text("half", encoding="utf-8")
    link.symlink_to(prey)
    long_ago = old.stat().st_mtime - LEFT_AFTER_S - 1
    for path in (old, other, prey):
        os.utime(path, (long_ago, long_ago))
    write_whole(tmp_path / "plan.html", "new")
    assert names(tmp_path) == [young.name, link.name, "a.part", "plan.html", "prey"]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EDQUOT, "your share of the disk is full"),
        (errno.EACCES, "you may not write there"),
        (errno.EROFS, "can only be read"),
        (errno.EIO, "the disk reports a fault"),
        (errno.EXDEV, os.strerror(errno.EXDEV)),
    ],
)
@pytest.mark.parametrize("step", ["open", "fsync", "replace"])
def test_a_fault_of_the_disk_is_told_and_leaves_nothing(tmp_path, monkeypatch, number, words, step):
    path = tmp_path / "plan.html"
    path.write_text("old", encoding="utf-8")
    monkeypatch.setattr(Path if step == "replace" else os, step, refusing(number))
    with pytest.raises(FileError, match=f"cannot be written: .*{words}"):
        write_whole(path, "new")
    monkeypatch.undo()
    assert names(tmp_path) == ["plan.html"]
    assert path.read_text(encoding="utf-8") == "old"


def test_a_new_file_that_meets_a_full_disk_leaves_no_name(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "fsync", refusing(errno.ENOSPC))
    with pytest.raises(FileError, match="the disk is full"):
        write_new(tmp_path / "plan.toml", "new")
    assert names(tmp_path) == []


@pytest.mark.parametrize("name", ["x" * 300, "there/plan.toml", "folder", "gone/plan.toml"])
def test_names_that_cannot_be(tmp_path, name):
    (tmp_path / "there").touch()
    (tmp_path / "folder").mkdir()
    reasons = {
        "x": "the name is too long",
        "t": "a part of its path is a file",
        "f": "is a folder",
        "g": "lies in a folder that does not exist",
    }
    with pytest.raises(FileError, match=reasons[name[0]]):
        write_new(tmp_path / name, "new")


def test_a_name_in_use_is_left_alone(tmp_path):
    (tmp_path / "plan.toml").touch()
    with pytest.raises(NameInUseError):
        write_new(tmp_path / "plan.toml", "new")


def test_trying_leaves_nothing_and_changes_nothing(tmp_path):
    path = tmp_path / "plan.html"
    try_to_write(path, room_bytes=1)
    assert names(tmp_path) == []
    path.write_text("old", encoding="utf-8")
    try_to_write(path, room_bytes=1)
    assert names(tmp_path) == ["plan.html"]
    assert path.read_text(encoding="utf-8") == "old"


def test_trying_finds_a_disk_that_is_too_full_and_a_file_that_is_protected(tmp_path, monkeypatch):
    path = tmp_path / "plan.html"
    path.touch()
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: SimpleNamespace(free=9))
    with pytest.raises(FileError, match="the disk is full"):
        try_to_write(path, room_bytes=10)
    try_to_write(path, room_bytes=9)
    monkeypatch.setattr(os, "access", lambda *_arguments: False)
    with pytest.raises(FileError, match="write-protected"):
        try_to_write(path, room_bytes=9)
