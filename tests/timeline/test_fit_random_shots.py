"""Fitting random shots of several panels, held against every way to do it, tried one by one."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, product
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from boards import BoardFolder
from hypothesis import given, settings
from hypothesis import strategies as st
from test_fit import lengths, with_lengths
from test_fit_shots import film

from animatic.board import Board
from animatic.timeline import Timeline, lay_out
from animatic.timeline.beats import beat_frames, fit_beats
from animatic.timeline.fit import CannotFit, fit_length, limits


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("shots"))
    made.photo()
    made.sound("music.wav", 48_000 * 60)
    return made


@dataclass(frozen=True)
class Row:
    """A panel of a random board; `free` is how it is written, False for a count."""

    frames: int
    is_free: bool
    words: int
    at: int
    over: bool

    def written(self, shot: str, more: str) -> str:
        length = f"{self.frames / 24:.6f}s" if self.is_free else f"{self.frames}f"
        line = " ".join(["word"] * self.words)
        over = ", over: next" if self.over else ""
        said = f", dialogue: [{{who: Odd, line: {line}, at: {self.at}f{over}}}]" if line else ""
        return f"- {{{shot}photo: a.jpg, duration: {length}{said}{more}}}"


def small_rows(most: int) -> st.SearchStrategy[list[list[Row]]]:
    row = st.builds(
        Row,
        st.integers(3, most),
        st.sampled_from([True, True, True, False]),
        st.sampled_from([0, 0, 1]),
        st.integers(0, 6),
        st.booleans(),
    )
    return st.lists(st.lists(row, min_size=1, max_size=3), min_size=1, max_size=3)


@st.composite
def small_films(
    draw: st.DrawFn, most: int = 40, pace: int = 240
) -> tuple[str, list[list[Row]], list[int]]:
    """Return a board, its shots, and what the transitions take of each shot.

    A word takes 6 frames at 240 a minute. The transitions are as long as the shots allow.
    """
    shots = draw(small_rows(most))
    total = [sum(row.frames for row in shot) for shot in shots]
    taken, more = [0] * len(shots), [[""] * len(shot) for shot in shots]
    for n in range(len(shots)):
        kind = draw(st.sampled_from(["", "dissolve", "from_black", "to_black"]))
        room = total[n] - taken[n]
        if kind == "dissolve" and n:
            # Of an even number one half lies on either side of the cut.
            half = draw(st.integers(0, min(room, total[n - 1] - taken[n - 1])))
            if half and "to_black" not in more[n - 1][-1]:
                taken[n - 1], taken[n] = taken[n - 1] + half, taken[n] + half
                more[n][0] += f", transition: {{dissolve: {2 * half}f}}"
        elif kind.endswith("black") and room:
            fade = draw(st.integers(1, room))
            at = 0 if kind == "from_black" else -1
            more[n][at] += f", transition: {{{kind}: {fade}f}}"
            taken[n] += fade
    lines = [
        row.written(f"shot: {n}, " if i == 0 else "", more[n][i])
        for n, shot in enumerate(shots)
        for i, row in enumerate(shot)
    ]
    text = film("\n".join(lines), bpm=draw(st.integers(60, 240)), first=0)
    return text.replace("words_per_minute: 60", f"words_per_minute: {pace}"), shots, taken


def keeps_all(
    frames: list[int], shots: list[list[Row]], taken: list[int], *, to_beats: bool = False
) -> bool:
    """Whether these lengths leave every panel and shot what the text says that it needs.

    Said anew here, from the written values alone: a line ends in its shot (or where it ended, if
    that was beyond it, and counts or a fit to beats leave it so), `shortest` is 2 frames, and
    transitions have room in their shot.
    """
    at = 0
    for shot, ends in zip(shots, taken, strict=True):
        has, had = frames[at : at + len(shot)], [row.frames for row in shot]
        at += len(shot)
        if sum(has) < ends:
            return False
        for i, row in enumerate(shot):
            spoken = (row.at + (0 if row.over else 6)) if row.words else 0
            alone = min(row.frames, max(2, spoken))
            if has[i] < alone or (not row.is_free and has[i] != row.frames):
                return False
            may_stay = to_beats or row.over or not any(later.is_free for later in shot[i:])
            if sum(has[i:]) < (min(spoken, sum(had[i:])) if may_stay else spoken):
                return False
    return True


def least_by_trying(shots: list[list[Row]], taken: list[int]) -> int:
    """Return the fewest frames of a film, of every way to give each panel up to what it has.

    Or up to the 12 frames at which the latest line ends.
    """
    total = 0
    for shot, ends in zip(shots, taken, strict=True):
        ways = product(
            *(range(1, max(row.frames, 12) + 1) if row.is_free else (row.frames,) for row in shot)
        )
        total += min(sum(way) for way in ways if keeps_all(list(way), [shot], [ends]))
    return total


@settings(max_examples=80, deadline=None)
@given(small_films(most=14))
def test_the_shortest_film_is_the_shortest_there_is(
    folder: BoardFolder, made: tuple[str, list[list[Row]], list[int]]
) -> None:
    text, shots, taken = made
    board = folder.read(text)
    assert limits(board, lay_out(board)).shortest == least_by_trying(shots, taken)


def fitted(board: Board, before: Timeline, frames: int) -> Timeline:
    return lay_out(with_lengths(board, fit_length(board, before, frames)))


@settings(max_examples=80, deadline=None)
@given(small_films(), st.integers(1, 300))
def test_every_length_within_the_limits_fits_and_none_outside(
    folder: BoardFolder, made: tuple[str, list[list[Row]], list[int]], beyond: int
) -> None:
    text, shots, taken = made
    board = folder.read(text)
    before = lay_out(board)
    bounds = limits(board, before)
    most = bounds.shortest + 40 if bounds.longest is None else bounds.longest
    more = [max(bounds.shortest, before.frames) + beyond] if bounds.longest is None else []
    for frames in (*range(bounds.shortest, most + 1), *more):
        after = fitted(board, before, frames)
        assert after.frames == frames
        assert keeps_all(lengths(after), shots, taken)
    outside = [bounds.shortest - 1] if bounds.longest is None else [bounds.shortest - 1, most + 1]
    for frames in outside:
        with pytest.raises(CannotFit):
            fit_length(board, before, frames)


@settings(max_examples=80, deadline=None)
@given(st.sampled_from([1, 2, 3]), small_films(), st.integers(0, 60))
def test_a_film_on_any_poses_can_have_every_length_it_is_told(
    folder: BoardFolder, shoot_on: int, made: tuple[str, list[list[Row]], list[int]], more: int
) -> None:
    board = folder.read(made[0].replace("shoot_on: 1", f"shoot_on: {shoot_on}"))
    try:
        before = lay_out(board)
    except ValueError:
        return  # On its poses the film is too short for its transitions.
    bounds = limits(board, before)
    frames = bounds.shortest + (more if bounds.longest is None else 0)
    after = fitted(board, before, frames)
    assert after.frames == frames
    for shot, old, rows in zip(after.shots, before.shots, made[1], strict=True):
        bound = [row for row in rows if row.words and not row.over]
        spoken = [
            (line.end_frame - shot.end, was.end_frame - old.end)
            for panel, then, row in zip(shot.panels, old.panels, rows, strict=True)
            for line, was in zip(panel.lines, then.lines, strict=True)
            if not row.over
        ]
        assert len(spoken) == len(bound)
        # No cut lies further in a line than it did.
        assert all(over <= max(0, was) for over, was in spoken)


@settings(max_examples=80, deadline=None)
@given(small_films(most=7), st.integers(1, 3))
def test_cuts_go_to_beats_as_well_as_can_be_where_shots_have_several_panels(
    made: tuple[str, list[list[Row]], list[int]], tolerance: int
) -> None:
    text, shots, taken = made
    with TemporaryDirectory() as name:
        folder = BoardFolder(Path(name))
        folder.photo()
        folder.sound("music.wav", 48_000 * 60)
        board = folder.read(text)
    before = lay_out(board)
    beats = set(beat_frames(board, before))
    after = lay_out(with_lengths(board, fit_beats(board, before, tolerance)))
    assert after.frames == before.frames
    assert keeps_all(lengths(after), shots, taken, to_beats=True)
    old = [shot.start for shot in before.shots]

    def cost(starts: list[int]) -> tuple[int, int]:
        moved = sum(abs(new - at) for new, at in zip(starts, old, strict=True))
        return sum(at not in beats for at in starts[1:]), moved

    # Every place for every cut, and every length of every panel between them.
    can_have: list[set[int]] = []
    for n, (shot, ends) in enumerate(zip(shots, taken, strict=True)):
        most = before.shots[n].frames + 2 * tolerance
        ways = product(*(range(1, most + 1) if row.is_free else (row.frames,) for row in shot))
        can_have.append(
            {
                sum(way)
                for way in ways
                if sum(way) <= most and keeps_all(list(way), [shot], [ends], to_beats=True)
            }
        )
    choices = [(0,), *(range(at - tolerance, at + tolerance + 1) for at in old[1:])]
    allowed = [
        cost(list(starts))
        for starts in product(*choices)
        if all(
            end - start in can
            for (start, end), can in zip(pairwise((*starts, before.frames)), can_have, strict=True)
        )
    ]
    assert cost([shot.start for shot in after.shots]) == min(allowed)


@settings(max_examples=60, deadline=None)
@given(small_films(), st.data())
def test_there_and_back_over_shots_of_several_panels(
    folder: BoardFolder, made: tuple[str, list[list[Row]], list[int]], data: st.DataObject
) -> None:
    board = folder.read(made[0])
    before = lay_out(board)
    bounds = limits(board, before)
    if bounds.longest is not None or not keeps_all(lengths(before), *made[1:]):
        return
    now = board
    for _ in range(3):
        frames = data.draw(st.integers(bounds.shortest, bounds.shortest + 90))
        now = with_lengths(now, fit_length(now, lay_out(now), frames))
        assert limits(now, lay_out(now)) == bounds
        if frames != before.frames:
            assert lengths(lay_out(now)) == lengths(fitted(board, before, frames))
    back = with_lengths(now, fit_length(now, lay_out(now), before.frames))
    written = [entry.duration for entry in board.content.panels]
    assert [entry.duration for entry in back.content.panels] == written


def test_the_oracle_sees_what_is_wrong() -> None:
    shot = [Row(10, True, 1, 6, False), Row(10, True, 0, 0, False)]
    assert keeps_all([10, 10], [shot], [20])
    assert not keeps_all([10, 9], [shot], [20])
    assert not keeps_all([10, 1], [shot], [0])
