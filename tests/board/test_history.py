"""A board is replaced whole or not at all, and every state that it was in can be brought back."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import textwrap
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.board import history
from animatic.board.history import FOLDER, copies, redo, replace_board, undo
from animatic.errors import BoardError, MachineError, UsageError
from tests.boards import BoardFolder, panels
from tests.strategies import untimed


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    folder.write(state(1))
    return folder


def state(seconds: int) -> bytes:
    """Return a board of one panel of so many seconds."""
    return panels(f"- {{shot: 10, photo: a.jpg, duration: {seconds}s}}").encode()


def kept(board: BoardFolder) -> list[bytes]:
    """Return everything that is kept, oldest first."""
    return [path.read_bytes() for path in sorted((board.folder / FOLDER / "board.yaml").glob("2*"))]


def test_the_old_board_is_kept_and_the_new_one_written(board: BoardFolder) -> None:
    copy = replace_board(board.file, state(2))
    assert board.file.read_bytes() == state(2)
    assert copy.read_bytes() == state(1)
    assert copies(board.file) == [copy]
    assert copy.parent == board.folder / FOLDER / "board.yaml"
    stamp, _, rest = copy.name.partition("Z-")
    assert abs((datetime.now(UTC) - when(stamp)).total_seconds()) < 60
    assert len(rest) == len("01234567.yaml")


def when(stamp: str) -> datetime:
    return datetime.strptime(stamp, "%Y-%m-%dT%H-%M-%S-%f").replace(tzinfo=UTC)


def test_quick_edits_are_all_kept_in_order(board: BoardFolder) -> None:
    for seconds in range(2, 40):
        replace_board(board.file, state(seconds))
    assert [copy.read_bytes() for copy in copies(board.file)] == [state(n) for n in range(1, 39)]


def test_edits_within_one_microsecond_and_a_clock_set_back(
    board: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Clock(datetime):
        times = iter(
            [datetime(2031, 5, 6, tzinfo=UTC)] * 4 + [datetime(1999, 1, 1, tzinfo=UTC)] * 9
        )

        @classmethod
        def now(cls, tz: Any = None) -> datetime:
            return next(cls.times)

    monkeypatch.setattr(history, "datetime", Clock)
    for seconds in range(2, 7):
        replace_board(board.file, state(seconds))
    assert [copy.read_bytes() for copy in copies(board.file)] == [state(n) for n in range(1, 6)]
    stamps = [copy.name.partition("Z-")[0] for copy in copies(board.file)]
    assert stamps == [f"2031-05-06T00-00-00-00000{n}" for n in range(5)]


def test_a_state_that_comes_back_is_kept_once(board: BoardFolder) -> None:
    for seconds in (2, 1, 2, 3, 1):
        replace_board(board.file, state(seconds))
    assert kept(board) == [state(2), state(3), state(1)]
    assert [copy.read_bytes() for copy in copies(board.file)] == [state(2), state(3)]


def test_undo_brings_bytes_back_and_redo_takes_them_forward(board: BoardFolder) -> None:
    for seconds in (2, 3, 4):
        replace_board(board.file, state(seconds))
    everything = kept(board)
    for seconds in (3, 2, 1):
        restored = undo(board.file)
        assert board.file.read_bytes() == restored.copy.read_bytes() == state(seconds)
        assert restored.kept.read_bytes() == state(seconds + 1)
    with pytest.raises(UsageError) as fault:
        undo(board.file)
    words = "no older copy further back is kept, so there is nothing to undo"
    assert str(fault.value) == f"{board.file}: {words}"
    for seconds in (2, 3, 4):
        restored = redo(board.file)
        assert board.file.read_bytes() == restored.copy.read_bytes() == state(seconds)
        assert restored.kept.read_bytes() == state(seconds - 1)
    with pytest.raises(UsageError) as fault:
        redo(board.file)
    words = "nothing was undone just now, so nothing can be brought back"
    assert str(fault.value) == f"{board.file}: {words}"
    assert kept(board) == everything


def test_undo_without_any_copy(board: BoardFolder) -> None:
    with pytest.raises(UsageError) as fault:
        undo(board.file)
    words = "no older copy is kept, so there is nothing to undo"
    assert str(fault.value) == f"{board.file}: {words}"
    assert not (board.folder / FOLDER).exists()


def test_an_edit_by_hand_is_kept_and_undone_first(board: BoardFolder) -> None:
    replace_board(board.file, state(2))
    board.write(b"scribbles, no board")
    restored = undo(board.file)
    assert restored.kept.read_bytes() == b"scribbles, no board"
    assert board.file.read_bytes() == state(2)
    assert undo(board.file).copy.read_bytes() == board.file.read_bytes() == state(1)


def test_an_edit_by_hand_after_undo_goes_back_to_what_undo_brought(board: BoardFolder) -> None:
    for seconds in (2, 3):
        replace_board(board.file, state(seconds))
    undo(board.file)
    undo(board.file)
    board.write(state(9))
    undo(board.file)
    assert board.file.read_bytes() == state(1)
    assert kept(board) == [state(n) for n in (1, 2, 3, 9)]


def copy_of(board: BoardFolder, seconds: int) -> Path:
    found = (board.folder / FOLDER / "board.yaml").glob("2*")
    return next(path for path in found if path.read_bytes() == state(seconds))


def test_a_broken_copy_is_passed_over_both_ways(board: BoardFolder) -> None:
    for seconds in (2, 3):
        replace_board(board.file, state(seconds))
    broken = copy_of(board, 2)
    broken.write_bytes(b"board: 1\npan")
    assert copies(board.file) == [copy_of(board, 1)]
    restored = undo(board.file)
    assert board.file.read_bytes() == state(1)
    assert restored.passed == (broken,)
    assert redo(board.file).passed == (broken,)
    assert board.file.read_bytes() == state(3)
    board.write(state(9))
    assert undo(board.file).passed == ()
    assert board.file.read_bytes() == state(3)


def test_where_only_broken_copies_are_left_the_board_stays(board: BoardFolder) -> None:
    replace_board(board.file, state(2))
    broken = copy_of(board, 1)
    broken.write_bytes(b"")
    with pytest.raises(UsageError) as fault:
        undo(board.file)
    words = "does not hold any more what was kept in it, and no older copy does"
    assert str(fault.value) == f"{board.file}: {broken} {words}, so nothing is undone"
    assert board.file.read_bytes() == state(2)


def test_a_state_whose_own_copy_broke_is_kept_again(board: BoardFolder) -> None:
    for seconds in (2, 3):
        replace_board(board.file, state(seconds))
    copy_of(board, 3).write_bytes(b"")
    assert undo(board.file).kept.read_bytes() == state(3)
    assert board.file.read_bytes() == state(2)
    redo(board.file)
    assert board.file.read_bytes() == state(3)


STEPS = st.sampled_from(["undo", "redo", "hand"]) | st.integers(1, 5)


@settings(untimed, max_examples=60)
@given(st.lists(STEPS, max_size=14))
def test_nothing_is_ever_lost(steps: list[str | int]) -> None:
    with TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        # What is on the photo does not matter here, and looking at it is slow.
        patch.setattr(history, "board_from_bytes", lambda data, file: None)
        take(steps, BoardFolder(Path(folder)))


def take(steps: list[str | int], board: BoardFolder) -> None:
    """Take the steps and check after each that every state seen can still be had."""
    board.write(state(1))
    seen, written_over = {state(1)}, set()
    for number, step in enumerate(steps):
        before, row = board.file.read_bytes(), kept(board)
        if step == "hand":
            # What an editor writes over was not in our hands.
            written_over |= {before} - set(row)
            board.write(f"by hand {number}")
        elif isinstance(step, int):
            assert replace_board(board.file, state(step)).read_bytes() == before
            assert board.file.read_bytes() == state(step)
        else:
            try:
                (undo if step == "undo" else redo)(board.file)
            except UsageError:
                assert (board.file.read_bytes(), kept(board)) == (before, row)
            else:
                assert before in kept(board)
                assert board.file.read_bytes() in row
        seen.add(board.file.read_bytes())
        assert seen - written_over <= {*kept(board), board.file.read_bytes()}
        assert len(kept(board)) == len(set(kept(board)))


def test_a_faulty_board_is_not_written_and_messages_name_the_real_file(board: BoardFolder) -> None:
    faulty = state(2).replace(b"a.jpg", b"b.jpg").replace(b"2s", b"2")
    with pytest.raises(BoardError) as fault:
        replace_board(board.file, faulty)
    assert [str(problem.place) for problem in fault.value.problems] == [
        f"{board.file}:4:21",
        f"{board.file}:4:38",
    ]
    assert board.file.read_bytes() == state(1)
    assert sorted(path.name for path in board.folder.iterdir()) == ["a.jpg", "board.yaml"]


def test_what_the_check_refuses_is_not_written(board: BoardFolder) -> None:
    seen = []

    def check(changed: Any) -> None:
        seen.append(str(changed.content.panels[0].duration))
        raise UsageError("too long")

    with pytest.raises(UsageError, match=r"^too long$"):
        replace_board(board.file, state(2), check=check)
    assert seen == ["2s"]
    assert board.file.read_bytes() == state(1)
    assert copies(board.file) == []


def test_a_board_that_was_saved_meanwhile_is_not_written_over(board: BoardFolder) -> None:
    with pytest.raises(UsageError) as fault:
        replace_board(board.file, state(3), was=state(2))
    words = "another program changed the board just now; try again"
    assert str(fault.value) == f"{board.file}: {words}"
    assert board.file.read_bytes() == state(1)
    assert replace_board(board.file, state(3), was=state(1)).read_bytes() == state(1)


@pytest.mark.parametrize("step", ["undo", "redo", "replace"])
def test_what_is_saved_while_a_command_works_is_not_written_over(
    step: str, board: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    for seconds in (2, 3):
        replace_board(board.file, state(seconds))
    undo(board.file)
    board.write(state(8) if step != "redo" else state(2))
    real: Callable[[Path], list[Path]] = history._row

    def save_meanwhile(file: Path) -> list[Path]:
        row = real(file)
        board.write(b"saved by hand")
        return row

    monkeypatch.setattr(history, "_row", save_meanwhile)
    steps = {"undo": undo, "redo": redo, "replace": lambda file: replace_board(file, state(4))}
    with pytest.raises(UsageError) as fault:
        steps[step](board.file)
    words = "another program changed the board just now; try again"
    assert str(fault.value) == f"{board.file}: {words}"
    assert board.file.read_bytes() == b"saved by hand"


def test_where_nothing_can_be_kept_nothing_is_written(board: BoardFolder) -> None:
    (board.folder / FOLDER).write_text("a file in the way")
    with pytest.raises(MachineError) as fault:
        replace_board(board.file, state(2))
    folder = board.folder / FOLDER / "board.yaml"
    assert str(fault.value).startswith(f"{folder}: the old board cannot be kept there (")
    assert str(fault.value).endswith("), so it is not changed")
    assert board.file.read_bytes() == state(1)


def test_the_new_board_stands_even_if_its_own_copy_cannot_be_kept(
    board: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    real: Callable[..., None] = history.write_beside

    def refuse(path: Path, data: bytes | str) -> None:
        if data == state(2) and path != board.file:
            raise MachineError("no space")
        real(path, data)

    monkeypatch.setattr(history, "write_beside", refuse)
    assert replace_board(board.file, state(2)).read_bytes() == state(1)
    assert board.file.read_bytes() == state(2)
    monkeypatch.undo()
    undo(board.file)
    assert board.file.read_bytes() == state(1)


@pytest.mark.skipif(os.name == "nt", reason="links take a right of their own there")
def test_a_link_goes_on_pointing_to_the_file_that_it_named(board: BoardFolder) -> None:
    real = board.folder / "real.yaml"
    board.file.rename(real)
    board.file.symlink_to(real)
    real.chmod(0o640)
    replace_board(board.file, state(2))
    assert board.file.is_symlink()
    assert real.read_bytes() == state(2)
    assert real.stat().st_mode & 0o777 == 0o640


def test_boards_side_by_side_have_copies_of_their_own(board: BoardFolder) -> None:
    other = board.folder / "board.yaml.yaml"
    other.write_bytes(state(7))
    replace_board(board.file, state(2))
    replace_board(other, state(8))
    assert [copy.read_bytes() for copy in copies(board.file)] == [state(1)]
    assert [copy.read_bytes() for copy in copies(other)] == [state(7)]


KILLED = """
import json, os, shutil, sys
from pathlib import Path
from animatic.board import history
from animatic.board.history import replace_board, undo

