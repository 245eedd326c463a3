"""set and undo: single values of a board changed in place, and its former states brought back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from animatic.cli.common import again, bytes_as_read, read
from animatic.cli.options import board_argument
from animatic.errors import BoardError, UsageError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.board.edits.edit import Change, Removal
    from animatic.timeline import Timeline
    from animatic.timeline.model import Shot

F = TypeVar("F", bound=Callable[..., Any])

_KEYS = ("size", "setup", "duration", "shoot_on", "note")
_MOST_SHOTS = 8


class _PanelValue(click.ParamType[str]):
    """What a panel's key may say; it stays the text that was typed."""

    name = "text"

    def __init__(self, key: str) -> None:
        self.key = key

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the text, or fail with what the key allows."""
        from pydantic import TypeAdapter, ValidationError

        from animatic.board.keys.schema import PanelEntry

        kind: Any = PanelEntry.model_fields[self.key].annotation
        try:
            TypeAdapter(kind).validate_python(value)
        except ValidationError as fault:
            said = fault.errors()[0].get("ctx", {})
            allowed = f"allowed: {said['allowed']}" if said.get("allowed") else ""
            parts = (said.get("found", value), allowed, said.get("hint"))
            self.fail("; ".join(filter(None, parts)), param, ctx)
        return str(value).strip()


def _value_option(key: str, metavar: str, words: str) -> Callable[[F], F]:
    name = "--" + key.replace("_", "-")
    return click.option(name, key, type=_PanelValue(key), metavar=metavar, help=words)


@click.command("set", short_help="Change values of a shot or panel in the board.")
@click.argument("words", nargs=-1, metavar="[BOARD] SHOT[/PANEL]")
@_value_option("duration", "LENGTH", "The panel's length, as 2.5s, 60f or 2s12f.")
@_value_option("size", "SIZE", "The shot size, as MS.")
@_value_option("setup", "SETUP", "The setup, by its key; it goes for the whole shot.")
@_value_option("shoot_on", "N", "Frames a pose is exposed, to the end of the shot.")
@_value_option("note", "WORDS", "The panel's note.")
@click.option(
    "--clear",
    type=click.Choice([key.replace("_", "-") for key in _KEYS]),
    multiple=True,
    help="Take this key out of the board, so that what holds without it holds.",
)
def set_values(words: tuple[str, ...], clear: tuple[str, ...], **values: str | None) -> None:
    """Change single values of a shot or panel in the board file, and nothing else in it.

    Without BOARD it is the one in the current folder. Panels are counted from 1 within their
    shot: 20/2 is the second one of shot 20. Says what the change means in frames and poses; the
    old board is kept, and undo brings it back.
    """
    if not 1 <= len(words) <= 2 or (len(words) == 1 and _is_board(Path(words[0]))):
        raise UsageError("say the board and one shot, as: animatic set . 20/2 --duration 2s")
    wanted = {key: values[key] for key in _KEYS if values[key] is not None}
    cleared = [key.replace("-", "_") for key in clear]
    for key in cleared:
        if key in wanted:
            option = key.replace("_", "-")
            raise UsageError(f"--clear {option} and --{option} contradict each other")
    if not wanted and not cleared:
        options = ", ".join("--" + key.replace("_", "-") for key in _KEYS)
        raise UsageError(f"say what to change: {options} or --clear")
    board, before = read(Path(words[0]) if len(words) == 2 else Path("."))
    _check_setup(board, wanted.get("setup"))
    shot, number = _target(before, words[-1])
    edits = list(_edits(board, shot, number, {**wanted, **dict.fromkeys(cleared)}))
    if not edits:
        click.echo(f"nothing to change: {board.file} says so already")
        return
    copy, after = _written(board, edits)
    for edit in edits:
        click.echo(_edit_words(board, shot, edit))
    _say_frames(before, after)
    click.echo(f"the old board is kept as {copy}; {again('undo', board.file)} brings it back")


@click.command()
@board_argument
@click.option("--forward", is_flag=True, help="Bring back what the last undo replaced.")
def undo(board: Path, forward: bool) -> None:
    """Bring the board back to what it was before the last change.

    Once more goes back further. What was there is kept, and --forward brings it back.
    """
    from animatic.board import find_board
    from animatic.board.history import redo
    from animatic.board.history import undo as go_back

    file = find_board(board)
    before = _timeline_or_problems(file)
    restored = redo(file) if forward else go_back(file)
    after = _timeline_or_problems(file)
    for copy in restored.passed:
        click.echo(f"{copy} does not hold any more what was kept in it: passed over", err=True)
    click.echo(f"{file} is what was kept as {restored.copy}")
    if isinstance(after, BoardError):
        click.echo(f"it does not read as a board any more:\n{after}", err=True)
    elif not isinstance(before, BoardError):
        _say_frames(before, after)
    way = again("undo" if forward else "undo --forward", file)
    click.echo(f"what it was is kept as {restored.kept}; {way} brings it back")


def _is_board(named: Path) -> bool:
    return named.is_file() or (named / "board.yaml").is_file()


def _timeline_or_problems(file: Path) -> Timeline | BoardError:
    try:
        return read(file)[1]
    except BoardError as fault:
        return fault


def _check_setup(board: Board, setup: str | None) -> None:
    """Raise UsageError with the nearest setup where there is none of that name."""
    from animatic.errors import nearest

    known = list(board.content.setups)
    if setup is None or setup in known:
        return
    close = nearest(setup, known)
    shown = f"the setups are {', '.join(known)}" if known else "the board has no setups"
    raise UsageError(f"there is no setup {setup}; {shown}{close and f'; did you mean {close}?'}")


def _target(timeline: Timeline, words: str) -> tuple[Shot, int | None]:
    """Return the shot and the panel's number that SHOT[/PANEL] names; None: no panel."""
    from animatic.timeline.excerpt import shot_named

    name, stroke, number = words.rpartition("/")
    names = [shot.name for shot in timeline.shots]
    if words in names or not stroke or name not in names:
        is_panel = stroke and number.isdecimal()
        return shot_named(timeline, name if is_panel and words not in names else words), None
    shot = shot_named(timeline, name)
    if not number.isdecimal() or not 1 <= int(number) <= len(shot.panels):
        has = f"shot {name} has {counted(len(shot.panels), 'panel')}"
        raise UsageError(f"there is no panel {words}: {has}, {_listed(shot)}")
    return shot, int(number)


