"""Edit decision lists: the worked example, other readers, and every frame accounted for."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pycmx
import pytest
from hypothesis import example, given, settings
from strategies import timelines

from animatic.cli.papers import edit_lists
from animatic.frames import Rate
from animatic.sheets.edl import MOST_EVENTS, events, lists, reel_names, write
from animatic.timecode import frames_from_label
from animatic.timeline.model import Panel, Shot, Timeline, Transition, overlaps

# A worked example in the CMX 3600 layout (SMPTE ST 258): SH010 uses 66 + 12 = 78 source frames.
EXAMPLE = """TITLE: CHECK
FCM: NON-DROP FRAME
001  SH010    V     C        00:00:00:08 00:00:03:02 01:00:00:00 01:00:02:18
002  SH010    V     C        00:00:03:02 00:00:03:02 01:00:02:18 01:00:02:18
002  SH020    V     D    012 00:00:00:00 00:00:04:00 01:00:02:18 01:00:06:18
"""


def film(
    lengths: list[int],
    dissolves: dict[int, int] | None = None,
    rate: str = "24",
    drop: bool = False,
) -> Timeline:
    dissolves, shots, at = dissolves or {}, [], 0
    for index, frames in enumerate(lengths):
        name = f"{(index + 1) * 10:03}"
        panel = Panel(index, 1, name, at, at + frames, 2, Path("a.jpg"), (160, 90))
        head, tail = dissolves.get(index, 0), dissolves.get(index + 1, 0)
        shots.append(
            Shot(
                index,
                name,
                "",
                (panel,),
                8,
                Transition(dissolve=head),
                overlaps(head)[1],
                overlaps(tail)[0],
            )
        )
        at += frames
    start = frames_from_label("01:00:00;00" if drop else "01:00:00:00", Rate.named(rate))
    return Timeline(
        "Check", Rate.named(rate), (160, 90), tuple(shots), start=start, drop=drop, media="{shot}"
    )


def parsed_by_pycmx(text: str) -> Any:
    return pycmx.parse_cmx3600(StringIO(text))


def test_the_worked_example_comes_out() -> None:
    # Shot 20 of the example has no handle.
    timeline = film([72, 90], {1: 12})
    second = replace(timeline.shots[1], handles=0)
    written = write(replace(timeline, shots=(timeline.shots[0], second))).splitlines()
    assert [line for line in written if line and not line.startswith("*")] == EXAMPLE.splitlines()


def test_a_dissolve_takes_more_frames_of_both_sources() -> None:
    (first, second) = list(events(film([72, 90], {1: 12})))
    used = second.outgoing[1] + second.dissolve - first.source[0]
    assert used == 66 + 12
    assert second.source[1] - second.source[0] == 90 + 6


def all_fade() -> Timeline:
    """A film whose second shot fades to black from its first frame to its last."""
    timeline = film([48, 48])
    last = replace(timeline.shots[1], transition=Transition(to_black=48))
    return replace(timeline, shots=(timeline.shots[0], last))


@settings(max_examples=60, deadline=None)
@given(timelines())
@example(all_fade())
def test_the_events_cover_the_film_and_stay_within_what_is_shot(timeline: Timeline) -> None:
    at = 0
    by_clip = {timeline.media_name(shot): shot for shot in timeline.shots}
    for event in events(timeline):
        assert event.record[0] == at
        assert event.record[1] > at
        assert event.source[1] - event.source[0] == event.record[1] - event.record[0]
        at = event.record[1]
        if event.clip:
            shot = by_clip[event.clip]
            assert event.source[0] >= shot.handles
            assert event.source[1] <= shot.frames_to_shoot - shot.handles
    assert at == timeline.frames


@pytest.mark.parametrize("dissolves", [{}, {1: 12}, {1: 7, 3: 24}])
def test_pycmx_reads_every_event(dissolves: dict[int, int]) -> None:
    timeline = film([72, 96, 50, 120], dissolves)
    parsed = parsed_by_pycmx(write(timeline))
    assert parsed.title == "CHECK"
    for event, ours in zip(parsed.events, events(timeline), strict=True):
        edit = event.edits[-1]
        labels = (edit.record_in, edit.record_out)
        base = timeline.start
        assert tuple(frames_from_label(x, timeline.rate) - base for x in labels) == ours.record
        labels = (edit.source_in, edit.source_out)
        assert tuple(frames_from_label(x, timeline.rate) for x in labels) == ours.source
        assert edit.transition.dissolve == bool(ours.dissolve)
        assert edit.clip_name == ours.clip


@pytest.mark.parametrize("dissolves", [{}, {1: 12, 2: 16}])
def test_the_adapter_of_opentimelineio_reads_it(dissolves: dict[int, int]) -> None:
    timeline = film([72, 96, 50], dissolves)
    read = otio.adapters.read_from_string(write(timeline), "cmx_3600", rate=24)
    (track,) = [track for track in read.tracks if track.kind == "Video"]
    clips = [item for item in track if isinstance(item, otio.schema.Clip)]
    transitions = [item for item in track if isinstance(item, otio.schema.Transition)]
    assert len(clips) == 3
    assert len(transitions) == len(dissolves)
    assert sum(clip.duration().value for clip in clips) == timeline.frames


def test_drop_frame_labels_and_heads() -> None:
    timeline = film([1800, 60], rate="29.97", drop=True)
    lines = write(timeline).splitlines()
    assert lines[1] == "FCM: DROP FRAME"
    # One minute is 1800 labels less two that are left out (SMPTE ST 12-1).
    assert lines[3].endswith("01:00:00;00 01:01:00;02")


def test_a_long_film_takes_several_lists() -> None:
    timeline = film([24] * 1200)
    found = lists(timeline)
    assert [part.splitlines()[0] for part in found] == [
        "TITLE: CHECK 1 OF 2",
        "TITLE: CHECK 2 OF 2",
    ]
    counts = [len(list(parsed_by_pycmx(part).events)) for part in found]
    assert counts == [MOST_EVENTS, 201]
    assert all(len(line) <= 76 for part in found for line in part.splitlines())


def test_reels_are_short_plain_and_different() -> None:
    names = [f"the long night {n}" for n in range(120)] + ["é", "ü", "10", "010", "bl"]
    reels = reel_names(names)
    assert len(set(reels.values())) == len(names)
    for reel in reels.values():
        assert 1 <= len(reel) <= 8
        assert reel.isascii()
        assert reel.isalnum()
        assert reel == reel.upper()


def test_fades_go_through_black() -> None:
    timeline = film([48, 48])
    first = replace(timeline.shots[0], transition=Transition(from_black=12))
    last = replace(timeline.shots[1], transition=Transition(to_black=24))
    found = list(events(replace(timeline, shots=(first, last))))
    assert [(event.reel, event.dissolve, event.record) for event in found] == [
        ("SH010", 12, (0, 48)),
        ("SH020", 0, (48, 72)),
        ("BL", 24, (72, 96)),
    ]


def test_each_list_of_a_long_film_gets_a_file(tmp_path: Path) -> None:
    timeline = film([24] * 1200)
    found = edit_lists(timeline, tmp_path / "cut.edl")
    assert [file.name for file in found] == ["cut_1.edl", "cut_2.edl"]
    assert list(found.values()) == lists(timeline)
    assert list(edit_lists(film([24]), tmp_path / "cut.edl")) == [tmp_path / "cut.edl"]
