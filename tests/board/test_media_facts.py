"""What is known of photos and sounds, and the memory of it in the cache folder."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import numpy as np
import platformdirs
import pytest
from PIL import Image

from animatic.board import media
from animatic.board.media import AudioFacts, PhotoFacts, look_at, measure_photo
from animatic.photofile import KINDS
from tests.boards import BoardFolder


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board's folder, and an empty cache folder."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = BoardFolder(tmp_path / "film")
    folder.photo()
    folder.sound(samples=1234, rate=44_100)
    return folder


def memory() -> Path:
    return platformdirs.user_cache_path("animatic") / "media.json"


def looked(board: BoardFolder) -> tuple[PhotoFacts, AudioFacts]:
    photo, sound = board.path("a.jpg"), board.path("a.wav")
    facts = look_at([photo], [sound])
    assert facts.faults == {}
    return facts.photos[photo], facts.sounds[sound]


EXPECTED = PhotoFacts(160, 90), AudioFacts(1234, 44_100, 1)


def test_what_was_measured_once_is_not_measured_again(
    board: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert looked(board) == EXPECTED

    def never(path: Path) -> Any:
        raise AssertionError(f"{path} was measured again")

    monkeypatch.setattr(media, "measure_photo", never)
    monkeypatch.setattr(media, "_measure_sound", never)
    assert looked(board) == EXPECTED


def test_a_file_of_another_size_is_measured_again(board: BoardFolder) -> None:
    photo = board.photo("b.jpg")
    stamp = photo.stat().st_mtime_ns
    assert look_at([photo], []).photos == {photo: PhotoFacts(160, 90)}
    board.photo("b.jpg", size=(320, 180))
    os.utime(photo, ns=(stamp, stamp))
    assert look_at([photo], []).photos == {photo: PhotoFacts(320, 180)}


def test_a_file_changed_at_another_time_is_measured_again(board: BoardFolder) -> None:
    photo = board.photo("b.bmp", size=(48, 32))
    state = photo.stat()
    assert look_at([photo], []).photos == {photo: PhotoFacts(48, 32)}
    board.photo("b.bmp", size=(32, 48))
    os.utime(photo, ns=(state.st_mtime_ns + 1, state.st_mtime_ns + 1))
    assert photo.stat().st_size == state.st_size
    assert look_at([photo], []).photos == {photo: PhotoFacts(32, 48)}


@pytest.mark.parametrize(
    "kept",
    [
        b"",
        b"{",
        b"[]",
        b"{}",
        b"null",
        b'{"version": 0, "files": {}}',
        b'{"version": 1}',
        b'{"version": 1, "files": 3}',
        b'{"version": 1, "files": {"photo:a": 3}}',
        b'{"version": 1, "files": {"photo:a": [Infinity]}}',
        b'{"version": 1, "files": [[1]]}',
        b"\xff\xfe\x00",
    ],
)
def test_a_memory_that_is_none_costs_time_and_nothing_else(kept: bytes, board: BoardFolder) -> None:
    memory().parent.mkdir(parents=True)
    memory().write_bytes(kept)
    assert looked(board) == EXPECTED
    assert json.loads(memory().read_bytes())["version"] == 4


def test_facts_of_the_wrong_number_are_not_believed(board: BoardFolder) -> None:
    looked(board)
    kept = json.loads(memory().read_bytes())
    kept["files"] = {key: values[:3] for key, values in kept["files"].items()}
    memory().write_text(json.dumps(kept))
    assert looked(board) == EXPECTED


def test_a_cache_folder_that_cannot_be_made_is_done_without(board: BoardFolder) -> None:
    Path(os.environ["XDG_CACHE_HOME"]).write_text("in the way")
    assert looked(board) == EXPECTED


def test_faults_are_not_remembered(board: BoardFolder) -> None:
    photo = board.path("b.jpg")
    photo.write_bytes(b"soon")
    assert ("photo", photo) in look_at([photo], []).faults
    stamp = photo.stat().st_mtime_ns
    board.photo("b.jpg")
    os.utime(photo, ns=(stamp, stamp))
    assert look_at([photo], []).photos == {photo: PhotoFacts(160, 90)}


def test_a_fault_in_one_file_does_not_hinder_the_others(board: BoardFolder) -> None:
    photo, sound = board.path("a.jpg"), board.path("a.wav")
    facts = look_at([photo, sound], [sound, photo])
    assert facts.photos == {photo: EXPECTED[0]}
    assert facts.sounds == {sound: EXPECTED[1]}
    assert facts.faults == {
        ("photo", sound): f"this is no photo that can be read ({KINDS})",
        ("sound", photo): "the file is damaged or no sound;"
        " allowed: wav, aiff, flac, mp3, m4a, ogg or opus",
    }


@pytest.mark.parametrize("orientation", range(10))
def test_a_photos_size_is_that_of_the_upright_photo(orientation: int, board: BoardFolder) -> None:
    """EXIF orientations 5 to 8 are stored with sides swapped (JEITA CP-3451, tag 0x0112)."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    turned = board.photo("b.jpg", size=(48, 32), exif=exif)
    sides = (32, 48) if orientation in (5, 6, 7, 8) else (48, 32)
    assert measure_photo(turned) == PhotoFacts(*sides)


