"""The command line: arguments in, stages called, words out.

Stages are imported inside the commands, so that help comes at once.
"""

from __future__ import annotations

import json
import os
import sys
from io import TextIOWrapper
from typing import Any

import click

from animatic.cli.assemble import assemble
from animatic.cli.edits import set_values, undo
from animatic.cli.frames import cache, still
from animatic.cli.judging import compare, pace
from animatic.cli.listening import beats
from animatic.cli.look_over import check, shots
from animatic.cli.looking import look
from animatic.cli.options import FORM
from animatic.cli.papers import exposure, plan
from animatic.cli.soundlist import sounds
from animatic.cli.starting import start
from animatic.cli.takein import take_in
from animatic.cli.takes import takes
from animatic.cli.timing import fit
from animatic.cli.voicework import lines, mouths
from animatic.cli.wall import arrange, cards
from animatic.cli.watching import watch
from animatic.errors import AnimaticError, BoardError, MachineError, UsageError

__all__ = ["commands", "main", "run"]


class _Commands(click.Group):
    """Commands in the order in which they are used, not of the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names as they were added."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; one that was to speak JSON tells a board's faults in JSON, too."""
        try:
            return super().invoke(ctx)
        except BoardError as fault:
            if ctx.meta.get(FORM) != "json":
                raise
            found = {"problems": [problem.as_dict() for problem in fault.problems]}
            click.echo(json.dumps(found, ensure_ascii=False, indent=2))
            return fault.exit_code


@click.group(
    cls=_Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
)
@click.version_option(package_name="animatic", message="%(prog)s %(version)s")
@click.pass_context
def commands(ctx: click.Context) -> None:
    """From a pile of set photos to a timed film, and on to exact frame counts on set.

    BOARD is a board file, or the folder with a board.yaml in it. Where it stands in brackets it
    may be left out: the board is then the one in the current folder.

    Exit codes: 0 done; 1 the board is at fault, or a file that it or the command names; 2 wrong
    usage, or what is asked for is not there, as a shot or a kept copy; 3 the machine is at fault.
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


for _command in (
    start,
    check,
    assemble,
    watch,
    still,
    shots,
    exposure,
    plan,
    takes,
    set_values,
    undo,
    beats,
    fit,
    look,
    cards,
    arrange,
    compare,
    pace,
    lines,
    take_in,
    sounds,
    mouths,
    cache,
):
    commands.add_command(_command)


def main() -> None:
    """Run the command line; every foreseen fault ends in words and an exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that is not UTF-8 gets a ? for what it cannot show, not a traceback.
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command and return its exit code."""
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
    except (BrokenPipeError, SystemExit):
        # The reader went away, as `head` does; there is nobody left to tell. Nothing but
        # click's own word on that ends as SystemExit here.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except MemoryError:
        click.echo("the machine has not enough memory; try --draft or a smaller --size", err=True)
        return MachineError.exit_code
    except OSError as fault:
        click.echo(f"the machine refused: {fault}", err=True)
        return MachineError.exit_code
