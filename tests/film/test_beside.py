"""The temporary beside a target: whose it is, what it takes the place of, and what is left."""

from __future__ import annotations

import contextlib
import errno
import os
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from animatic.errors import MachineError, UsageError
from animatic.film.beside import beside


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A folder with a film."""
    (tmp_path / "film.mp4").write_bytes(b"the old film")
    return tmp_path


def test_a_temporary_in_use_is_left_alone(old: Path) -> None:
    gone = [f".film.mp4.{os.getpid()}.part", ".film.mp4.17-0a1b2c3d.part"]
    kept = [".film.mp4.x.part", ".film.mp4.1-.part", ".other.mp4.1.part"]
    with beside(old / "film.mp4") as first:
        for name in (*gone, *kept):
            (old / name).write_bytes(b"not in use")
        with beside(old / "film.mp4") as second:
            assert first != second
            assert first.exists()
            assert not any((old / name).exists() for name in gone)
            assert all((old / name).exists() for name in kept)
            second.write_bytes(b"second")
        first.write_bytes(b"first")
    assert (old / "film.mp4").read_bytes() == b"first"


@pytest.mark.parametrize("folder", [False, True])
def test_a_temporary_that_another_run_removes_before_it_is_marked(
    folder: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before it is opened to be marked, and between that and the mark."""
    fcntl = pytest.importorskip("fcntl")
    removed = []
    real_open, real_flock = os.open, fcntl.flock

    def remove(before: str) -> None:
        if len(removed) < 2 and before not in removed:
            removed.append(before)
            for left in tmp_path.glob(".made.*.part"):
                left.rmdir() if folder else left.unlink()

    def opened(path, flags, *more):
        if flags == os.O_RDONLY:
            remove("open")
        return real_open(path, flags, *more)

    def locked(handle, how):
        remove("lock")
        return real_flock(handle, how)

    monkeypatch.setattr(os, "open", opened)
    monkeypatch.setattr(fcntl, "flock", locked)
    with beside(tmp_path / "made", folder=folder) as temporary:
        (temporary / "one" if folder else temporary).write_bytes(b"new")
    assert sorted(removed) == ["lock", "open"]
    made = tmp_path / "made"
    assert [one.name for one in tmp_path.iterdir()] == ["made"]
    assert (made / "one" if folder else made).read_bytes() == b"new"


@pytest.mark.parametrize("folder", [False, True])
def test_a_temporary_that_another_run_is_removing_is_not_used(
    folder: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fcntl = pytest.importorskip("fcntl")
    real_flock, refused = fcntl.flock, []

    def locked(handle, how):
        if not refused:
            refused.append([one.name for one in tmp_path.iterdir()])
            raise BlockingIOError(errno.EWOULDBLOCK, "in use")
        return real_flock(handle, how)

    monkeypatch.setattr(fcntl, "flock", locked)
    with beside(tmp_path / "made", folder=folder) as temporary:
        assert [temporary.name] != refused[0]


def test_a_disk_that_knows_no_locks(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fcntl = pytest.importorskip("fcntl")

    def refuse(handle, how):
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", refuse)
    other = old / ".film.mp4.1.part"
    other.write_bytes(b"perhaps in use")
    with beside(old / "film.mp4") as temporary:
        temporary.write_bytes(b"new")
    assert (old / "film.mp4").read_bytes() == b"new"
    assert other.exists()


def test_two_threads_have_a_temporary_each(old: Path) -> None:
    meet = threading.Barrier(2, timeout=20)

    def write(data: bytes) -> Path:
        with beside(old / "film.mp4") as temporary:
            meet.wait()
            temporary.write_bytes(data)
            meet.wait()
            assert temporary.read_bytes() == data
            meet.wait()
        return temporary

    with ThreadPoolExecutor(2) as pool:
        first, second = pool.map(write, (b"one", b"two"))
    assert first != second
    assert (old / "film.mp4").read_bytes() in (b"one", b"two")
    assert [one.name for one in old.iterdir()] == ["film.mp4"]


def test_links_and_modes_stay(tmp_path: Path) -> None:
    real = tmp_path / "films" / "real.mp4"
    real.parent.mkdir()
    real.write_bytes(b"old")
    real.chmod(0o640)
    link = tmp_path / "film.mp4"
    link.symlink_to(real)
    with beside(link) as temporary:
        assert temporary.parent == real.parent
        temporary.write_bytes(b"new")
    assert link.is_symlink()
    assert (real.read_bytes(), real.stat().st_mode & 0o777) == (b"new", 0o640)


def test_a_folder_in_the_way(tmp_path: Path) -> None:
    with pytest.raises(MachineError) as caught, beside(tmp_path):
        pass
    assert str(caught.value) == (
        f"{tmp_path}: could not be written: Is a directory; a folder of that name is in the way:"
        " move it, or choose another name; what stood there before is unchanged"
    )


def test_folders_are_whole_or_not_too(tmp_path: Path) -> None:
    folder = tmp_path / "images"
    left = tmp_path / ".images.1.part"
    left.mkdir()
    (left / "000000.png").write_bytes(b"of a run that is gone")
    for fault in (KeyboardInterrupt, None):
        folder.mkdir()
        with contextlib.suppress(KeyboardInterrupt), beside(folder, folder=True) as temporary:
            (temporary / "000000.png").write_bytes(b"new")
            if fault:
                raise fault
        assert [one.name for one in tmp_path.iterdir()] == ["images"]
        assert len(list(folder.iterdir())) == (0 if fault else 1)
        if fault:
            folder.rmdir()
    with pytest.raises(UsageError) as caught, beside(folder, folder=True):
        pass
    assert str(caught.value) == f"{folder}: is not empty; name a new folder, or empty this one"
    assert (folder / "000000.png").read_bytes() == b"new"
