"""HEIC photos in all eight orientations, in the film, on paper and in a first board.

The files in heic/ were written by libheif 1.2x through pillow-heif: the scene of the orientation
tests stored turned, as the file's name says (Exif 2.2, tag 0x0112), with the rotation (irot) and
mirroring (imir) properties of ISO/IEC 23008-12 that set it upright.
"""

from __future__ import annotations

import shutil
from importlib.util import find_spec
from pathlib import Path

import pytest
from PIL import Image

from animatic.board import read_board
from animatic.board.media import PhotoFacts, look_at
from animatic.cli import run
from animatic.photofile import KINDS
from animatic.picture import PictureMaker, load_photo
from animatic.sheets.thumbset import Thumbs
from animatic.timeline import lay_out
from tests.boards import BoardFolder, panels
from tests.standards.test_orientation import HEIGHT, UPRIGHT, WIDTH, corners

FILES = sorted((Path(__file__).parent / "heic").glob("*.heic"))
pytestmark = pytest.mark.skipif(find_spec("pi_heif") is None, reason="needs the extra 'heic'")


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    (tmp_path / "film").mkdir()
    board = BoardFolder(tmp_path / "film")
    for file in FILES:
        shutil.copy(file, board.folder)
    return board


def test_there_are_eight() -> None:
    assert [file.stem for file in FILES] == list("12345678")


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_heic_stands_upright_everywhere(file: Path, board: BoardFolder) -> None:
    assert corners(load_photo(file)) == UPRIGHT
    assert look_at([file], []).photos == {file: PhotoFacts(WIDTH, HEIGHT)}
    head = "board: 1\npicture: {size: 128x96}\nlettering: {shot: false}\n"
    film = board.lay_out(panels(f"- {{shot: 1, photo: {file.name}, duration: 12f}}", head))
    assert corners(Image.fromarray(PictureMaker(film).frame(0))) == UPRIGHT


def test_thumbnails_of_heic_stand_upright(board: BoardFolder) -> None:
    from io import BytesIO

    rows = "\n".join(f"- {{shot: {f.stem}, photo: {f.name}, duration: 12f}}" for f in FILES)
    film = board.lay_out(panels(rows, "board: 1\npicture: {size: 128x96}\n"))
    thumbs = Thumbs(film.size)
    for panel in film.panels:
        with Image.open(BytesIO(thumbs.of(panel))) as small:
            assert corners(small.convert("RGB")) == UPRIGHT


def test_a_first_board_of_heic_is_a_film_and_cards(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["start", str(board.folder)]) == 0
    assert capsys.readouterr().out.splitlines()[1].endswith("and 0 damaged left out of 8 photos")
    film = lay_out(read_board(board.folder))
    assert {panel.photo_size for panel in film.panels} == {(WIDTH, HEIGHT)}
    assert run(["cards", str(board.folder)]) == 0


def test_a_damaged_heic_is_said_to_be_so(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    cut = board.folder / "cut.heic"
    cut.write_bytes((board.folder / "1.heic").read_bytes()[:600])
    assert ("photo", cut) in look_at([cut], []).faults
    assert run(["start", str(board.folder)]) == 0
    said = capsys.readouterr().err
    assert said == f"{cut}: this is no photo that can be read ({KINDS}); left out\n"
