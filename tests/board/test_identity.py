"""Who a board is: the same over cuts, titles and moves, and no other board's."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from boards import BoardFolder

from animatic.board.history import copies, replace_board
from animatic.board.identity import identity

BOARD = b"board: 1\ntitle: Low Water\npanels:\n- {shot: 1, photo: a.jpg, duration: 2s}\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    board = BoardFolder(tmp_path / "low water")
    board.folder.mkdir()
    board.photo()
    board.file.write_bytes(BOARD)
    return board.file


def kept_in(file: Path) -> Path:
    return file.parent / ".animatic" / file.name / "identity"


def test_it_stays_over_cuts_and_titles_and_changes_nothing_of_the_board(file: Path) -> None:
    first = identity(file)
    assert file.read_bytes() == BOARD
    replace_board(file, BOARD.replace(b"Low", b"High").replace(b"2s", b"3s"))
    assert identity(file) == first
    assert [copy.read_bytes() for copy in copies(file)] == [BOARD]


def test_it_goes_along_with_a_folder_that_is_moved_or_renamed(file: Path, tmp_path: Path) -> None:
    first = identity(file)
    (tmp_path / "films").mkdir()
    moved = shutil.move(file.parent, tmp_path / "films" / "high water")
    assert identity(moved / "board.yaml") == first
    # A new board where the old one lay is another one.
    file.parent.mkdir()
    file.write_bytes(BOARD)
    second = identity(file)
    assert second != first
    assert identity(moved / "board.yaml") == first


def test_a_new_board_in_the_old_place_does_not_take_it(file: Path, tmp_path: Path) -> None:
    first = identity(file)
    moved = Path(shutil.move(file.parent, tmp_path / "moved")) / "board.yaml"
    file.parent.mkdir()
    file.write_bytes(BOARD)
    assert identity(file) != first
    assert identity(moved) == first


def test_a_copy_goes_on_where_the_board_it_was_made_from_is_gone(
    file: Path, tmp_path: Path
) -> None:
    first = identity(file)
    copied = Path(shutil.copytree(file.parent, tmp_path / "copy")) / "board.yaml"
    file.unlink()
    assert identity(copied) == first


def test_a_copied_folder_is_a_board_of_its_own(file: Path, tmp_path: Path) -> None:
    first = identity(file)
    copied = Path(shutil.copytree(file.parent, tmp_path / "copy")) / "board.yaml"
    second = identity(copied)
    assert second != first
    assert identity(file) == first
    shutil.rmtree(file.parent)
    assert identity(copied) == second


def test_two_boards_in_one_folder_are_two(file: Path) -> None:
    other = file.with_name("shorter.yaml")
    other.write_bytes(BOARD)
    assert identity(other) != identity(file)


def test_a_folder_reached_by_another_path_is_the_same(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = identity(file)
    link = tmp_path / "link"
    link.symlink_to(file.parent, target_is_directory=True)
    assert identity(link / "board.yaml") == first
    # As where a disk is mounted in two places: nothing in the path says that they are one.
    kept = json.loads(kept_in(file).read_text("utf-8"))
    kept_in(file).write_text(json.dumps(kept | {"place": str(link / "board.yaml")}), "utf-8")
    assert identity(file) == first
    monkeypatch.chdir(file.parent)
    assert identity(Path("board.yaml")) == first


@pytest.mark.parametrize(
    "damage", [b"", b"\xff", b"[]", b'{"name": 1, "place": "x"}', b'{"name": "a b", "place": "/"}']
)
def test_a_damaged_file_is_made_anew(file: Path, damage: bytes) -> None:
    identity(file)
    kept_in(file).write_bytes(damage)
    name = identity(file)
    assert len(name) == 16
    assert identity(file) == name


def test_where_nothing_can_be_written_the_place_decides(file: Path, tmp_path: Path) -> None:
    (file.parent / ".animatic").write_bytes(b"in the way")
    other = Path(shutil.copytree(file.parent, tmp_path / "copy")) / "board.yaml"
    assert identity(file) == identity(file)
    assert identity(other) == identity(other)
    assert identity(other) != identity(file)


def test_a_moved_board_keeps_it_where_nothing_can_be_written(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = identity(file)
    moved = Path(shutil.move(file.parent, tmp_path / "moved")) / "board.yaml"
    monkeypatch.setattr("animatic.board.identity.write_beside", _refuse)
    assert identity(moved) == first


def _refuse(path: Path, data: str) -> None:
    raise OSError
