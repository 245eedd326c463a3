"""Fitting a film to a length: exact sums, what stays stays, and nothing below its least."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from apportionment import methods
from boards import BoardFolder, panels
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.board import Board, Duration
from animatic.board.keys.durations import parse_panel_duration
from animatic.frames import Rate, share_in_steps
from animatic.timeline import Timeline, lay_out
from animatic.timeline.fit import CannotFit, fit_length, limits
from animatic.timeline.least import parts

# Published examples of the largest-remainder method, checked with apportionment 1.0.
PUBLISHED = [
    ([6, 6, 2], 10, [4, 4, 2]),
    ([6, 6, 2], 11, [5, 5, 1]),
    ([5670, 3850, 420, 60], 323, [183, 124, 14, 2]),
    ([1, 5, 13], 28, [2, 7, 19]),
    ([50, 30, 20], 7, [4, 2, 1]),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("fit"))
    made.photo()
    made.sound("line.wav", 60_000)
    return made


def with_lengths(board: Board, lengths: dict[int, Duration | None]) -> Board:
    """Return the board with these lengths, as it would be read back."""
    entries = list(board.content.panels)
    for index, length in lengths.items():
        duration = parse_panel_duration(str(length)) if length is not None else None
        assert duration == length
        entries[index] = entries[index].model_copy(update={"duration": duration})
    return replace(board, content=board.content.model_copy(update={"panels": entries}))


def lengths(timeline: Timeline) -> list[int]:
    return [panel.frames for panel in timeline.panels]


@pytest.mark.parametrize(("weights", "total", "expected"), PUBLISHED)
def test_sharing_single_frames_is_the_largest_remainder_method(
    weights: list[int], total: int, expected: list[int]
) -> None:
    ones = [1] * len(weights)
    assert share_in_steps(weights, [0] * len(weights), ones, total) == expected
    by_library = methods.compute("largest_remainder", weights, total, verbose=False)
    assert by_library == expected


@given(
    st.lists(
        st.tuples(st.integers(1, 500), st.integers(0, 60), st.sampled_from([1, 2, 3, 4])),
        min_size=1,
        max_size=12,
    ),
    st.integers(0, 3000),
)
def test_shares_are_exact_and_never_below_the_least(
    rows: list[tuple[int, int, int]], extra: int
) -> None:
    weights = [row[0] for row in rows]
    least = [row[1] // row[2] * row[2] for row in rows]
    steps = [row[2] for row in rows]
    total = sum(least) + extra
    shares = share_in_steps(weights, least, steps, total)
    assert sum(shares) == total
    assert all(share >= low for share, low in zip(shares, least, strict=True))
    # Only the last share may end off its pose grid, by what no whole pose fits into.
    assert all(share % step == 0 for share, step in zip(shares[:-1], steps[:-1], strict=True))


def test_sharing_less_than_the_least_is_refused() -> None:
    with pytest.raises(ValueError, match="9 frames to share; the least shares need 10"):
        share_in_steps([1, 1], [4, 6], [2, 2], 9)


def random_board(fitted: bool = True) -> st.SearchStrategy[str]:
    seconds = st.integers(3, 60).map(lambda tenths: f"duration: {tenths / 10:.1f}s")
    counts = st.integers(1, 90).map(lambda n: f"duration: {n}f")
    spoken = st.sampled_from(
        [
            "dialogue: [{who: Odd, line: The tide is late}]",
            "dialogue: [{who: Odd, line: The tide is late, voice: line.wav}]",
        ]
    )
    fits = st.tuples(st.integers(3, 60), st.integers(1, 90)).map(
        lambda pair: f"duration: {pair[0] / 10:.1f}s ~{pair[1]}f"
    )
    alone = st.integers(1, 90).map(lambda n: f"duration: ~{n}f")
    lengths = [seconds, seconds, counts, spoken, st.just("note: the default")]
    length = st.one_of(*lengths, *([fits, alone] if fitted else []))
    more = st.sampled_from(["", "", "", ", lock: true", ", shoot_on: 1", ", shoot_on: 3"])
    panel = st.tuples(st.booleans(), length, more)
    return st.tuples(
        st.sampled_from(["12", "15", "24", "25", "30", "23.976", "29.97", "59.94"]),
        st.integers(1, 4),
        st.lists(panel, min_size=1, max_size=14),
    ).map(_written)


def _written(parts: tuple[str, int, list[tuple[bool, str, str]]]) -> str:
    rate, shoot_on, rows = parts
    lines = []
    for index, (is_new, length, more) in enumerate(rows):
        shot = f"shot: {index}, " if is_new or index == 0 else ""
        lines.append(f"- {{{shot}photo: a.jpg, {length}{more}}}")
    head = f"board: 1\nrate: {rate}\nshoot_on: {shoot_on}\npicture: {{size: 160x90}}\n"
    return panels("\n".join(lines), head)


@settings(max_examples=150, deadline=None)
@given(random_board(), st.fractions(Fraction(1, 2), 3), st.booleans())
def test_fitting_gives_exactly_the_length_and_leaves_what_is_held(
    folder: BoardFolder, text: str, factor: Fraction, everything: bool
) -> None:
    board = folder.read(text)
    before = lay_out(board)
    wanted = max(1, int(before.frames * factor))
    allowed = parts(board, before, everything)
    try:
        changes = fit_length(board, before, wanted, everything)
    except CannotFit:
        bounds = limits(board, before, everything)
        assert wanted < bounds.shortest or wanted > (bounds.longest or wanted)
        return
    after = lay_out(with_lengths(board, changes))
    assert after.frames == wanted
    if wanted == before.frames:
        assert changes == {}
        return
    for part, frames in zip(allowed, lengths(after), strict=True):
        assert frames >= part.least if part.moves else frames == part.own
    again = fit_length(with_lengths(board, changes), after, wanted, everything)
    assert again == {}


def held(board: Board) -> list[tuple[str, str]]:
    """Return what is written of the lengths that are the film-maker's own counts."""
    lengths = [(str(n), e.duration) for n, e in enumerate(board.content.panels)]
    return [(n, str(length)) for n, length in lengths if length and length.is_own_count]


