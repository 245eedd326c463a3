"""Edit decision lists of whole boards, as pycmx and OpenTimelineIO's adapter read them."""

from __future__ import annotations

from io import StringIO
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pycmx
import pytest
from hypothesis import given, settings

from animatic.board import read_board
from animatic.sheets.edl import events, lists, shortened
from animatic.sheets.otio import write as write_otio
from animatic.timecode import frames_from_label
from animatic.timeline import Timeline, lay_out
from tests.boards import BoardFolder
from tests.sheets.test_edl import film
from tests.strategies import timelines

HEAD = "board: 1\nrate: {rate}\npicture: {{size: 160x90}}\n{more}\npanels:\n"


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    return folder


@pytest.fixture(scope="module")
def demo_timeline() -> Timeline:
    return lay_out(read_board(Path(__file__).parents[2] / "demo_board"))


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


def fractional(timeline: Timeline) -> float:
    """Return the rate as OpenTimelineIO takes it: it knows 30000/1001, and not 29.97."""
    return float(timeline.rate.fps)


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


def transitions_of(track: Any) -> list[int]:
    """Return the frames of every transition; the adapter lays them behind their cuts."""
    mixes = [item for item in track if isinstance(item, otio.schema.Transition)]
    assert {mix.in_offset.value for mix in mixes} <= {0}
    return [int(mix.out_offset.value) for mix in mixes]


def check_by_otio(timeline: Timeline, parts: list[str]) -> None:
    """Hold every clip and every transition that the adapter reads against the events."""
    wanted = list(events(timeline))
    found: list[tuple[str, int, int, int]] = []
    mixes: list[int] = []
    for part in parts:
        track = by_otio(part, fractional(timeline))
        mixes += transitions_of(track)
        # The adapter counts from the first label of a list, which is told by pycmx.
        first = by_pycmx(part)[0].edits[0].record_in
        begins = frames_from_label(first, timeline.rate) - timeline.start
        for clip in clips_of(track):
            source, within = clip.source_range, clip.range_in_parent()
            at = begins + int(within.start_time.value)
            found.append((clip.name, int(source.start_time.value), at, int(within.duration.value)))
    if found[0][2] < 0:
        name, source_start, at, length = found.pop(0)
        assert (name, source_start) == ("001", 0)
        assert at + length == 0
    assert [each[1:] for each in found] == [
        (event.source[0], event.record[0], event.record[1] - event.record[0]) for event in wanted
    ]
    assert mixes == [event.dissolve for event in wanted if event.dissolve]
    assert [each[0] for each in found] == [event.clip or event.outgoing[2] for event in wanted]


def test_the_demo_is_read_by_the_adapter(demo_timeline: Timeline) -> None:
    [text] = lists(demo_timeline)
    # The film opens with a fade; the list, with black that lies before the film.
    first, second, *_ = by_pycmx(text)
    assert first.edits[0].black
    assert (first.edits[0].record_in, first.edits[0].record_out) == ("00:59:59:00", "01:00:00:00")
    assert [edit.record_in for edit in second.edits] == ["01:00:00:00"] * 2
    assert second.edits[1].transition.effect_duration == 24
    check_by_otio(demo_timeline, [text])


@settings(max_examples=60, deadline=None)
@given(timelines(sound=False).filter(lambda film: film.start and film.rate.nominal >= 24))
def test_any_film_comes_back_from_the_adapter_to_the_frame(timeline: Timeline) -> None:
    check_by_otio(timeline, lists(timeline))


def test_fades_in_between_and_at_the_ends_come_back(folder: BoardFolder) -> None:
    timeline = laid(
        folder,
        "shot: 10, duration: 2s, transition: {from_black: 12f, to_black: 12f}",
        "shot: 20, duration: 2s, transition: {from_black: 16f}",
        "shot: 30, duration: 2s, transition: {dissolve: 9f, to_black: 1s}",
    )
    [text] = lists(timeline)
    check_by_otio(timeline, [text])
    track = by_otio(text)
    assert transitions_of(track) == [12, 12, 16, 9, 24]
    black = [
        isinstance(clip.media_reference, otio.schema.GeneratorReference)
        and clip.media_reference.generator_kind == "black"
        for clip in clips_of(track)
    ]
    assert black == [True, False, True, False, False, True]


