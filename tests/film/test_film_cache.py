"""The cache: the same bytes with it and without, what it keeps, and what it makes anew."""

from __future__ import annotations

import os
import threading
import time
import wave
from collections.abc import Callable
from dataclasses import replace
from importlib.metadata import PackageNotFoundError
from pathlib import Path

import numpy as np
import pytest
from film_stand_ins import Flat, Noise, board, silence
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from animatic.film import FilmReport, write_film
from animatic.film.cache import Cache, packed, unpacked
from animatic.film.coding import Format
from animatic.film.keys import FileHashes, Keys, _makers
from animatic.film.segments import segments_of
from animatic.frames import Rate
from animatic.timeline.model import Box, Cue, Lettering, Line, Mix, Move, Timeline, Transition

SIZE = (160, 96)


@pytest.fixture
def photos(tmp_path: Path) -> list[Path]:
    folder = tmp_path / "photos"
    folder.mkdir()
    for index in range(4):
        picture = Noise(board([1] * (index + 1), size=(320, 192))).frame(index)
        Image.fromarray(picture).save(folder / f"{index}.png")
    return sorted(folder.iterdir())


@pytest.fixture
def voice(tmp_path: Path) -> Path:
    path = tmp_path / "voice.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 48_000, 0, "NONE", ""))
        sound = np.random.default_rng(0).integers(-5000, 5000, 24_000)
        file.writeframes(sound.astype("<i2").tobytes())
    return path


@pytest.fixture
def film(photos: list[Path], voice: Path) -> Callable[..., Timeline]:
    """Return a function that lays a board of four photos with lines, a move and mixes."""

    def lay(lengths=(20, 30, 25, 40), **more) -> Timeline:
        line = Line(1, "Odd", "The tide is late.", 0, 24_000, 0, 12, voice)
        timeline = board(
            lengths,
            size=SIZE,
            photos=photos,
            photo_size=(320, 192),
            lines={0: (line,)},
            moves={3: Move(Box(0.2, 0.2, 0.5, 0.5), "both", 10, 25)},
            transitions={1: Transition(from_black=5), 2: Transition(dissolve=8)},
        )
        cue = Cue("dialogue", voice, 0, 24_000, "10")
        return replace(timeline, cues=(cue,), **more)

    return lay


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., tuple[FilmReport, bytes]]:
    def run(timeline: Timeline, **more) -> tuple[FilmReport, bytes]:
        path = tmp_path / "film.mp4"
        report = write_film(timeline, path, **{"store": Cache(tmp_path / "cache"), **more})
        return report, path.read_bytes()

    return run


def test_the_same_bytes_with_and_without_and_with_any_number_of_workers(film, write) -> None:
    timeline = film()
    first, data = write(timeline, workers=1)
    assert (first.segments, first.coded) == (9, 9)
    again, same = write(timeline, workers=2)
    assert again.coded == 0
    assert same == data
    for workers in (1, 2, 3):
        report, same = write(timeline, workers=workers, use_cache=False)
        assert report.coded == 9
        assert same == data


def test_retiming_codes_nothing_that_is_held(film, write) -> None:
    write(film((20, 30, 25, 40)))
    # Only the pieces that mix or move are coded, and they only where they changed.
    report, data = write(film((47, 30, 300, 40)))
    assert report.coded == 0
    assert data == write(film((47, 30, 300, 40)), use_cache=False)[1]


def entry_files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


@pytest.mark.parametrize("harm", ["cut", "emptied", "zeroed", "swapped", "a bit"])
def test_a_damaged_entry_is_found_and_made_anew(harm, film, write, tmp_path: Path) -> None:
    timeline = film()
    _, data = write(timeline)
    files = entry_files(tmp_path / "cache")
    contents = [file.read_bytes() for file in files]
    assert len(files) >= 11  # Nine segments, the template, the sound.
    for number, file in enumerate(files):
        old = contents[number]
        middle = len(old) // 2
        file.write_bytes(
            {
                "cut": old[:middle],
                "emptied": b"",
                "zeroed": bytes(len(old)),
                "swapped": contents[number - 1],
                "a bit": old[:middle] + bytes([old[middle] ^ 1]) + old[middle + 1 :],
            }[harm]
        )
    report, same = write(timeline)
    assert report.coded == 9
    assert same == data
    assert write(timeline)[0].coded == 0


def test_a_photo_that_changed_is_coded_anew(film, write, photos: list[Path]) -> None:
    timeline = film()
    _, data = write(timeline)
    Image.fromarray(np.full((192, 320, 3), 90, np.uint8)).save(photos[1])
    report, other = write(timeline)
    assert report.coded == 4  # The held part, the fade and both halves of the dissolve.
    assert other != data
    assert other == write(timeline, use_cache=False)[1]