@pytest.mark.parametrize("suffix", ["jpg", "png", "tif", "webp", "bmp", "gif", "ppm", "jp2"])
def test_photos_of_every_usual_kind_are_measured(suffix: str, board: BoardFolder) -> None:
    assert measure_photo(board.photo(f"b.{suffix}", size=(48, 32))) == PhotoFacts(48, 32)


@pytest.mark.parametrize(
    ("suffix", "mode"),
    [("png", "I;16"), ("tif", "I;16"), ("png", "L"), ("png", "1"), ("png", "P"), ("png", "LA"),
     ("png", "RGBA"), ("jpg", "CMYK"), ("jpg", "L")],
)  # fmt: skip
def test_photos_of_every_usual_colour_are_measured(
    suffix: str, mode: str, board: BoardFolder
) -> None:
    Image.new(mode, (48, 32)).save(board.path(f"b.{suffix}"))
    assert measure_photo(board.path(f"b.{suffix}")) == PhotoFacts(48, 32)


def test_damaged_exif_does_not_spoil_a_photo(board: BoardFolder) -> None:
    exif = b"Exif\0\0II*\0\xff\xff\xff\x7f"
    photo = board.photo("b.jpg", size=(48, 32), exif=exif)
    assert look_at([photo], []).photos == {photo: PhotoFacts(48, 32)}


def lost(photo: Path) -> Path:
    """Set a cluster in the middle of a file to zero; nothing about the file tells."""
    state, data = photo.stat(), photo.read_bytes()
    middle = len(data) // 2
    photo.write_bytes(data[:middle] + bytes(2000) + data[middle + 2000 :])
    os.utime(photo, ns=(state.st_mtime_ns, state.st_mtime_ns))
    return photo


LOST = "the photo is damaged: some of its bytes are not what the camera wrote"


@pytest.mark.parametrize("form", ["JPEG", "MPO"])
def test_a_photo_damaged_in_its_middle_is_a_fault(form: str, board: BoardFolder) -> None:
    noise = np.random.default_rng(3).integers(0, 255, (200, 300, 3), np.uint8)
    photo = board.path("b.jpg")
    Image.fromarray(noise).save(photo, form)
    assert measure_photo(photo) == PhotoFacts(300, 200)
    assert look_at([lost(photo)], []).faults == {("photo", photo): LOST}


def test_what_was_found_fit_before_damage_was_looked_for_is_measured_again(
    board: BoardFolder,
) -> None:
    photo = board.path("b.jpg")
    noise = np.random.default_rng(3).integers(0, 255, (200, 300, 3), np.uint8)
    Image.fromarray(noise).save(photo)
    assert look_at([photo], []).faults == {}
    kept = json.loads(memory().read_bytes())
    memory().write_text(json.dumps({**kept, "version": 3}))
    assert look_at([lost(photo)], []).faults == {("photo", photo): LOST}


def test_a_photo_that_may_not_be_read_is_said_to_be_so(
    board: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = board.path("a.jpg")
    opened = Path.open

    def refusing(path: Path, *more: Any, **named: Any) -> Any:
        if path == photo:
            raise PermissionError(13, "Permission denied", str(path))
        return opened(path, *more, **named)

    monkeypatch.setattr(Path, "open", refusing)
    words = "the file may not be read; look at its permissions"
    assert look_at([photo], []).faults == {("photo", photo): words}


def test_warnings_of_decoders_stay_inside_and_the_filters_as_they_were(
    board: BoardFolder,
) -> None:
    """Pillow warns of pictures above 89 million pixels; here warnings are errors."""
    large = np.zeros((9_500, 9_500), np.uint8)
    Image.fromarray(large).save(board.path("large.png"), compress_level=1)
    many = [board.photo(f"p{number}.jpg") for number in range(8)]
    import warnings

    before = list(warnings.filters)
    facts = look_at([board.path("large.png"), *many], [])
    assert facts.photos[board.path("large.png")] == PhotoFacts(9_500, 9_500)
    assert warnings.filters == before