def test_a_film_that_fades_in_at_midnight_has_no_room_before_it(folder: BoardFolder) -> None:
    panels = ["shot: 10, duration: 2s, transition: {from_black: 12f}", "shot: 20, duration: 2s"]
    [text] = lists(laid(folder, *panels, more='start: "00:00:00:00"'))
    lines = [line for line in text.splitlines() if line[:1].isdigit()]
    assert lines[:2] == [
        "001  BL       V     C        00:00:00:00 00:00:00:00 00:00:00:00 00:00:00:00",
        "001  SH010    V     D    012 00:00:00:00 00:00:02:00 00:00:00:00 00:00:02:00",
    ]
    assert [len(event.edits) for event in by_pycmx(text)] == [2, 1]
    with pytest.raises(Exception, match="Transitions can't be at the very beginning of a track"):
        by_otio(text)
    # All but that first pair is read.
    rest = text[text.index(f"\n{lines[2]}") :]
    assert [clip.name for clip in clips_of(by_otio(rest))] == ["20_take1"]
    [text] = lists(laid(folder, *panels, more='start: "00:00:00:05"'))
    assert by_pycmx(text)[0].edits[0].record_in == "00:00:00:00"
    assert transitions_of(by_otio(text)) == [12]


def long_film(dissolves: set[int], frames: int = 24) -> Timeline:
    """Return a film of 1200 shots, some of which are dissolved into."""
    return film([frames] * 1200, dict.fromkeys(dissolves, 12))


@pytest.mark.parametrize(
    ("dissolves", "counts"),
    [
        # Event 1000 would be a dissolve: the second list begins with the cut before it.
        ({999, 1000}, [998, 202]),
        (set(range(500, 1200)), [499, 701]),
        # No cut anywhere: the shot of the last event goes on in the second list.
        (set(range(1, 1200)), [999, 202]),
    ],
)
def test_lists_of_a_long_film_begin_with_a_cut(dissolves: set[int], counts: list[int]) -> None:
    timeline = long_film(dissolves)
    parts = lists(timeline)
    found = [by_pycmx(part) for part in parts]
    assert [len(part) for part in found] == counts
    at = timeline.start
    for part in found:
        assert part[0].edits[0].transition.cut
        assert len(part[0].edits) == 1
        for event in part:
            first, end = (
                frames_from_label(label, timeline.rate)
                for label in (event.edits[-1].record_in, event.edits[-1].record_out)
            )
            assert first == at < end
            at = end
    assert at == timeline.start + timeline.frames
    if sum(counts) == 1200:
        check_by_otio(timeline, parts)
    else:
        frames = [clip.duration().value for part in parts for clip in clips_of(by_otio(part))]
        assert sum(frames) == timeline.frames
        # The shot that is in both lists goes on with the next of its frames.
        before, after = found[0][-1].edits[-1], found[1][0].edits[-1]
        assert (before.source, before.source_out) == (after.source, after.source_in)
        assert before.clip_name == after.clip_name
        assert after.source_out == found[1][1].edits[0].source_in


def test_a_list_that_is_all_transitions_is_still_whole() -> None:
    """Where no shot has a frame to itself, a list begins with a pair, as is customary."""
    timeline = film([12] * 1200, dict.fromkeys(range(1, 1200), 12))
    parts = lists(timeline)
    assert [len(by_pycmx(part)) for part in parts] == [999, 201]