def _listed(shot: Shot) -> str:
    """Return the panels of a shot with their frames: 20/1 (48 frames) and 20/2 (36 frames)."""
    panels = [f"{shot.name}/{p.number} ({counted(p.frames, 'frame')})" for p in shot.panels]
    return " and ".join(filter(None, [", ".join(panels[:-1]), panels[-1]]))


def _edits(
    board: Board, shot: Shot, number: int | None, values: dict[str, str | None]
) -> Iterator[Change | Removal]:
    """Yield what has to change so that these keys have these values (None: are not there)."""
    from animatic.board.edits.edit import Change, Removal

    for key, value in values.items():
        for index in _panels_of(board, shot, number, key):
            path = ("panels", index, key)
            is_there = path in board.tree.keys
            if value is None and is_there:
                yield Removal(path)
            elif value is not None and (not is_there or _written_value(board, path) != value):
                yield Change(path, value)


def _panels_of(board: Board, shot: Shot, number: int | None, key: str) -> list[int]:
    """Return the panels, counted over the film, in which a key has to be changed."""
    panels = [panel.index for panel in shot.panels]
    having = [index for index in panels if ("panels", index, key) in board.tree.keys]
    if key == "setup":
        # A shot has one setup: wherever it says it, it says the same.
        return having or panels[:1]
    if number is not None:
        return [panels[number - 1]]
    goes_on = key in ("size", "shoot_on")
    if len(panels) == 1 or (goes_on and set(having) <= {panels[0]}):
        return panels[:1]
    why = "more than one of them has its own" if goes_on else "each has its own"
    option = key.replace("_", "-")
    raise UsageError(
        f"shot {shot.name} has {counted(len(panels), 'panel')}, {_listed(shot)}, and {why}"
        f" {option}: name the panel, as {shot.name}/1"
    )


def _written_value(board: Board, path: tuple[str | int, ...]) -> str:
    at: Any = board.tree.root
    for key in path:
        at = at[key]
    return str(at)


def _edit_words(board: Board, shot: Shot, edit: Change | Removal) -> str:
    """Return a change as people read it, with the line on which it is made."""
    from animatic.board.edits.edit import Change
    from animatic.sheets.rows import one_line

    index, key = edit.path[1], str(edit.path[2])
    panel = next(panel for panel in shot.panels if panel.index == index)
    is_there = edit.path in board.tree.keys
    old = _written_value(board, edit.path) if is_there else _without(board, panel.index, key)
    new = edit.value if isinstance(edit, Change) else _without(board, panel.index, key)
    line = board.place(edit.path).line
    what = f"{shot.name}/{panel.number} {key.replace('_', ' ')}"
    return f"{board.file}:{line}: {what}: {one_line(old)} becomes {one_line(new)}"


def _without(board: Board, index: int, key: str) -> str:
    """Return what holds where a panel lacks a key."""
    if key != "duration":
        return "none"
    if board.content.panels[index].dialogue:
        return "the length of its dialogue"
    return f"the default {board.content.defaults.duration}"


def _written(board: Board, edits: list[Change | Removal]) -> tuple[Path, Timeline]:
    """Write the changes; return the kept copy and the new timeline."""
    from animatic.board.edits.edit import edited
    from animatic.board.history import replace_board
    from animatic.timeline import lay_out

    laid: list[Timeline] = []
    was = bytes_as_read(board)
    data = edited(was, edits, str(board.file))
    copy = replace_board(
        board.file, data, was=was, check=lambda changed: laid.append(lay_out(changed))
    )
    return copy, laid[0]


def _say_frames(before: Timeline, after: Timeline) -> None:
    """Print the shots whose frames or poses change, and the film."""
    from animatic.sheets.rows import run_time

    old = {shot.name: shot for shot in before.shots}
    lines = []
    for shot in after.shots:
        was = old.get(shot.name)
        if was is None:
            lines.append(f"shot {shot.name}: {_amounts(shot.frames, shot.poses)}, not there before")
        elif (was.frames, was.poses) != (shot.frames, shot.poses):
            lines.append(
                f"shot {shot.name}: {_amounts(was.frames, was.poses)}"
                f" become {_amounts(shot.frames, shot.poses)}"
            )
    gone = old.keys() - {shot.name for shot in after.shots}
    lines += [f"shot {name}: gone" for name in old if name in gone]
    for line in lines[:_MOST_SHOTS]:
        click.echo(line)
    if len(lines) > _MOST_SHOTS:
        click.echo(f"and {counted(len(lines) - _MOST_SHOTS, 'more shot')}")
    poses = [sum(shot.poses for shot in film.shots) for film in (before, after)]
    now = f"{_amounts(after.frames, poses[1])}, {run_time(after)}"
    if lines:
        then = f"{_amounts(before.frames, poses[0])}, {run_time(before)}"
        click.echo(f"film: {then} become {now}")
    else:
        click.echo(f"film: {now}, as before")


def _amounts(frames: int, poses: int) -> str:
    return f"{counted(frames, 'frame')} and {counted(poses, 'pose')}"
