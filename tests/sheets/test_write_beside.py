"""Small files are written whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from animatic import files
from animatic.errors import MachineError
from animatic.files import write_beside


def test_text_is_utf_8_and_its_line_ends_stay(tmp_path: Path) -> None:
    write_beside(tmp_path / "a.csv", "Ёлки\r\nа\n")
    assert (tmp_path / "a.csv").read_bytes() == "Ёлки\r\nа\n".encode()
    write_beside(str(tmp_path / "a.csv"), b"\x00\xff")
    assert (tmp_path / "a.csv").read_bytes() == b"\x00\xff"
    assert os.listdir(tmp_path) == ["a.csv"]


def test_a_new_file_has_the_usual_mode_and_an_old_one_keeps_its_own(tmp_path: Path) -> None:
    old = os.umask(0o027)
    try:
        write_beside(tmp_path / "a", "1")
        assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o640
        (tmp_path / "a").chmod(0o606)
        write_beside(tmp_path / "a", "2")
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o606
    assert (tmp_path / "a").read_text() == "2"


def test_a_link_goes_on_pointing_to_its_file(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "a").write_text("old")
    (tmp_path / "a").symlink_to("there/a")
    write_beside(tmp_path / "a", "new")
    assert (tmp_path / "a").is_symlink()
    assert (tmp_path / "there" / "a").read_text() == "new"
    assert os.listdir(tmp_path / "there") == ["a"]


def refuse(error: type[BaseException] | int) -> object:
    def fails(*args: object) -> None:
        if isinstance(error, int):
            raise OSError(error, os.strerror(error))
        raise error

    return fails


RIGHT = "allow writing there, close the file in other programs, or choose another folder"


@pytest.mark.parametrize("call", ["fsync", "replace"])
@pytest.mark.parametrize(
    ("number", "words"),
    [
        (
            errno.ENOSPC,
            "No space left on device (7 MB are free); free some space on that disk, or choose"
            " another folder",
        ),
        (
            errno.EDQUOT,
            "Disk quota exceeded; free some of your share of that disk, or choose another folder",
        ),
        (errno.EROFS, "Read-only file system; that disk can only be read: choose another folder"),
        (errno.EACCES, f"Permission denied; {RIGHT}"),
        (errno.EPERM, f"Operation not permitted; {RIGHT}"),
        (errno.EIO, "Input/output error; mend that, or choose another folder"),
    ],
)
def test_what_the_machine_refuses(
    call: str, number: int, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "shots.csv"
    target.write_text("old")
    monkeypatch.setattr(files.os, call, refuse(number))  # type: ignore[attr-defined]
    room = SimpleNamespace(free=7_000_000)
    monkeypatch.setattr(files.shutil, "disk_usage", lambda folder: room)  # type: ignore[attr-defined]
    with pytest.raises(MachineError) as caught:
        write_beside(target, "new")
    assert str(caught.value) == f"{target}: could not be written: {words}"
    assert caught.value.exit_code == 3
    assert target.read_text() == "old"
    assert os.listdir(tmp_path) == ["shots.csv"]


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    target = tmp_path / "no" / "shots.csv"
    with pytest.raises(MachineError) as caught:
        write_beside(target, "new")
    assert str(caught.value) == (
        f"{target}: could not be written: No such file or directory;"
        " make the folder first, or choose another one"
    )


def test_a_file_where_a_folder_is_needed(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    target = tmp_path / "out" / "shots.csv"
    with pytest.raises(MachineError) as caught:
        write_beside(target, "new")
    assert str(caught.value) == (
        f"{target}: could not be written: Not a directory;"
        " a file stands where a folder is needed: choose another folder"
    )


def test_a_folder_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "shots.csv").mkdir()
    with pytest.raises(MachineError) as caught:
        write_beside(tmp_path / "shots.csv", "new")
    assert str(caught.value) == (
        f"{tmp_path / 'shots.csv'}: could not be written: Is a directory;"
        " a folder of that name is in the way: move it, or choose another name"
    )
    assert os.listdir(tmp_path) == ["shots.csv"]


def test_a_name_that_is_too_long(tmp_path: Path) -> None:
    target = tmp_path / ("a" * 256)
    with pytest.raises(MachineError) as caught:
        write_beside(target, "new")
    assert str(caught.value) == (
        f"{target}: could not be written: File name too long; choose a shorter name"
    )
    # The longest name that the disk takes is no trouble for the temporary one.
    write_beside(tmp_path / ("a" * 255), "new")
    assert os.listdir(tmp_path) == ["a" * 255]


def test_a_file_that_has_the_temporary_name_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files.secrets, "token_hex", lambda size: "0" * size)  # type: ignore[attr-defined]
    other = tmp_path / ".animatic-000000.part"
    other.write_text("not ours")
    target = tmp_path / "a"
    with pytest.raises(MachineError) as caught:
        write_beside(target, "new")
    assert str(caught.value) == (
        f"{target}: could not be written: File exists; mend that, or choose another folder"
    )
    assert other.read_text() == "not ours"
    assert os.listdir(tmp_path) == [other.name]


def test_an_interruption_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_text("old")
    monkeypatch.setattr(files.os, "fsync", refuse(KeyboardInterrupt))  # type: ignore[attr-defined]
    with pytest.raises(KeyboardInterrupt):
        write_beside(tmp_path / "a", "new")
    assert (tmp_path / "a").read_text() == "old"
    assert os.listdir(tmp_path) == ["a"]


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_killed_at_any_moment_the_old_file_is_whole(call: str, tmp_path: Path) -> None:
    target = tmp_path / "a"
    target.write_text("old")
    script = (
        f"import os, signal\nfrom animatic.files import write_beside\n"
        f"os.{call} = lambda *args: os.kill(os.getpid(), signal.SIGKILL)\n"
        f"write_beside({str(target)!r}, 'new' * 100_000)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], check=False)
    assert done.returncode == -9
    assert target.read_text() == "old"
