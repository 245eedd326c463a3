"""The page for looking: everything in one HTML file that asks nothing of any network."""

from __future__ import annotations

import hashlib
import html
import json
import re
from base64 import b64encode
from collections.abc import Sequence
from importlib.resources import files

from animatic.board import Board
from animatic.sheets.pacechart import as_text, chart
from animatic.sheets.page import direction
from animatic.sheets.rows import COLUMNS, count_of_shots, row, run_time, text
from animatic.sheets.thumbset import Thumbs
from animatic.timeline.findings import Finding
from animatic.timeline.model import Panel, Shot, Timeline
from animatic.timeline.pace import pace
from animatic.words import counted

__all__ = ["look_page"]

_SHOWN = ("size", "setup", "frames", "seconds", "poses", "dialogue")
"""The columns of the shot list that stand beside the film."""
_SCRIPTS = ("player.js", "keys.js", "kept.js", "notes.js", "drafts.js")
"""The parts of the page's script, in the order in which they need each other."""
_THUMB = 240
_PLACE = re.compile(r"\{\{(\w+)\}\}")


def look_page(
    board: Board,
    timeline: Timeline,
    film: bytes,
    found: Sequence[Finding],
    identity: str,
    caution: str = "",
) -> str:
    """Return the page of a film, as HTML text.

    `film` is the MP4 of this timeline, frame for frame; `found` is what `check` finds. Notes
    typed on the page are kept under `identity`, which tells the board from every other one.
    `caution` is shown at the top. MediaError names a photo that cannot be read.
    """
    facts = f"{count_of_shots(timeline)}, {counted(timeline.frames, 'frame')} at {timeline.rate}"
    facts += f", {run_time(timeline)}"
    columns = [column for column in COLUMNS if column.key in _SHOWN]
    heads = "".join(f'<th scope="col">{html.escape(column.heading)}</th>' for column in columns)
    measured = pace(board, timeline)
    svg = b64encode(chart(timeline, measured, "svg")).decode("ascii")
    pictures = Thumbs(timeline.size, _THUMB, quality=75)
    pictures.make(timeline.panels)
    parts = {
        "title": html.escape(timeline.title),
        "style": _part("page.css"),
        "script": "\n".join(_part(name) for name in _SCRIPTS),
        "facts": html.escape(facts),
        "caution": f'<p class="caution">{html.escape(caution)}</p>' if caution else "",
        "width": str(timeline.size[0]),
        "height": str(timeline.size[1]),
        "last": str(timeline.frames - 1),
        "strip": "\n".join(_panel(timeline, panel, pictures) for panel in timeline.panels),
        "heads": f'<th scope="col">Shot</th>{heads}',
        "rows": "\n".join(_row(timeline, shot) for shot in timeline.shots),
        "chart": f"data:image/svg+xml;base64,{svg}",
        "chart_words": html.escape(" ".join(as_text(timeline, measured, 1).splitlines()[1:])),
        "findings": _findings(timeline, found),
        "data": _in_script(_data(timeline, facts, identity)),
        "film": b64encode(film).decode("ascii"),
    }
    return _PLACE.sub(lambda place: parts[place[1]], _part("page.html"))


def _part(name: str) -> str:
    return files("animatic.review").joinpath(name).read_text(encoding="utf-8").rstrip("\n")


def _in_script(data: object) -> str:
    return json.dumps(data, ensure_ascii=False).replace("<", "\\u003c")


def _data(timeline: Timeline, facts: str, identity: str) -> dict[str, object]:
    """Return what the page's script counts with."""
    shots = [{"name": s.name, "start": s.start, "frames": s.frames} for s in timeline.shots]
    fps = timeline.rate.fps
    edition = hashlib.sha256(json.dumps([shots, str(fps)]).encode()).hexdigest()[:12]
    return {
        "title": timeline.title,
        "board": identity,
        "file": re.sub(r"[^\w-]+", "_", timeline.title).strip("_") or "film",
        "facts": facts,
        "edition": edition,
        "rate": [fps.numerator, fps.denominator],
        "frames": timeline.frames,
        "shots": shots,
        "panels": [{"start": panel.start} for panel in timeline.panels],
        "labels": " ".join(timeline.label(n) for n in range(timeline.frames)),
    }


def _panel(timeline: Timeline, panel: Panel, pictures: Thumbs) -> str:
    picture = b64encode(pictures.of(panel)).decode("ascii")
    height = _THUMB * timeline.size[1] // timeline.size[0]
    words = f"{panel.index + 1}: shot {panel.shot}{panel.size and ', ' + panel.size}"
    return (
        f'<li><button type="button" data-go="{panel.start}">'
        f'<img src="data:image/jpeg;base64,{picture}" width="{_THUMB}" height="{height}" alt="">'
        f"{html.escape(words)}, {panel.frames} f</button></li>"
    )


def _row(timeline: Timeline, shot: Shot) -> str:
    values = row(timeline, shot)
    cells = "".join(
        f"<td class='{'number' if column.right else 'words'}'"
        f"{direction(text(values[column.key]))}>"
        f"{html.escape(text(values[column.key]))}</td>"
        for column in COLUMNS
        if column.key in _SHOWN
    )
    button = f'<button type="button" data-go="{shot.start}">{html.escape(shot.name)}</button>'
    return f'<tr><th scope="row">{button}</th>{cells}</tr>'


def _findings(timeline: Timeline, found: Sequence[Finding]) -> str:
    if not found:
        return "<p>Nothing to look at.</p>"
    starts = {shot.name: shot.start for shot in timeline.shots}
    items = "\n".join(
        f'<li><button type="button" data-go="{starts[finding.shot]}">'
        f"shot {html.escape(finding.shot)}</button> "
        f"{html.escape(finding.words + (finding.hint and '; ' + finding.hint))}</li>"
        for finding in found
    )
    return f'<ul id="findings">\n{items}\n</ul>'
