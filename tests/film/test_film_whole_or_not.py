"""A film is written whole or not at all: faults, full disks and kills leave the old one."""

from __future__ import annotations

import errno
import os
import re
import signal
import subprocess
import sys
import textwrap
import threading
import time
from pathlib import Path

import numpy as np
import pytest
from film_stand_ins import Drawn, Flat, Noise, blocks, board, flat, silence

from animatic.errors import InternalError, MachineError
from animatic.film import write_film
from animatic.film.beside import CouldNotWrite, beside
from animatic.film.mux import mux
from animatic.film.readback import check_index

HERE = Path(__file__).parent


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A folder with a film that must not change."""
    (tmp_path / "film.mp4").write_bytes(b"the old film")
    return tmp_path


def is_as_it_was(folder: Path) -> bool:
    files = [one.name for one in folder.iterdir()]
    return files == ["film.mp4"] and (folder / "film.mp4").read_bytes() == b"the old film"


@pytest.mark.parametrize("error", [RuntimeError("no"), KeyboardInterrupt(), OSError("no")])
@pytest.mark.parametrize("at", [0, 25, 59])
def test_a_fault_of_the_picture_source(error: BaseException, at: int, old: Path) -> None:
    timeline = board([1] * 60)

    def draw(number: int) -> np.ndarray:
        if number == at:
            raise error
        return flat(number)

    with pytest.raises(type(error)) as caught:
        write_film(timeline, old / "film.mp4", pictures=Drawn(draw), sound=silence)
    assert caught.value is error
    assert is_as_it_was(old)


def test_a_film_that_failed_leaves_no_thread(old: Path) -> None:
    timeline = board([2400] * 3)

    def draw(number: int) -> np.ndarray:
        raise RuntimeError("no")

    before = threading.active_count()
    for _ in range(4):
        with pytest.raises(RuntimeError, match=r"^no$"):
            write_film(timeline, old / "film.mp4", pictures=Drawn(draw), use_cache=False)
    for _ in range(200):
        if threading.active_count() <= before:
            break
        time.sleep(0.05)
    assert threading.active_count() <= before
    assert is_as_it_was(old)


def test_a_fault_of_the_sound_source(old: Path) -> None:
    timeline = board([1] * 60)

    def sound(timeline):
        yield np.zeros((48_000, 2), np.float32)
        raise RuntimeError("no sound")

    with pytest.raises(RuntimeError, match=r"^no sound$"):
        write_film(timeline, old / "film.mp4", pictures=Flat(timeline), sound=sound)
    assert is_as_it_was(old)


@pytest.mark.parametrize(
    ("samples", "found"),
    [(20_000, "20000"), (119_999, "119999"), (120_001, "more"), (9**6, "more")],
)
def test_sound_of_another_length(samples: int, found: str, old: Path) -> None:
    timeline = board([60])

    def sound(timeline):
        return blocks(np.zeros((samples, 2), np.float32))

    with pytest.raises(InternalError) as caught:
        write_film(timeline, old / "film.mp4", pictures=Flat(timeline), sound=sound)
    assert str(caught.value) == f"the film has 120000 samples; its sound has {found}"
    assert is_as_it_was(old)


def test_an_interruption_while_frames_are_written(old: Path) -> None:
    timeline = board([300, 300])

    def interrupt(progress) -> None:
        if progress.done == 400:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_film(
            timeline,
            old / "film.mp4",
            pictures=Flat(timeline),
            sound=silence,
            progress=interrupt,
        )
    assert is_as_it_was(old)


CHILD = textwrap.dedent("""
    import signal, sys, time
    sys.path.insert(0, sys.argv[1])
    # A run in the background may have been told to ignore it.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    from pathlib import Path
    from film_stand_ins import Noise, board, silence
    from animatic.film import write_film

    timeline = board([2] * 400)
    def tell(progress):
        if progress.done == 300:
            print("writing", flush=True)
            time.sleep(float(sys.argv[3]))
    write_film(timeline, Path(sys.argv[2]), pictures=Noise(timeline), sound=silence, progress=tell)
