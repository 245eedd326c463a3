"""The options that several commands have: one word, one meaning, one help text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

__all__ = ["FORM", "board_argument", "file_option", "format_option", "out_option", "paper_option"]

FORM = "animatic.format"
"""Where the context keeps the format that was asked for."""

F = TypeVar("F", bound=Callable[..., Any])


def board_argument(command: F) -> F:
    """Give a command the argument BOARD; without it the board is in the current folder."""
    kind = click.Path(path_type=Path)
    return click.argument("board", type=kind, default=Path("."), metavar="[BOARD]")(command)


def out_option(command: F) -> F:
    """Give a command the option --out: the folder that it writes into."""
    kind = click.Path(path_type=Path)
    text = "Folder to write into; else out beside the board."
    return click.option("--out", type=kind, metavar="FOLDER", help=text)(command)


def file_option(command: F) -> F:
    """Give a command the option --file: the file that it writes."""
    kind = click.Path(path_type=Path, dir_okay=False)
    return click.option("--file", type=kind, metavar="FILE", help="File to write.")(command)


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


def paper_option(command: F) -> F:
    """Give a command the option --paper."""
    return click.option(
        "--paper",
        type=click.Choice(["a4", "letter"]),
        default="a4",
        show_default=True,
        help="Size of the paper of a PDF.",
    )(command)
