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


def test_a_shot_that_is_all_transition_has_no_event_without_frames(folder: BoardFolder) -> None:
    timeline = laid(
        folder,
        "shot: 10, duration: 2s",
        "shot: 20, duration: 2s, transition: {to_black: 2s}",
        "shot: 30, duration: 6f",
        # Half of it lies before the cut: all that shot 30 has.
        "shot: 40, duration: 2s, transition: {dissolve: 12f}",
    )
    [text] = lists(timeline)
    lines = [line for line in text.splitlines() if line[:1].isdigit()]
    assert lines == [
        "001  SH010    V     C        00:00:00:00 00:00:02:00 01:00:00:00 01:00:02:00",
        "002  SH020    V     C        00:00:00:00 00:00:00:00 01:00:02:00 01:00:02:00",
        "002  BL       V     D    048 00:00:00:00 00:00:02:00 01:00:02:00 01:00:04:00",
        "003  SH030    V     C        00:00:00:00 00:00:00:00 01:00:04:00 01:00:04:00",
        "003  SH040    V     D    012 00:00:00:00 00:00:02:06 01:00:04:00 01:00:06:06",
    ]
    edits = [event.edits for event in by_pycmx(text)]
    assert [[edit.clip_name for edit in pair] for pair in edits] == [
        ["10_take1"],
        ["20_take1", None],
        ["30_take1", "40_take1"],
    ]
    frames = [int(clip.duration().value) for clip in clips_of(by_otio(text))]
    assert frames == [48, 48, 54]
