"""The shot list as one HTML page with a picture a shot: nothing to fetch, good to print."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from html import escape

from animatic.board.keys.schema import SetupEntry
from animatic.leftwards import has_leftwards
from animatic.sheets.rows import (
    Column,
    count_of_shots,
    one_line,
    row,
    run_time,
    text,
    total,
    with_setups,
)
from animatic.sheets.thumbset import Thumbs
from animatic.timeline.model import Shot, Timeline
from animatic.words import counted

__all__ = ["direction", "write"]

# A foot of a table is printed on every page: as rows like others it stands once, at the end.
_STYLE = """
body { font: 13px/1.35 system-ui, sans-serif; margin: 1.5em; color: #000; background: #fff; }
h1 { margin: 0; font-size: 1.6em; }
p { margin: .3em 0 1em; }
table { border-collapse: collapse; }
th, td { padding: .3em .45em; text-align: left; vertical-align: top; }
th { vertical-align: bottom; border-bottom: 2px solid #000; position: sticky; top: 0;
  background: #fff; }
td { border-bottom: 1px solid #999; background: #fff; }
td:first-child, td.shot, th:first-child, th.shot { position: sticky; left: 0; }
td.shot, th.shot { left: 172px; }
th:first-child, th.shot { z-index: 1; }
.n { text-align: right; font-variant-numeric: tabular-nums; }
td.n, td.setup, td.lens { white-space: nowrap; }
td.lights, td.camera, td.setup_note { min-width: 9em; }
td.dialogue { min-width: 12em; }
td.notes { min-width: 9em; }
td.shot { font-weight: bold; font-size: 1.2em; }
tfoot td { font-weight: bold; border-bottom: 0; }
img { display: block; border: 1px solid #000; }
@media print { @page { size: landscape; margin: 10mm; } body { margin: 0; font-size: 8px; }
  th, td { position: static !important; } tr { break-inside: avoid; }
  tfoot { display: table-row-group; } tfoot tr { break-before: avoid; }
  img { width: 90px; height: auto; } }
"""


def write(
    timeline: Timeline, setups: Mapping[str, SetupEntry], thumbs: Thumbs | None = None
) -> str:
    """Return the page; the pictures lie inside it as data URIs (RFC 2397)."""
    columns = with_setups(setups)
    thumbs = thumbs or Thumbs(timeline.size)
    thumbs.make(shot.panels[0] for shot in timeline.shots)
    title = escape(one_line(timeline.title)) or "Shot list"
    facts = (
        f"{timeline.rate} frames a second",
        f"run time {run_time(timeline)}",
        counted(timeline.frames, "frame"),
        f"first frame at {timeline.label(0)}",
    )
    sums = total(timeline) | {"shot": count_of_shots(timeline)}
    foot = "".join(_cell(column, escape(text(sums.get(column.key, "")))) for column in columns)
    heads = "".join(_cell(column, column.heading, "th") for column in columns)
    body = "\n".join(_row(timeline, shot, columns, thumbs) for shot in timeline.shots)
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1{direction(title)}>{title}</h1>\n"
        f"<p>{' · '.join(facts)}</p>\n"
        f"<table>\n<thead><tr><th></th>{heads}</tr></thead>\n<tbody>\n{body}\n</tbody>\n"
        f"<tfoot><tr><td></td>{foot}</tr></tfoot>\n</table>\n</body>\n</html>\n"
    )


def direction(words: str) -> str:
    """Return the attribute that lets a browser find out how words are read, where it matters."""
    return ' dir="auto"' if has_leftwards(words) else ""


def _row(timeline: Timeline, shot: Shot, columns: tuple[Column, ...], thumbs: Thumbs) -> str:
    data = b64encode(thumbs.of(shot.panels[0])).decode()
    name = escape(one_line(shot.name))
    picture = f'<img src="data:image/jpeg;base64,{data}" alt="shot {name}" width="160">'
    values = row(timeline, shot, columns)
    cells = "".join(
        _cell(column, escape(text(values[column.key], "\n")).replace("\n", "<br>"))
        for column in columns
    )
    return f"<tr><td>{picture}</td>{cells}</tr>"


def _cell(column: Column, words: str, tag: str = "td") -> str:
    kinds = " ".join(filter(None, ("n" if column.right else "", column.key)))
    return f'<{tag} class="{kinds}"{direction(words)}>{words}</{tag}>'
