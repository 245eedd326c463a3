"""Two boards compared, one of which is a copy kept elsewhere, without the files that it names."""

from __future__ import annotations

from pathlib import Path

import pytest
from boards import BoardFolder, panels

from animatic.cli import run

HEAD = "board: 1\npicture: {size: 160x90}\nspeech: {scratch: false}\n"
ROWS = """
- {shot: 10, photo: a.jpg, duration: 2s, sounds: [{file: bell.wav}]}
- {shot: 20, photo: b.jpg, dialogue: [{who: Odd, line: Late, voice: late.wav}]}
- {shot: 30, photo: b.jpg, duration: 2s}
"""


@pytest.fixture
def film(tmp_path: Path) -> BoardFolder:
    made = BoardFolder(tmp_path / "film")
    made.photo()
    made.photo("b.jpg")
    made.sound("bell.wav")
    # 3.2 s with the pauses of 0.3 and 0.5 s, which are 96 frames; the words alone take less.
    made.sound("late.wav", 153_600)
    made.write(
        panels(
            ROWS.replace(
                "shot: 30, photo: b.jpg, duration: 2s", "shot: 30, photo: a.jpg, duration: 3s"
            ),
            HEAD,
        )
    )
    (tmp_path / "yesterday.yaml").write_text(panels(ROWS, HEAD))
    return made


@pytest.mark.parametrize("is_old", [True, False])
def test_a_copy_finds_its_files_beside_the_other_board(
    film: BoardFolder, capsys: pytest.CaptureFixture[str], is_old: bool
) -> None:
    both = [str(film.folder.parent / "yesterday.yaml"), str(film.folder)]
    assert run(["compare", *(both if is_old else both[::-1])]) == 0
    out, err = capsys.readouterr()
    rows = [line.split() for line in out.splitlines()]
    assert [row[0] for row in rows[1:3]] == ["30", "film"]
    numbers = ["192", "216", "+24", "+12"]
    assert rows[2][1:5] == (numbers if is_old else ["216", "192", "-24", "-12"])
    assert err == ""


def test_what_is_in_neither_folder_does_not_matter_where_no_length_hangs_on_it(
    film: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = film.folder.parent / "yesterday.yaml"
    film.write(
        film.file.read_text().replace("b.jpg", "a.jpg").replace(", sounds: [{file: bell.wav}]", "")
    )
    (film.folder / "b.jpg").unlink()
    (film.folder / "bell.wav").unlink()
    assert run(["compare", str(copy), str(film.folder)]) == 0
    out, err = capsys.readouterr()
    assert out.splitlines()[-3].split()[:4] == ["film", "192", "216", "+24"]
    assert err == (
        f"{copy}: compared without 2 files that are neither beside it nor in {film.folder}:"
        " bell.wav, b.jpg\n"
    )


def test_a_length_that_hangs_on_a_lost_recording_is_said_in_one_line(
    film: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = film.folder.parent / "yesterday.yaml"
    film.write(panels("- {shot: 10, photo: a.jpg, duration: 2s}", HEAD))
    (film.folder / "late.wav").unlink()
    assert run(["compare", str(copy), str(film.folder)]) == 1
    assert capsys.readouterr().err == (
        f"{copy}:6:38: panels[2].dialogue (shot 20): 1 panel is as long as late.wav, which is"
        f" neither beside this board nor in {film.folder}; put this copy into the folder where"
        " its sounds are, and compare again\n"
    )


def test_a_fault_in_the_text_of_a_copy_is_told(
    film: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = film.folder.parent / "yesterday.yaml"
    copy.write_text(panels(ROWS.replace("duration: 2s, sounds", "duration: 2, sounds"), HEAD))
    assert run(["compare", str(copy), str(film.folder)]) == 1
    assert capsys.readouterr().err.startswith(f"{copy}:5:")


def test_a_file_that_is_no_board_is_told_as_ever(
    film: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = film.folder.parent / "yesterday.yaml"
    copy.write_text("- {shot: 10, photo: a.jpg}\n")
    assert run(["compare", str(copy), str(film.folder)]) == 1
    assert capsys.readouterr().err.startswith(f"{copy}:1:1: this is not a board")