@settings(max_examples=150, deadline=None)
@given(
    random_board(fitted=False),
    st.lists(st.fractions(Fraction(1, 3), 3), min_size=2, max_size=4),
)
def test_one_fit_after_another_is_the_last_one_alone(
    folder: BoardFolder, text: str, factors: list[Fraction]
) -> None:
    """Whatever a film was fitted to before, it can be fitted to the same lengths, just so."""
    board = at_first = folder.read(text)
    before = lay_out(board)
    possible = limits(board, before)
    for factor in factors:
        timeline = lay_out(board)
        wanted = max(1, int(before.frames * factor))
        assert limits(board, timeline) == possible
        if possible.longest is None and wanted >= possible.shortest:
            board = with_lengths(board, fit_length(board, timeline, wanted))
            assert lay_out(board).frames == wanted
            if wanted != before.frames:
                straight = fit_length(at_first, before, wanted)
                assert lengths(lay_out(with_lengths(at_first, straight))) == lengths(lay_out(board))
        assert held(board) == held(at_first)


@settings(max_examples=100, deadline=None)
@given(random_board(fitted=False), st.fractions(Fraction(1, 3), 3))
def test_there_and_back_is_what_was_written(
    folder: BoardFolder, text: str, factor: Fraction
) -> None:
    at_first = folder.read(text)
    before = lay_out(at_first)
    wanted = max(1, int(before.frames * factor))
    possible = limits(at_first, before)
    if possible.longest is not None or wanted < possible.shortest:
        return
    there = with_lengths(at_first, fit_length(at_first, before, wanted))
    back = with_lengths(there, fit_length(there, lay_out(there), before.frames))
    written = [entry.duration for entry in at_first.content.panels]
    assert [entry.duration for entry in back.content.panels] == written


@settings(max_examples=100, deadline=None)
@given(random_board())
def test_a_fitted_length_is_laid_out_as_the_plain_count_is(folder: BoardFolder, text: str) -> None:
    plain = re.sub(r"(?:[\d.]+s )?~", "", text)
    assert folder.lay_out(text) == folder.lay_out(plain)


@settings(max_examples=100, deadline=None)
@given(random_board())
def test_the_length_it_has_changes_nothing(folder: BoardFolder, text: str) -> None:
    board = folder.read(text)
    timeline = lay_out(board)
    assert fit_length(board, timeline, timeline.frames) == {}


@settings(max_examples=100, deadline=None)
@given(random_board(), st.booleans())
def test_the_shortest_length_it_names_can_be_had(
    folder: BoardFolder, text: str, everything: bool
) -> None:
    board = folder.read(text)
    timeline = lay_out(board)
    shortest = limits(board, timeline, everything).shortest
    changes = fit_length(board, timeline, shortest, everything)
    assert lay_out(with_lengths(board, changes)).frames == shortest


