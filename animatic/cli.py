"""The command line: arguments in, stages called, words out.

Stages are imported inside the commands, so that help comes at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from animatic.errors import AnimaticError, MachineError, UsageError

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.timeline import Timeline

__all__ = ["main"]

F = TypeVar("F", bound=Callable[..., Any])


class _Commands(click.Group):
    """Commands in the order in which they are used, not of the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names as they were added."""
        return list(self.commands)


@click.group(
    cls=_Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
)
@click.version_option(package_name="animatic", message="%(prog)s %(version)s")
@click.pass_context
def commands(ctx: click.Context) -> None:
    """From a pile of set photos to a timed film, and on to exact frame counts on set.

    BOARD is a board file, or the folder with a board.yaml in it.

    Exit codes: 0 done, 1 the board is at fault, 2 wrong usage, 3 the machine is at fault.
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def _board_argument(command: F) -> F:
    kind = click.Path(path_type=Path)
    return click.argument("board", type=kind, default=Path("."), metavar="[BOARD]")(command)


class _Size(click.ParamType[tuple[int, int]]):
    """A picture size as 1280x720."""

    name = "WxH"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, int]:
        """Return (width, height); both are even and within what a board may say."""
        from animatic.board.sizes import parse_size

        if isinstance(value, tuple):
            return value
        try:
            return parse_size(value)
        except ValueError as fault:
            found, allowed, hint = fault.args
            self.fail(f"{found}; allowed: {allowed}{hint and '; ' + hint}", param, ctx)


@commands.command()
@_board_argument
@click.option("--out", type=click.Path(path_type=Path), help="Folder to write into [out].")
@click.option("--size", type=_Size(), help="Picture size, as 1280x720.")
@click.option("--draft", is_flag=True, help="Half the picture size, for a quick look.")
@click.option("--from", "first", metavar="SHOT", help="First shot of the film.")
@click.option("--to", "last", metavar="SHOT", help="Last shot of the film.")
def assemble(
    board: Path,
    out: Path | None,
    size: tuple[int, int] | None,
    draft: bool,
    first: str | None,
    last: str | None,
) -> None:
    """Make the film, the shot list and the captions.

    Writes film.mp4, film.vtt, shots.csv and shots.md into the folder out beside the board.
    With --from or --to the film is a part, has the shots in its name, and the lists stay as
    they are.
    """
    from animatic.report import assemble as run

    run(_read(board), out, size, draft, first, last)


@commands.command()
@_board_argument
@click.option("--strict", is_flag=True, help="Fail (exit 1) where there is any finding.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
@click.pass_context
def check(ctx: click.Context, board: Path, strict: bool, form: str) -> None:
    """Look the board over: errors, and findings that are worth a look."""
    from animatic.report import check as run

    loaded, timeline = _read(board)
    found = run(loaded, timeline, form)
    if found and strict:
        ctx.exit(1)


@commands.command()
@_board_argument
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "csv", "md", "json"]),
    default="table",
    show_default=True,
    help="How the list is written.",
)
def shots(board: Path, form: str) -> None:
    """Print the shot list with exact frame counts."""
    from rich.console import Console

    from animatic.sheets import FORMATS, terminal

    _, timeline = _read(board)
    if form == "table":
        terminal.show(timeline, Console())
        return
    content = FORMATS[form](timeline)
    data = content.encode() if isinstance(content, str) else content
    sys.stdout.flush()
    sys.stdout.buffer.write(data)


def _read(named: Path) -> tuple[Board, Timeline]:
    from animatic.board import read_board
    from animatic.timeline import lay_out

    board = read_board(named)
    return board, lay_out(board)


def main() -> None:
    """Run the command line; every foreseen fault ends in words and an exit code."""
    sys.exit(_run(sys.argv[1:]))


def _run(arguments: list[str]) -> int:
    try:
        code = commands.main(arguments, prog_name="animatic", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else 0
    except click.ClickException as fault:
        fault.show()
        return UsageError.exit_code
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped; what was there before is as it was", err=True)
        return 130
    except AnimaticError as fault:
        click.echo(str(fault), err=True)
        return fault.exit_code
    except BrokenPipeError:
        # The reader went away, as `head` does; there is nobody left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except MemoryError:
        click.echo("the machine has not enough memory; try --draft or a smaller --size", err=True)
        return MachineError.exit_code
    except OSError as fault:
        click.echo(f"the machine refused: {fault}", err=True)
        return MachineError.exit_code
