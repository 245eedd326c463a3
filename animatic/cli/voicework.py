"""lines and mouths: the voice script and the mouth chart."""

from __future__ import annotations

from pathlib import Path

import click

from animatic.cli.common import board_argument, counted, make_folder, print_content, read


@click.command()
@board_argument
@click.option(
    "--format",
    "form",
    type=click.Choice(["pdf", "md", "csv", "json"]),
    default="pdf",
    show_default=True,
    help="How the script is written.",
)
@click.option("--who", metavar="SPEAKER", help="The lines of this speaker only.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="The paper of the PDF.",
)
@click.option("--to", "target", type=click.Path(path_type=Path), help="The file to write.")
def lines(board: Path, form: str, who: str | None, paper: str, target: Path | None) -> None:
    """Write the voice script: what an actor far away needs to record the lines.

    Each line has its number, note, the seconds it may take and where it falls; a recording
    guide stands before them. The PDF goes into the folder out beside the board, the other
    formats to the screen, unless --to names a file.
    """
    from animatic.files import write_beside
    from animatic.sheets import lines as sheet
    from animatic.sheets import linespdf

    loaded, timeline = read(board)
    script = sheet.rows(loaded, timeline, who)
    if not script:
        click.echo(f"{loaded.file}: the board has no lines")
        return
    content: str | bytes
    if form == "pdf":
        content = linespdf.write(timeline, script, "letter" if paper == "letter" else "a4")
        target = target or loaded.folder / "out" / "lines.pdf"
    elif form == "md":
        content = sheet.as_page(timeline, script)
    else:
        content = sheet.as_comma(script) if form == "csv" else sheet.as_list(timeline, script)
    if target is None:
        print_content(content)
        return
    make_folder(target.parent)
    write_beside(target, content)
    click.echo(f"{target}: {counted(len(script), 'line')}")


@click.command()
@board_argument
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "csv", "json", "md"]),
    default="table",
    show_default=True,
    help="How the chart is written.",
)
def mouths(board: Path, form: str) -> None:
    """Print the mouth chart: on which frame each spoken word begins.

    Recordings and scratch voices are listened to; words of silent lines are estimated.
    """
    from animatic.sheets import mouths as sheet
    from animatic.sound.voiced import film_spans
    from animatic.timeline.mouths import mouth_chart

    loaded, timeline = read(board)
    chart = mouth_chart(timeline, film_spans(timeline))
    listed = sheet.rows(timeline, chart)
    if not listed:
        click.echo(f"{loaded.file}: nobody speaks in this board")
    elif form == "json":
        print_content(sheet.as_list(timeline, chart))
    elif form == "md":
        print_content(sheet.as_page(timeline, listed))
    elif form == "csv":
        print_content(sheet.as_comma(listed))
    else:
        click.echo(sheet.as_table(listed), nl=False)
