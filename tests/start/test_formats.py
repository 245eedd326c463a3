"""What a first board takes for a photo: the same as the board's reader does."""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animatic.board import read_board
from animatic.cli import run
from animatic.errors import MediaError
from animatic.photofile import KINDS
from animatic.sheets.thumbs import thumbnail
from animatic.start import look
from animatic.timeline.model import Panel


def picture(seed: int, size: tuple[int, int] = (320, 200)) -> Image.Image:
    values = np.random.default_rng(seed).integers(0, 255, (6, 9, 3), np.uint8)
    return Image.fromarray(values).resize(size, Image.Resampling.BICUBIC)


def start(folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[list[str], str]:
    """Run it and return the lines about what was left out, and the last line."""
    assert run(["start", str(folder)]) == 0
    read_board(folder)
    said = capsys.readouterr()
    return said.err.splitlines(), said.out.splitlines()[-1]


@pytest.mark.parametrize("form", ["TGA", "PCX", "EPS", "ICO", "PDF"])
def test_other_formats_under_a_photo_s_name_are_left_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    picture(1).save(tmp_path / "quay.jpg")
    picture(2).save(tmp_path / "other.jpg", form)
    said, _ = start(tmp_path, capsys)
    assert said == [
        f"{tmp_path / 'other.jpg'}: this is no photo that can be read ({KINDS}); left out"
    ]


def test_pixels_that_the_board_refuses_are_left_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture(1).save(tmp_path / "quay.jpg")
    picture(2).convert("F").save(tmp_path / "float.tif")
    said, _ = start(tmp_path, capsys)
    assert len(said) == 1
    assert "its pixels are stored in a way that is not read (F)" in said[0]


def test_sixteen_bits_are_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    deep = np.asarray(picture(1).convert("L"), np.uint16) * 257
    Image.fromarray(deep).save(tmp_path / "deep.png")
    assert start(tmp_path, capsys)[0] == []


def test_damaged_exif_does_not_leave_a_photo_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture(1).save(tmp_path / "quay.jpg", exif=b"Exif\0\0MM\0*\0\0\0\x08\xff\xff\x87\x69")
    assert start(tmp_path, capsys)[0] == []


def test_an_empty_file_is_said_to_be_so(tmp_path: Path) -> None:
    (tmp_path / "none.jpg").write_bytes(b"")
    with pytest.raises(MediaError, match="the file is empty"):
        look.look_at_photo(tmp_path / "none.jpg")


def test_a_photo_damaged_in_its_middle_is_named_and_left_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As a card leaves it that lost a cluster: the file is as long as it was, and is decoded."""
    picture(1).save(tmp_path / "quay.jpg")
    picture(2, (1500, 1000)).save(tmp_path / "lost.jpg")
    data = (tmp_path / "lost.jpg").read_bytes()
    middle = len(data) // 2
    (tmp_path / "lost.jpg").write_bytes(data[:middle] + bytes(2000) + data[middle + 2000 :])
    said, last = start(tmp_path, capsys)
    assert said == [
        f"{tmp_path / 'lost.jpg'}: the photo is damaged: some of its bytes are not what the"
        " camera wrote; left out"
    ]
    assert last == "1 panel on 1 setup; 0 near-duplicates and 1 damaged left out of 2 photos"


def test_filters_of_warnings_stand_afterwards_as_before(tmp_path: Path) -> None:
    """They are the whole process's, so threads must not each change them."""
    paths = [tmp_path / f"{number}.png" for number in range(24)]
    for number, path in enumerate(paths):
        picture(number).save(path)
    before = list(warnings.filters)
    inside: list[bool] = []
    for path in paths:
        look.look_at_photo(path)
    look.look_at_photos(paths, lambda _: inside.append(warnings.filters[0][0] == "ignore"))
    assert inside == [True] * len(paths)
    assert warnings.filters == before


@pytest.mark.parametrize("form", ["TGA", "PCX", "EPS"])
def test_a_thumbnail_opens_only_what_the_board_s_reader_opens(tmp_path: Path, form: str) -> None:
    path = tmp_path / "quay.jpg"
    picture(1).save(path, form)
    panel = Panel(0, 1, "10", 0, 24, 2, path, (320, 200))
    with pytest.raises(MediaError, match=r"quay\.jpg: the photo cannot be read"):
        thumbnail(panel, (1920, 1080), 96)


HEIC = Path(__file__).parents[1] / "picture" / "turned.heic"


def test_heic_without_its_extra_is_named_and_counted_apart(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(look, "photo_formats", lambda: ("JPEG", "PNG"))
    picture(1).save(tmp_path / "quay.jpg")
    for name in ("a.heic", "b.HEIC", "renamed.jpg"):
        (tmp_path / name).write_bytes(HEIC.read_bytes())
    (tmp_path / "cut.jpg").write_bytes((tmp_path / "quay.jpg").read_bytes()[:900])
    said, last = start(tmp_path, capsys)
    words = "HEIC photos need the extra heic; install animatic with it, or export the photo as JPEG"
    assert [line for line in said if "cut.jpg" not in line] == [
        f"{tmp_path / name}: {words}; left out" for name in ("a.heic", "b.HEIC", "renamed.jpg")
    ]
    assert last == (
        "1 panel on 1 setup; 0 near-duplicates, 1 damaged and 3 HEIC left out of 5 photos"
    )