def test_what_cannot_be_had_names_the_limits_and_what_holds(folder: BoardFolder) -> None:
    board = folder.read(
        panels(
            """
            - {shot: 10, photo: a.jpg, duration: 2s, lock: true}
            - {shot: 20, photo: a.jpg, duration: 60f}
            - {shot: 30, photo: a.jpg, dialogue: [{who: Odd, line: Late, voice: line.wav}]}
            - {shot: 40, photo: a.jpg, duration: 3s}
            """
        )
    )
    with pytest.raises(CannotFit) as caught:
        fit_length(board, lay_out(board), 100)
    assert str(caught.value) == (
        "the film cannot have 100 frames (4.17 s)\n"
        "shortest: 182 frames (7.58 s); longest: 24 hours\n"
        "what holds it:\n"
        "  shot 20, panel 1: 60 frames by an explicit count (60f)\n"
        "  shot 30, panel 1: 50 frames by recorded dialogue\n"
        "  shot 10, panel 1: 48 frames by lock\n"
        "  shot 40, panel 1: 24 frames by shortest\n"
        "with --all, which also moves counts such as 60f and recorded dialogue, shortest: 146"
        " frames (6.08 s); longest: 24 hours"
    )


def test_a_film_that_is_all_held_has_one_length(folder: BoardFolder) -> None:
    board = folder.read(panels("- {shot: 10, photo: a.jpg, duration: 2s, lock: true}"))
    with pytest.raises(CannotFit, match=r"shortest: 48 frames .*; longest: 48 frames"):
        fit_length(board, lay_out(board), 96)


def test_what_fit_wrote_moves_again_and_ones_own_counts_stay(folder: BoardFolder) -> None:
    at_first = board = folder.read(
        panels(
            """
            - {shot: 10, photo: a.jpg, duration: 2.5s}
            - {shot: 20, photo: a.jpg, duration: 60f}
            - {shot: 30, photo: a.jpg}
            """
        )
    )
    written = []
    for wanted in (120, 300, 168):
        board = with_lengths(board, fit_length(board, lay_out(board), wanted))
        assert lay_out(board).frames == wanted
        written.append([str(entry.duration) for entry in board.content.panels])
    assert written == [
        ["2.5s ~34f", "60f", "~26f"],
        ["2.5s ~134f", "60f", "~106f"],
        # 60 + 60 + 48: what was written.
        ["2.5s", "60f", "None"],
    ]
    everything = fit_length(at_first, lay_out(at_first), 336, everything=True)
    assert {index: str(length) for index, length in everything.items()} == {
        0: "2.5s ~120f",
        1: "120f",
        2: "~96f",
    }


def test_a_recording_sets_the_length_of_a_panel_that_was_fitted_before(
    folder: BoardFolder,
) -> None:
    rows = """
    - {{shot: 10, photo: a.jpg, dialogue: [{{who: Odd, line: Late{}}}]{}}}
    - {{shot: 20, photo: a.jpg, duration: 3s}}
    """
    # The recording has 30 frames; with the pauses around it the panel needs 50.
    recorded = folder.read(panels(rows.format(", voice: line.wav", ", duration: ~24f")))
    assert lengths(lay_out(recorded)) == [24, 72]
    fitted = with_lengths(recorded, fit_length(recorded, lay_out(recorded), 120))
    assert lengths(lay_out(fitted)) == [50, 70]
    # A panel that is locked keeps what it was fitted to.
    locked = folder.read(panels(rows.format(", voice: line.wav", ", duration: ~24f, lock: true")))
    fitted = with_lengths(locked, fit_length(locked, lay_out(locked), 120))
    assert lengths(lay_out(fitted)) == [24, 96]


def test_transitions_and_moves_keep_their_room(folder: BoardFolder) -> None:
    board = folder.read(
        panels(
            """
            - {shot: 10, photo: a.jpg, duration: 4s, shortest: 2f}
            - shot: 20
              photo: a.jpg
              duration: 4s
              shortest: 2f
              transition: {dissolve: 24f}
            - shot: 30
              photo: a.jpg
              duration: 4s
              shortest: 2f
              move: {to: {width: 0.5, height: 0.5}, length: 40f}
            """
        )
    )
    assert [part.least for part in parts(board, lay_out(board))] == [12, 12, 40]
    assert Path(board.file).name == "board.yaml"


@pytest.mark.parametrize("weights", [[], [0, 0], [3, -1]])
def test_weights_that_say_nothing_are_refused(weights: list[int]) -> None:
    ones = [1] * len(weights)
    with pytest.raises(
        ValueError, match="weights must be zero or more, with at least one above zero"
    ):
        share_in_steps(weights, [0] * len(weights), ones, 4)


def test_a_rate_is_a_fraction() -> None:
    with pytest.raises(ValueError, match="24 frames a second; allowed: "):
        Rate(24)  # type: ignore[arg-type]