def test_transitions_of_more_than_999_frames_are_shortened(folder: BoardFolder) -> None:
    timeline = laid(
        folder,
        # 20 s at 60000/1001 are 1198.8 frames.
        "shot: 10, duration: 60s, transition: {from_black: 20s}",
        "shot: 20, duration: 60s, transition: {dissolve: 1001f}",
        "shot: 30, duration: 60s, transition: {to_black: 1000f}",
        "shot: 40, duration: 60s, transition: {from_black: 999f}",
        rate="59.94",
    )
    [text] = lists(timeline)
    assert max(len(line) for line in text.splitlines()) <= 76
    edits = [event.edits[-1] for event in by_pycmx(text)][1:]
    assert [edit.source for edit in edits] == ["SH010", "SH020", "SH030", "BL", "SH040"]
    lengths = [int(edit.transition.operand or 0) for edit in edits]
    assert lengths == [999, 999, 0, 999, 999]
    cuts = [shot.start for shot in timeline.shots]
    at = [frames_from_label(edit.record_in, timeline.rate) - timeline.start for edit in edits]
    # The dissolve is centred on its cut as before; the fades begin and end in black.
    assert at == [0, cuts[1] - 999 // 2, cuts[2], cuts[3] - 999, cuts[3]]
    by_event = list(events(timeline))
    second = timeline.shots[1]
    assert by_event[1].source[0] == second.overlap_head - 999 // 2
    assert by_event[0].source[1] + 999 <= timeline.shots[0].frames_to_shoot
    remarks = [line for line in text.splitlines() if "IN THE FILM" in line]
    assert remarks == [
        f"* {frames} FRAMES IN THE FILM; THIS LAYOUT HOLDS 999" for frames in (1199, 1001, 1000)
    ]
    assert [words.split(",")[0] for words in shortened(timeline)] == [
        "the fade in of shot 10 has 1199 frames",
        "the dissolve into shot 20 has 1001 frames",
        "the fade out of shot 30 has 1000 frames",
    ]
    check_by_otio(timeline, [text])


def counted(label: str, nominal: int) -> int:
    """Return the frame of a label, by the reckoning of SMPTE ST 12-1 and nothing of the project's.

    A semicolon is drop-frame: of 30 labels two, of 60 four, are left out at every minute but
    each tenth.
    """
    hours, minutes, seconds, frames = (int(part) for part in label.replace(";", ":").split(":"))
    assert frames < nominal
    whole = hours * 60 + minutes
    found = (whole * 60 + seconds) * nominal + frames
    return found - (whole - whole // 10) * (nominal // 15) if ";" in label else found


def check_by_pycmx(timeline: Timeline, text: str) -> None:
    """Hold every label that pycmx reads against the events, with no reckoning of the project's."""
    nominal, found = timeline.rate.nominal, []
    for event in by_pycmx(text):
        *before, edit = event.edits
        labels = (edit.source_in, edit.source_out, edit.record_in, edit.record_out)
        first, end, start, stop = (counted(label, nominal) for label in labels)
        length = int(edit.transition.operand or 0)
        for outgoing in before:
            assert outgoing.record_in == outgoing.record_out == edit.record_in
            assert outgoing.source_in == outgoing.source_out
        if start >= timeline.start:
            rest = (start - timeline.start, stop - timeline.start)
            name = (before[-1].clip_name if before else None) or ""
            found.append(((first, end), rest, length, edit.clip_name or "", name))
    wanted = [
        (event.source, event.record, event.dissolve, event.clip, event.outgoing[2])
        if event.dissolve
        else (event.source, event.record, 0, event.clip, "")
        for event in events(timeline)
    ]
    assert found == wanted


@settings(max_examples=60, deadline=None)
@given(timelines(sound=False))
def test_any_film_comes_back_from_pycmx_by_other_reckoning(timeline: Timeline) -> None:
    [text] = lists(timeline)
    check_by_pycmx(timeline, text)


@pytest.mark.parametrize("rate", ["12", "15"])
def test_rates_that_the_adapter_does_not_know(folder: BoardFolder, rate: str) -> None:
    timeline = laid(
        folder,
        "shot: 10, duration: 61s, transition: {from_black: 5f}",
        "shot: 20, duration: 7f",
        "shot: 30, duration: 20s, transition: {dissolve: 9f}",
        "shot: 40, duration: 3s, transition: {to_black: 1s}",
        rate=rate,
    )
    [text] = lists(timeline)
    check_by_pycmx(timeline, text)
    # The film is 84 seconds and 7 frames long, rounded to poses of two frames; the last label.
    assert counted(by_pycmx(text)[-1].edits[-1].record_out, int(rate)) == (
        3600 * int(rate) + timeline.frames
    )
    assert abs(timeline.frames - (84 * int(rate) + 7)) <= 2
    with pytest.raises(Exception, match="SMPTE timecode does not support this rate"):
        by_otio(text, float(rate))
