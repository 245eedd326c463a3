"""sounds: the cue list with licences, and the stems for the edit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import MUSIC_CAUTION, check_file, emit, make_folder, read, say_empty
from animatic.cli.options import board_argument, file_option, format_option, out_option

if TYPE_CHECKING:
    from animatic.sound import Programme
    from animatic.timeline import Timeline


@click.command(short_help="List every sound with place, loudness and licence.")
@board_argument
@format_option(["table", "csv", "json", "md"], "How the list is written.")
@click.option("--stems", is_flag=True, help="Write dialogue, music and effects as WAV files.")
@out_option
@file_option
def sounds(board: Path, form: str, stems: bool, out: Path | None, file: Path | None) -> None:
    """List every sound with its place, length, loudness and licence.

    Above the list stands what is still to be bought; below it, how loud the film is, and its
    dialogue, effects and music in it.

    With --stems, dialogue.wav, music.wav and effects.wav are written too, 24-bit Broadcast
    Wave with the film's start timecode. They sum to the film's sound.
    """
    from animatic.film import film_programme
    from animatic.sheets import soundlist
    from animatic.sound.cueloudness import cue_loudness

    check_file(file, form)
    loaded, timeline = read(board)
    programme = film_programme(timeline)
    listed = soundlist.rows(loaded, timeline, cue_loudness(timeline.cues))
    if listed or say_empty(f"{loaded.file}: the board has no sounds", form):
        writers = {
            "csv": lambda: soundlist.as_comma(listed),
            "json": lambda: soundlist.as_list(timeline, listed, programme),
            "md": lambda: soundlist.as_page(timeline, listed, programme),
            "table": lambda: soundlist.as_table(listed, programme),
        }
        emit(writers[form](), form, file, loaded, "sounds")
        if form == "table":
            click.echo(MUSIC_CAUTION)
    if stems:
        _write_stems(
            loaded.folder, out, timeline, programme, quiet=form != "table" and file is None
        )


def _write_stems(
    board: Path, out: Path | None, timeline: Timeline, programme: Programme, *, quiet: bool
) -> None:
    from animatic.sound.stems import write_stems

    folder = out if out is not None else board / "out"
    make_folder(folder)
    for path, loudness in write_stems(timeline, folder, programme).items():
        level = "silent" if loudness.integrated is None else f"{loudness.integrated:.1f} LUFS"
        # A listing for a program stays whole on standard output.
        click.echo(f"{path}: {level}", err=quiet)