def test_a_change_within_the_grain_of_the_clock_is_seen(tmp_path: Path) -> None:
    files = FileHashes(Cache(tmp_path / "cache"))
    path = tmp_path / "photo"
    path.write_bytes(b"one")
    stamp = path.stat()
    first = files.of(path)
    path.write_bytes(b"two")
    os.utime(path, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert files.of(path) != first


def test_a_file_that_changed_just_now_is_hashed_again(tmp_path: Path, monkeypatch) -> None:
    """Within the grain of a file system's clock a change may leave every mark as it was."""
    path = tmp_path / "photo"
    path.write_bytes(b"one")
    files = FileHashes(Cache(tmp_path / "cache"))
    files.of(path)
    monkeypatch.setattr("hashlib.file_digest", None)
    with pytest.raises(TypeError):
        files.of(path)


def test_a_settled_file_that_took_anothers_place_is_seen(tmp_path: Path, monkeypatch) -> None:
    later = time.time_ns() + 10_000_000_000
    monkeypatch.setattr("animatic.film.keys.time.time_ns", lambda: later)
    test_a_change_within_the_grain_of_the_clock_is_seen(tmp_path)


def test_hashes_of_settled_files_are_remembered(tmp_path: Path, monkeypatch) -> None:
    path = tmp_path / "photo"
    path.write_bytes(b"one")
    later = time.time_ns() + 10_000_000_000
    monkeypatch.setattr("animatic.film.keys.time.time_ns", lambda: later)
    files = FileHashes(Cache(tmp_path / "cache"))
    first = files.of(path)
    files.save()
    monkeypatch.setattr("hashlib.file_digest", None)
    assert FileHashes(Cache(tmp_path / "cache")).of(path) == first


def keys(timeline: Timeline, folder: Path, form: Format | None = None) -> list[str]:
    made = Keys(timeline, form or Format(SIZE, Rate.named("24")), FileHashes(Cache(folder)))
    return [*map(made.segment, segments_of(timeline)), made.sound(0)]


def test_keys_tell_apart_all_that_is_seen_or_heard(film, tmp_path: Path) -> None:
    base = film()
    before = keys(base, tmp_path)
    assert len(set(before)) == len(before)

    def panel(index: int, **changes) -> Timeline:
        shots = list(base.shots)
        shots[index] = replace(shots[index], panels=(replace(shots[index].panels[0], **changes),))
        return replace(base, shots=tuple(shots))

    def changed(timeline: Timeline, form: Format | None = None) -> list[int]:
        after = keys(timeline, tmp_path, form)
        return [n for n, (old, new) in enumerate(zip(before, after, strict=True)) if old != new]

    # Segments: 0 first hold, 1 fade in, 2 hold, 3 and 4 dissolve, 5 hold, 6 to 8 the move.
    everything, pictures, sound = list(range(10)), list(range(9)), [9]
    assert changed(base) == []
    assert changed(panel(0, crop=Box(0, 0, 0.5, 0.5))) == [0]
    assert changed(panel(1, fit="contain")) == [1, 2, 3, 4]
    assert changed(panel(1, size="CU")) == [1, 2, 3, 4]
    assert changed(panel(0, photo=base.panels[1].photo)) == [0]
    assert changed(panel(1, gains=(20, 20, 20))) == [1, 2, 3, 4]
    assert changed(panel(0, lines=())) == [0, *sound]
    assert changed(panel(3, move=Move(Box(0.2, 0.2, 0.5, 0.5), "in", 10, 25))) == [6, 7, 8]
    assert changed(panel(0, note="look again")) == []
    assert changed(panel(0, shoot_on=1)) == []
    assert changed(replace(base, title="Other", start=100)) == []
    assert changed(replace(base, lettering=Lettering(dialogue=False))) == pictures
    assert changed(replace(base, mix=Mix(duck=3.0))) == sound
    assert changed(replace(base, cues=())) == sound
    assert changed(replace(base, cues=(replace(base.cues[0], level=-3.0),))) == sound
    assert changed(replace(base, cues=(replace(base.cues[0], pan=0.5),))) == sound
    assert changed(replace(base, cues=(replace(base.cues[0], pieces=((0, 9), (6, 15))),))) == sound
    assert changed(replace(base, mix=replace(base.mix, loudness=-16.0))) == sound
    assert changed(replace(base, whole=base, begins=2000)) == sound
    assert changed(replace(base, whole=replace(base, cues=()))) == sound
    assert changed(replace(base, cues=(replace(base.cues[0], licence="bought"),))) == []
    assert changed(base, Format(SIZE, Rate.named("25"))) == pictures
    assert changed(base, Format(SIZE, Rate.named("24"), crf=21)) == pictures
    assert changed(base, Format(SIZE, Rate.named("24"), bit_rate=128_000)) == sound
    assert changed(film((21, 30, 25, 40))) == sound
    assert everything == [*pictures, *sound]


def test_the_pieces_of_a_long_move_are_told_apart(film, tmp_path: Path) -> None:
    move = Move(Box(0.2, 0.2, 0.5, 0.5), "none", 0, 999)
    timeline = board([1000], size=SIZE, photos=[film().panels[0].photo], moves={0: move})
    found = keys(timeline, tmp_path)
    assert len(found) > 5
    assert len(set(found)) == len(found)


def test_sound_from_elsewhere_is_never_kept(film, write) -> None:
    timeline = film()
    write(timeline, sound=silence)
    assert write(timeline)[1] == write(timeline, use_cache=False)[1]


def test_a_second_run_reads_no_photo(film, write, monkeypatch) -> None:
    timeline = film()
    later = time.time_ns() + 10_000_000_000
    monkeypatch.setattr("animatic.film.keys.time.time_ns", lambda: later)
    write(timeline)
    monkeypatch.setattr("hashlib.file_digest", None)
    monkeypatch.setattr("PIL.Image.open", None)
    assert write(timeline)[0].coded == 0


def test_a_cache_that_cannot_be_written_is_no_error(film, write, tmp_path: Path) -> None:
    in_the_way = tmp_path / "in the way"
    in_the_way.write_bytes(b"")
    _, data = write(film(), store=Cache(in_the_way))
    assert data == write(film(), use_cache=False)[1]
    assert in_the_way.read_bytes() == b""


@pytest.mark.parametrize("library", ["av", "numpy", "pillow", "pydub", "pi-heif"])
def test_another_version_of_a_library_has_other_keys(
    library: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed: dict[str, str | None] = {}

    def version(name: str) -> str:
        found = installed.get(name, "1.0")
        if found is None:
            raise PackageNotFoundError(name)
        return found

    monkeypatch.setattr("animatic.film.keys.version", version)
    found = []
    for now in ("1.0", "1.1", None):
        installed[library] = now
        found.append(_makers.__wrapped__())
    assert len(set(found)) == 3


def test_pictures_from_elsewhere_are_never_kept(film, write, tmp_path: Path) -> None:
    timeline = film()
    _, own = write(timeline)
    for _ in range(2):
        report, other = write(timeline, pictures=Flat(timeline), sound=silence)
        assert report.coded == 9
        assert other != own
    assert write(timeline)[1] == own


def test_the_longest_unused_goes_first(tmp_path: Path) -> None:
    store = Cache(tmp_path, limit=3 * (100 + 32))
    names = [f"{n:02x}" * 32 for n in range(5)]
    for number, name in enumerate(names):
        store.put(name, bytes(100))
        os.utime(tmp_path / name[:2] / name, (1000 + number, 1000 + number))
    assert store.get(names[0]) == bytes(100)
    store.prune()
    assert [store.get(name) is not None for name in names] == [True, False, False, True, True]
    assert store.size() == 3 * 132
    store.clear()
    assert store.size() == 0


def test_half_written_entries_of_dead_runs_go(tmp_path: Path) -> None:
    store = Cache(tmp_path)
    store.put("ab" * 32, b"contents")
    old, new = tmp_path / "ab" / "old.part", tmp_path / "ab" / "new.part"
    for path in (old, new):
        path.write_bytes(b"half")
    os.utime(old, (1000, 1000))
    other = tmp_path / "lengths.json"
    other.write_bytes(b"of another")
    store.prune()
    assert (old.exists(), new.exists(), other.exists()) == (False, True, True)
    store.clear()
    assert other.exists()


def test_two_runs_at_once(film, tmp_path: Path) -> None:
    timeline, wanted = film(), tmp_path / "wanted.mp4"
    write_film(timeline, wanted, use_cache=False)
    targets = [tmp_path / f"{n}.mp4" for n in range(4)]

    def run(target: Path) -> None:
        # So small that each run removes what the others just wrote.
        write_film(timeline, target, store=Cache(tmp_path / "cache", limit=20_000))

    threads = [threading.Thread(target=run, args=(target,)) for target in targets]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [target.read_bytes() == wanted.read_bytes() for target in targets] == [True] * 4


@given(st.lists(st.binary(max_size=300), max_size=8))
def test_packing(parts: list[bytes]) -> None:
    assert list(unpacked(packed(parts))) == parts
