"""What fits by a frame, and what does not: transitions and moves against the lengths around them.

The messages in full stand in tests/test_faults.py; here are the limits.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.errors import BoardError
from animatic.timeline import Timeline, spans
from tests.boards import HEAD, BoardFolder
from tests.strategies import untimed


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    board = BoardFolder(tmp_path_factory.mktemp("film"))
    board.photo()
    return board


def three(board: BoardFolder, *transitions: str, frames: int = 24) -> Timeline:
    """Lay out three shots of as many frames, with these transitions."""
    lines = [
        f"  - {{shot: s{at}, photo: a.jpg, duration: {frames}f, transition: {{{how}}}}}\n"
        for at, how in enumerate(transitions)
    ]
    return board.lay_out(f"{HEAD}panels:\n{''.join(lines)}")


def problems(board: BoardFolder, *transitions: str, frames: int = 24) -> list[str]:
    """What is said of three such shots, without the places."""
    try:
        three(board, *transitions, frames=frames)
    except BoardError as fault:
        return [
            "; ".join(filter(None, (f"{one.key}: {one.found}", one.allowed)))
            for one in fault.problems
        ]
    return []


def fade(word: str, shot: int, length: int, room: int) -> str:
    """What is said of a fade that is too long for its shot."""
    return (
        f"panels[{shot}].transition.{word}: a fade of {length} frames in shot s{shot - 1},"
        f" which has {room} frames for it; at most {room}f"
    )


def cross(shot: int, length: int, before: int, after: int, most: int) -> str:
    """What is said of a dissolve into a shot, from what the two shots have for it."""
    return (
        f"panels[{shot}].transition.dissolve: a dissolve of {length} frames takes {length // 2} of"
        f" shot s{shot - 2} and {-(-length // 2)} of shot s{shot - 1}, which have {before} and"
        f" {after} frames for it; at most {most}f"
    )


@pytest.mark.parametrize(
    ("second", "third", "said"),
    [
        # Of n frames, floor(n / 2) lie before the cut and ceil(n / 2) after it.
        ("dissolve: 24f", "dissolve: 24f", []),
        ("dissolve: 24f", "dissolve: 25f", []),
        ("dissolve: 25f", "dissolve: 24f", [cross(2, 25, 24, 12, 24)]),
        ("dissolve: 24f", "dissolve: 26f", [cross(3, 26, 12, 24, 25)]),
        ("dissolve: 48f", "", []),
        ("dissolve: 49f", "", [cross(2, 49, 24, 24, 48)]),
        ("", "dissolve: 48f", []),
        ("", "dissolve: 50f", [cross(3, 50, 24, 24, 48)]),
        ("from_black: 24f", "", []),
        ("from_black: 25f", "", [fade("from_black", 2, 25, 24)]),
        ("from_black: 12f, to_black: 12f", "", []),
        ("from_black: 12f, to_black: 13f", "", [fade("to_black", 2, 13, 12)]),
        ("from_black: 12f", "dissolve: 24f", []),
        ("from_black: 12f", "dissolve: 26f", [cross(3, 26, 12, 24, 25)]),
        ("dissolve: 24f, to_black: 12f", "from_black: 24f", []),
        ("dissolve: 24f, to_black: 13f", "from_black: 24f", [fade("to_black", 2, 13, 12)]),
        ("to_black: 24f", "", []),
        ("to_black: 1s", "", []),
    ],
)
def test_transitions_of_a_shot_may_touch_but_not_meet(
    second: str, third: str, said: list[str], board: BoardFolder
) -> None:
    assert problems(board, "", second, third) == said


def test_the_first_shot_ends_as_any_other(board: BoardFolder) -> None:
    assert problems(board, "from_black: 12f", "dissolve: 25f", "") == []
    assert problems(board, "from_black: 13f", "dissolve: 24f", "") == [
        fade("from_black", 1, 13, 12)
    ]


def test_the_last_shot_has_nothing_to_dissolve_into(board: BoardFolder) -> None:
    assert problems(board, "", "", "dissolve: 24f, to_black: 12f") == []
    assert problems(board, "", "", "dissolve: 24f, to_black: 13f") == [fade("to_black", 3, 13, 12)]


def test_a_transition_shorter_than_a_frame_is_one_frame(board: BoardFolder) -> None:
    timeline = three(board, "", "dissolve: 0.001s", "")
    assert timeline.shots[1].transition.dissolve == 1


def test_every_misfit_is_told(board: BoardFolder) -> None:
    assert problems(board, "dissolve: 10f", "to_black: 12f", "dissolve: 2f, from_black: 2f") == [
        "panels[1].transition.dissolve: a dissolve into the first shot, with nothing before it",
        "panels[2].transition.to_black: shot s1 fades to black and the next one dissolves from it",
        "panels[3].transition: a dissolve and a fade from black at one cut",
    ]


how = st.integers(0, 40).map(lambda n: f"{n}f" if n else "")


def keys(dissolve: str, from_black: str, to_black: str) -> str:
    pairs = {"dissolve": dissolve, "from_black": from_black, "to_black": to_black}
    return ", ".join(f"{key}: {value}" for key, value in pairs.items() if value)


@settings(untimed, max_examples=60)
@given(how, how, how, how, how)
def test_what_is_laid_out_can_be_shown(
    board: BoardFolder, into: str, black: str, out: str, then: str, last: str
) -> None:
    """Where no problem is told, every frame has one span and no two mixes share a frame."""
    shots = ("", keys(into, "" if into else black, "" if then else out), keys(then, "", last))
    try:
        timeline = three(board, *shots, frames=30)
    except BoardError:
        return
    found = spans(timeline)
    assert [span.start for span in found] == [0, *(span.end for span in found[:-1])]
    assert found[-1].end == timeline.frames == 90
    mixed = [0] * timeline.frames
    for shot in timeline.shots:
        dissolve, start = shot.transition.dissolve, shot.start - shot.transition.dissolve // 2
        for frame in (
            *range(start, start + dissolve),
            *range(shot.start, shot.start + shot.transition.from_black),
            *range(shot.end - shot.transition.to_black, shot.end),
        ):
            mixed[frame] += 1
    assert max(mixed) <= 1
    assert [frame for frame, count in enumerate(mixed) if count] == [
        frame for span in found if span.ramp for frame in range(span.start, span.end)
    ]


@pytest.mark.parametrize(
    ("move", "said"),
    [
        ("start: 0f", ""),
        ("start: 22f", ""),
        ("start: 23f", "a move from frame 23 to frame 23 of a panel with frames 0 to 23"),
        ("length: 24f", ""),
        ("length: 25f", "a move from frame 0 to frame 25 of a panel with frames 0 to 23"),
        ("start: 12f, length: 12f", ""),
        ("start: 12f, length: 13f", "a move from frame 12 to frame 25 of a panel with"
         " frames 0 to 23"),
        ("length: 0.001s", "a move from frame 0 to frame 0 of a panel with frames 0 to 23"),
    ],
)  # fmt: skip
def test_a_move_needs_two_frames_of_its_panel(move: str, said: str, board: BoardFolder) -> None:
    text = (
        f"{HEAD}panels:\n"
        f"  - {{shot: 10, photo: a.jpg, duration: 24f, move: {{to: {{width: 0.5}}, {move}}}}}\n"
    )
    if not said:
        board.lay_out(text)
        return
    with pytest.raises(BoardError) as fault:
        board.lay_out(text)
    (problem,) = fault.value.problems
    assert (problem.key, problem.found) == ("panels[1].move", said)
    assert problem.hint == "start it earlier, shorten it, or give the panel more frames"


def test_a_panel_of_one_frame_cannot_move(board: BoardFolder) -> None:
    text = (
        f"{HEAD}panels:\n"
        "  - {shot: 10, photo: a.jpg, duration: 1f, move: {to: {width: 0.5}}}\n"
    )
    with pytest.raises(BoardError, match="a move from frame 0 to frame 0 of a panel"):
        board.lay_out(text)


def test_sorts_of_sound_that_skip_leaves_nothing_of(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    board.sound(samples=48_000)
    text = (
        f"{HEAD}music: [{{file: a.wav, skip: 24f}}]\npanels:\n"
        "  - {shot: 10, photo: a.jpg, sounds: [{file: a.wav, skip: 23f}, {file: a.wav, skip: 9s}]}"
    )
    with pytest.raises(BoardError) as fault:
        board.lay_out(text)
    assert [(p.key, p.found, p.allowed) for p in fault.value.problems] == [
        (
            "music[1].skip",
            "24f left out of a sound of 1.000 s leaves nothing",
            "less than 1.000s",
        ),
        (
            "panels[1].sounds[2].skip",
            "9s left out of a sound of 1.000 s leaves nothing",
            "less than 1.000s",
        ),
    ]


def test_the_limit_shown_for_a_skip_is_one_that_is_kept(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    board.sound(samples=48_401)  # 1.00835... s
    text = "{}music: [{{file: a.wav, skip: {}}}]\npanels: [{{shot: 10, photo: a.jpg}}]"
    with pytest.raises(BoardError) as fault:
        board.lay_out(text.format(HEAD, "1.0084s"))
    (problem,) = fault.value.problems
    assert problem.allowed == "less than 1.008s"
    assert board.lay_out(text.format(HEAD, "1.007s")).frames