""")


def child(target: Path, wait: float, **more) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-c", CHILD, str(HERE), str(target), str(wait)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, **more)


def test_a_kill_leaves_the_old_film_and_the_next_run_tidies_up(old: Path) -> None:
    with child(old / "film.mp4", 60) as run:
        assert run.stdout is not None
        assert run.stdout.readline() == b"writing\n"
        run.send_signal(signal.SIGKILL)
        run.wait()
    left, film = sorted(one.name for one in old.iterdir())
    assert re.fullmatch(rf"\.film\.mp4\.{run.pid}-[0-9a-f]+\.part", left)
    assert film == "film.mp4"
    assert (old / "film.mp4").read_bytes() == b"the old film"
    timeline = board([3])
    write_film(timeline, old / "film.mp4", pictures=Flat(timeline), sound=silence)
    assert [one.name for one in old.iterdir()] == ["film.mp4"]
    assert (old / "film.mp4").read_bytes() != b"the old film"


def test_an_interrupt_from_the_keyboard_ends_within_a_second(old: Path) -> None:
    with child(old / "film.mp4", 60) as run:
        assert run.stdout is not None
        assert run.stdout.readline() == b"writing\n"
        begun = time.monotonic()
        run.send_signal(signal.SIGINT)
        run.wait(10)
        took = time.monotonic() - begun
    assert run.returncode == -signal.SIGINT
    assert is_as_it_was(old)
    assert took < 5  # A second on an idle machine; this only finds a run that goes on.


def test_what_the_index_lists(old: Path, monkeypatch) -> None:
    """A film that lost its end under the muxer's hands is found before it takes a place."""
    timeline = board([5, 5])
    film = old / "whole.mp4"
    write_film(timeline, film, pictures=Flat(timeline), sound=silence)
    for frames, samples, words in (
        (11, 20_000, "11 frames were written, the file lists 10"),
        (10, 20_001, "20001 samples were written, the file lists 20000"),
    ):
        with pytest.raises(InternalError) as caught:
            check_index(film, frames, samples)
        assert str(caught.value) == words
    film.unlink()

    def cut(path: Path, *rest: object) -> bytes:
        sets = mux(path, *rest)
        with path.open("rb+") as file:
            file.truncate(path.stat().st_size - 1_000)
        return sets

    monkeypatch.setattr("animatic.film.writer.mux", cut)
    with pytest.raises(InternalError) as caught:
        write_film(timeline, old / "film.mp4", pictures=Flat(timeline), sound=silence)
    assert re.fullmatch(r"the film ends at byte \d+, its contents at \d+", str(caught.value))
    assert is_as_it_was(old)


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (
            errno.EACCES,
            "Permission denied; allow writing there, close the file in other programs, or choose"
            " another folder",
        ),
        (errno.EROFS, "Read-only file system; that disk can only be read: choose another folder"),
        (errno.EIO, "Input/output error; mend that, or choose another folder"),
    ],
)
def test_what_a_disk_may_refuse(number: int, words: str, old: Path) -> None:
    with pytest.raises(MachineError) as caught, beside(old / "film.mp4"):
        raise CouldNotWrite(number, os.strerror(number))
    said = f"{old / 'film.mp4'}: could not be written: {words}"
    assert str(caught.value) == f"{said}; what stood there before is unchanged"
    assert is_as_it_was(old)


def limited(target: Path, room: int) -> str:
    """Write a film where no file may grow beyond `room` bytes; return the last line it says."""
    resource = pytest.importorskip("resource")

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))

    with child(target, 0, preexec_fn=limit) as run:
        _, error = run.communicate()
    assert run.returncode == 1
    return error.decode().strip().splitlines()[-1]


@pytest.mark.parametrize("room", [0, 40_000, 900_000])
def test_a_file_that_may_not_grow(room: int, old: Path) -> None:
    assert limited(old / "film.mp4", room) == (
        f"animatic.errors.MachineError: {old / 'film.mp4'}: could not be written: File too large;"
        " choose a folder on a disk that takes files of this size, or make a smaller one;"
        " what stood there before is unchanged"
    )
    assert is_as_it_was(old)


def test_a_file_that_may_not_grow_to_its_end(old: Path, tmp_path_factory) -> None:
    """The last bytes are written when the file is closed, where an error is easily lost."""
    timeline = board([2] * 400)
    whole = tmp_path_factory.mktemp("whole") / "film.mp4"
    write_film(timeline, whole, pictures=Noise(timeline), sound=silence)
    for less in (1, 3_000):
        assert "File too large" in limited(old / "film.mp4", whole.stat().st_size - less)
        assert is_as_it_was(old)


FULL = re.compile(
    r"animatic\.errors\.MachineError: (?P<path>.*film\.mp4): could not be written: No space left"
    r" on device( \(\d+ MB are free\))?; free some space on that disk, or choose another folder;"
    r" what stood there before is unchanged"
)


@pytest.mark.parametrize("kilobytes", [16, 700])
def test_a_full_disk(kilobytes: int, tmp_path: Path) -> None:
    """A small file system in memory; it can be mounted by root alone."""
    mount = ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", str(tmp_path)]
    try:
        if os.geteuid() or subprocess.run(mount, capture_output=True, check=False).returncode:
            pytest.skip("no right to mount a file system here")
    except OSError:
        pytest.skip("there is no mount here")
    try:
        (tmp_path / "film.mp4").write_bytes(b"the old film")
        with child(tmp_path / "film.mp4", 0) as run:
            _, error = run.communicate()
        assert run.returncode == 1
        assert FULL.fullmatch(error.decode().strip().splitlines()[-1])
        assert is_as_it_was(tmp_path)
    finally:
        subprocess.run(["umount", str(tmp_path)], check=True)