# The machine goes down before the nth thing that is done to the disk, each time in a folder
# that nobody has worked in.
start, what, new = Path(sys.argv[1]), sys.argv[2], sys.argv[3].encode()
history.board_from_bytes = lambda data, file: None
calls = ("open", "write", "flush", "fsync", "replace", "mkdir", "chmod", "unlink", "__exit__")
found = []
for deadline in range(1, 500):
    folder = start.with_name(f"{start.name}-{deadline}")
    shutil.copytree(start, folder)
    file = folder / "board.yaml"
    child = os.fork()
    if not child:
        left = deadline
        def watch(frame, event, called):
            global left
            if event == "c_call" and called.__name__ in calls:
                left -= 1
                if left == 0:
                    os._exit(9)
        sys.setprofile(watch)
        replace_board(file, new) if what == "replace" else undo(file)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    row = sorted(path for path in (folder / ".animatic" / "board.yaml").glob("2*"))
    found.append([code, file.read_text(), [path.read_text() for path in row]])
    if code == 0:
        break
print(json.dumps(found))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize("what", ["replace", "undo"])
def test_killed_at_any_moment_the_board_is_whole_and_nothing_is_lost(
    board: BoardFolder, what: str
) -> None:
    old, new = state(1).decode(), state(2).decode()
    if what == "undo":
        # The board is edited by hand, so that undo has to keep it.
        replace_board(board.file, state(2))
        board.write(old := state(3).decode())
    script = [sys.executable, "-c", textwrap.dedent(KILLED), str(board.folder), what, new]
    ended = subprocess.run(script, capture_output=True, text=True, check=True)
    found = json.loads(ended.stdout)
    codes = [code for code, _, _ in found]
    assert codes == [9] * (len(codes) - 1) + [0]
    assert len(codes) > 20, "so many moments at least there are to go down at"
    for _, content, row in found:
        assert content in (old, new)
        assert content == old or old in row
        assert set(row) <= {state(1).decode(), old, new}
    contents = [content for _, content, _ in found]
    assert contents == sorted(contents, reverse=old > new)
    assert (contents[0], contents[-1]) == (old, new)
