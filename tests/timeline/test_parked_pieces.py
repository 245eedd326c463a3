"""A piece of music that is parked is in the board and not in the film: whoever uses music."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.board.checks import named_files
from animatic.board.former import former_board
from animatic.errors import BoardError
from animatic.timeline import lay_out
from animatic.timeline.beats import beat_frames, fit_beats
from animatic.timeline.compare import compare
from animatic.timeline.differences import Laid
from animatic.timeline.fit import CannotFit
from tests.boards import HEAD, BoardFolder, panels

ROWS = """
- {shot: 10, photo: a.jpg, duration: 2s}
- {shot: 20, photo: a.jpg, duration: 2s}
"""
PARKED = "parked:\n- {shot: 30, photo: gone.jpg}\n- {shot: 40, photo: a.jpg}\n"


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    """A photo, and a tide of two seconds."""
    board = BoardFolder(tmp_path)
    board.photo()
    board.sound("tide.wav", samples=96_000)
    return board


def text(*pieces: str) -> str:
    music = "".join(f"- {{{piece}}}\n" for piece in pieces)
    return panels(ROWS, f"{HEAD}music:\n{music}") + PARKED


def faults(board: BoardFolder, *pieces: str) -> list[str]:
    with pytest.raises(BoardError) as caught:
        board.lay_out(text(*pieces))
    return [str(problem).partition("board.yaml:")[2] for problem in caught.value.problems]


@pytest.mark.parametrize(
    "piece",
    [
        "file: gone.wav, beats: gone.txt, from: shot 10",
        "file: ../tide.wav",
        "file: tide.wav, from: shot 30, until: shot 40",
        "file: tide.wav, from: shot 20, until: shot 30",
        "file: tide.wav, from: shot 20, until: shot 10",
        "file: tide.wav, until: shot 10, skip: 9s",
        "file: tide.wav, loop: true, crossfade: 1.9s",
        "file: tide.wav, crossfade: 1s",
        # Music that ends before its last shot would be a finding.
        "file: tide.wav, from: shot 10, until: shot 20",
    ],
)
def test_what_only_the_film_would_mind_is_no_fault(board: BoardFolder, piece: str) -> None:
    played = "file: tide.wav, from: shot 20"
    with_it, without = text(played, f"{piece}, parked: true"), text(played)
    assert board.lay_out(with_it) == board.lay_out(without)
    assert not board.findings(with_it)
    # And each of them counts where the piece is in the film.
    try:
        board.lay_out(text(played, f"{piece}, parked: false"))
    except BoardError:
        return
    assert board.findings(text(played, piece))


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        ("file: gone.wav, level: loud", "4:27: music[1].level: found loud; allowed: a number"),
        ("file: gone.wav, levle: -3", "4:20: music[1]: the key levle is not known;"),
        ("file: gone.wav, skip: 00:00:01:30", "4:26: music[1].skip: 00:00:01:30 has 30 frames in"),
        ("level: -3", "4:3: music[1]: the key file is missing"),
        ("file: tide.wav, from: 30", "4:26: music[1].from: found 30; allowed: the word shot"),
        (
            "file: tide.wav, from: shot 50",
            "4:26: music[1].from: there is no shot 50; allowed: 10, 20, 30, 40",
        ),
        ("file: tide.wav, until: shot 3O", "4:27: music[1].until: there is no shot 3O; allowed: "),
    ],
)
def test_its_values_and_names_are_checked(board: BoardFolder, piece: str, words: str) -> None:
    [found] = faults(board, f"{piece}, parked: true")
    assert found.startswith(words)


def test_whether_it_is_parked_is_true_or_false(board: BoardFolder) -> None:
    [found] = faults(board, "file: tide.wav, parked: p1")
    assert found.startswith("4:28: music[1].parked: found p1; allowed: true or false")
    [found] = faults(board, "file: tide.wav, from: shot 30, park: true")
    assert found.endswith("did you mean parked?")


def test_music_of_the_film_that_names_a_parked_shot_is_told_what_to_do(board: BoardFolder) -> None:
    [found] = faults(board, "file: tide.wav, from: shot 10, until: shot 30")
    assert found == (
        "4:42: music[1].until: shot 30 is parked, and not in the film; allowed: 10, 20; bring it"
        " back with arrange, or write parked: true into this piece"
    )


def test_it_gives_no_beats_and_holds_no_cut(board: BoardFolder) -> None:
    played, parked = (
        "file: tide.wav, bpm: 120",
        "file: tide.wav, from: shot 20, bpm: 97, parked: true",
    )
    laid = [(b, lay_out(b)) for b in (board.read(text(played, parked)), board.read(text(played)))]
    assert beat_frames(*laid[0]) == beat_frames(*laid[1]) == [0, 12, 24, 36]
    # With the parked piece in the film, the cut that it starts at would have to stay.
    near = text("file: tide.wav, bpm: 60, first_beat: 19f", parked).replace("2s}", "1.9s}", 1)
    moved = board.read(near)
    assert 0 in fit_beats(moved, lay_out(moved))
    held = board.read(near.replace(", parked: true", ""))
    assert 0 not in {n for n, length in fit_beats(held, lay_out(held)).items() if length}
    alone = board.read(text(parked))
    with pytest.raises(CannotFit, match=r"under it, or bring back a piece that is parked$"):
        fit_beats(alone, lay_out(alone))


def test_its_files_are_named_only_where_they_are_asked_for(board: BoardFolder) -> None:
    content = board.read(text("file: tide.wav, beats: b.txt, parked: true")).content
    named = [file.named for file in named_files(content, board.folder)]
    assert named == ["a.jpg", "a.jpg"]
    named = [file.named for file in named_files(content, board.folder, with_parked=True)]
    assert named == ["tide.wav", "b.txt", "a.jpg", "a.jpg", "gone.jpg", "a.jpg"]


def test_a_board_of_another_time_keeps_what_it_had_parked(board: BoardFolder) -> None:
    pieces = "file: gone.wav", "file: gone.wav, from: shot 30, parked: true"
    former = former_board(text(*pieces).encode(), board.file, "before")
    assert [piece.parked for piece in former.content.music] == [True]
    lay_out(former)


def told(board: BoardFolder, before: str, after: str) -> tuple[str, ...]:
    laid: list[Laid] = [(b, lay_out(b)) for b in map(board.read, (before, after))]
    return compare(*laid).what


def test_compare_tells_a_piece_that_is_parked_and_one_that_is_back(board: BoardFolder) -> None:
    other = "file: tide.wav, from: shot 20"
    one, parked = "file: tide.wav, level: -3", "file: tide.wav, level: -3, parked: true"
    assert told(board, text(other, one), text(other, parked)) == ("music tide.wav parked",)
    assert told(board, text(other, parked), text(other, one)) == ("music tide.wav back",)
    softer = "file: tide.wav, level: -9, parked: true"
    assert told(board, text(one), text(softer)) == ("music level", "music tide.wav parked")


def test_compare_is_silent_on_what_is_in_neither_film(board: BoardFolder) -> None:
    other = "file: tide.wav, from: shot 20"
    parked, softer = "file: tide.wav, parked: true", "file: tide.wav, level: -9, parked: true"
    assert told(board, text(other, parked), text(other, softer)) == ()
    assert told(board, text(other, parked), text(other)) == ()
    assert told(board, text(parked, other), text("file: tide.wav, from: shot 10")) == (
        "music from",
    )
