"""The options that several commands have: one word, one meaning, one help text."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

__all__ = [
    "FORM",
    "File",
    "Folder",
    "board_and_folder",
    "board_argument",
    "file_option",
    "format_option",
    "out_option",
    "paper_option",
    "takes_option",
]

FORM = "animatic.format"
"""Where the context keeps the format that was asked for."""

F = TypeVar("F", bound=Callable[..., Any])


class _There(click.ParamType[Path]):
    """A file or folder that is there; UsageError with what to name where it is not."""

    def __init__(self, hint: str) -> None:
        self.hint = hint

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """Return the path."""
        from animatic.errors import UsageError

        path = Path(value)
        if not path.exists():
            raise UsageError(f"{path}: there is no such {self.name}; {self.hint}")
        if path.is_dir() != (self.name == "folder"):
            found = "a folder" if path.is_dir() else "no folder"
            raise UsageError(f"{path}: this is {found}; {self.hint}")
        if not os.access(path, os.R_OK):
            raise UsageError(f"{path}: this may not be read; look at its permissions")
        return path


class Folder(_There):
    """A folder that is there."""

    name = "folder"


class File(_There):
    """A file that is there."""

    name = "file"


class _NewFile(click.ParamType[Path]):
    """A file to write; UsageError where a folder has its name."""

    name = "file"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """Return the path."""
        from animatic.errors import UsageError

        path = Path(value)
        if path.is_dir():
            raise UsageError(f"{path}: this is a folder; name a file in it")
        return path


def board_argument(command: F) -> F:
    """Give a command the argument BOARD; without it the board is in the current folder."""
    kind = click.Path(path_type=Path)
    return click.argument("board", type=kind, default=Path("."), metavar="[BOARD]")(command)


def board_and_folder(hint: str) -> Callable[[F], F]:
    """Return a decorator that gives a command the arguments BOARD and FOLDER.

    Of one name alone it is FOLDER, and the board is in the current folder; `hint` says what is to
    be named in it.
    """
    kind = Folder(hint)

    def take(ctx: click.Context, param: click.Parameter, value: Path | None) -> Path:
        from animatic.errors import UsageError

        given = ctx.params["board"]
        if value is not None or given is None:
            if value is None:
                raise click.MissingParameter(ctx=ctx, param=param)
            return value
        way = f"{ctx.command_path} BOARD FOLDER"
        if _is_board(given):
            raise UsageError(f"{given}: this is a board; {hint} after it: {way}")
        if not _is_board(Path(".")):
            raise UsageError(
                f"there is no board in the current folder; name it before {given}: {way}"
            )
        ctx.params["board"] = Path(".")
        return kind.convert(given, param, ctx)

    def decorate(command: F) -> F:
        path = click.Path(path_type=Path)
        folder = click.argument(
            "folder", type=kind, required=False, callback=take, metavar="FOLDER"
        )
        board = click.argument("board", type=path, required=False, metavar="[BOARD]")
        return board(folder(command))

    return decorate


def _is_board(named: Path) -> bool:
    """Whether a file or folder that was named can only be meant for a board."""
    from animatic.board.read import NAMES

    if named.is_dir():
        return any((named / name).is_file() for name in NAMES)
    return named.suffix.lower() in (".yaml", ".yml")


def out_option(command: F) -> F:
    """Give a command the option --out: the folder that it writes into."""
    kind = click.Path(path_type=Path)
    text = "Folder to write into; else out beside the board."
    return click.option("--out", type=kind, metavar="FOLDER", help=text)(command)


def file_option(command: F) -> F:
    """Give a command the option --file: the file that it writes."""
    text = "File to write; one of another kind, or one that the board uses, is left alone."
    return click.option("--file", type=_NewFile(), metavar="FILE", help=text)(command)


def format_option(forms: Sequence[str], text: str = "How it is written.") -> Callable[[F], F]:
    """Return a decorator that gives a command the option --format, the first form by default."""
    kind = click.Choice(forms)

    def keep(ctx: click.Context, param: click.Parameter, form: str) -> str:
        ctx.meta[FORM] = form
        return form

    return click.option(
        "--format",
        "form",
        type=kind,
        default=forms[0],
        show_default=True,
        callback=keep,
        help=text,
    )


def takes_option(text: str) -> Callable[[F], F]:
    """Return a decorator that gives a command the option --takes: a folder with takes."""
    kind = Folder("name the folder with the takes")
    return click.option("--takes", type=kind, metavar="FOLDER", help=text)


def paper_option(command: F) -> F:
    """Give a command the option --paper."""
    return click.option(
        "--paper",
        type=click.Choice(["a4", "letter"]),
        default="a4",
        show_default=True,
        help="Size of the paper of a PDF.",
    )(command)
