"""Edit decision lists of whole boards, as pycmx and OpenTimelineIO's adapter read them."""

from __future__ import annotations

from io import StringIO
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pycmx
import pytest

from animatic.sheets.edl import lists
from animatic.sheets.otio import write as write_otio
from animatic.timeline import Timeline, lay_out
from tests.boards import BoardFolder

HEAD = "board: 1\nrate: {rate}\npicture: {{size: 160x90}}\n{more}\npanels:\n"


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    return folder


def laid(folder: BoardFolder, *panels: str, rate: str = "24", more: str = "") -> Timeline:
    """Return the timeline of a board; a panel is what it has beside its photo."""
    rows = "".join(f"- {{photo: a.jpg, {panel}}}\n" for panel in panels)
    return lay_out(folder.read(HEAD.format(rate=rate, more=more) + rows))


def by_pycmx(text: str) -> list[Any]:
    return list(pycmx.parse_cmx3600(StringIO(text)).events)


def by_otio(text: str, rate: float = 24) -> Any:
    """Return the picture track as OpenTimelineIO's adapter reads it."""
    (track,) = otio.adapters.read_from_string(text, "cmx_3600", rate=rate).tracks
    return track


def clips_of(track: Any) -> list[Any]:
    return [item for item in track if isinstance(item, otio.schema.Clip)]


def test_long_names_of_media_are_whole_and_apart(folder: BoardFolder) -> None:
    media = 'media: "Low Water, second unit, graded proxies, {shot}_take{take}"'
    names = ["quay at dusk, from the mole", "quay at dusk, from the pier"]
    timeline = laid(
        folder,
        f'shot: "{names[0]}", duration: 2s',
        f'shot: "{names[1]}", duration: 2s',
        "shot: 30, duration: 2s, transition: {dissolve: 12f}",
        more=media,
    )
    wanted = [timeline.media_name(shot) for shot in timeline.shots]
    assert len(wanted[0]) > 76 - len("* FROM CLIP NAME: ")
    assert wanted[0] != wanted[1]
    [text] = lists(timeline)
    assert [event.edits[-1].clip_name for event in by_pycmx(text)] == wanted
    assert by_pycmx(text)[2].edits[0].clip_name == wanted[1]
    assert [clip.name for clip in clips_of(by_otio(text))] == wanted
    # The lines of events keep the width of the layout.
    assert max(len(line) for line in text.splitlines() if line[:1].isdigit()) <= 76
    read = otio.adapters.read_from_string(write_otio(timeline), "otio_json")
    assert [clip.media_reference.name for clip in read.find_clips()] == wanted
