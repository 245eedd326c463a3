"""beats: the tempo of a piece of music, found by listening."""

from __future__ import annotations

import json
from pathlib import Path

import click

from animatic.cli.options import File, file_option, format_option
from animatic.words import counted

_SURE = 0.4
"""Below this steadiness there is a word of doubt."""


@click.command()
@click.argument("sound", type=File("name a piece of music"))
@format_option(["text", "json"])
@file_option
def beats(sound: Path, form: str, file: Path | None) -> None:
    """Find the beats of a piece of music with a steady tempo.

    Prints what the board wants to know of it, for fit --beats: lines to put under the piece's
    file where it stands on lines of its own, and the same to put behind it inside braces. With
    --file the times of all beats are written, one a line, as a list that the board's beats can
    name. Listen before you trust it.
    """
    from animatic.cli.common import refuse_other_kind
    from animatic.files import write_beside
    from animatic.frames import decimal
    from animatic.sound.decode import sound_length
    from animatic.sound.tempo import find_tempo

    if file is not None:
        refuse_other_kind(file, "txt")
    tempo = find_tempo(sound)
    if form == "json":
        found = {"bpm": float(tempo.bpm), "first_beat": float(tempo.first_beat)}
        click.echo(json.dumps({**found, "steadiness": round(tempo.steadiness, 2)}, indent=2))
    else:
        keys = [f"bpm: {float(tempo.bpm):g}"]
        # Without it the first beat lies at the start of the file.
        keys += [f"first_beat: {float(tempo.first_beat):g}s"] if tempo.first_beat else []
        for key in keys:
            click.echo(key)
        click.echo(f"inside braces: , {', '.join(keys)}")
        if tempo.steadiness < _SURE:
            click.echo("it is not sure: other tempos fit nearly as well", err=True)
    if file is not None:
        times = list(tempo.beats(sound_length(sound)))
        write_beside(file, "".join(f"{decimal(time, 3)}\n" for time in times))
        click.echo(f"{file}: {counted(len(times), 'beat')}", err=form == "json")
