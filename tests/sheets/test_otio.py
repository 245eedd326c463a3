"""The timeline for the edit, read back by OpenTimelineIO: every frame where it should be."""

from __future__ import annotations

import builtins
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest
from hypothesis import given

from animatic.errors import MachineError
from animatic.sheets.otio import write
from animatic.sheets.rows import spoken
from animatic.timeline.model import Cue, Timeline
from tests.boards import HEAD, BoardFolder, panels
from tests.sheets.timelines import low_water
from tests.strategies import timelines, untimed


def read(timeline: Timeline) -> Any:
    return otio.adapters.read_from_string(write(timeline), "otio_json")


@untimed
@given(timelines())
def test_every_shot_comes_back_with_what_was_shot_for_it(timeline: Timeline) -> None:
    back = read(timeline)
    picture = back.tracks[0]
    assert back.global_start_time.value == timeline.start
    rate = Fraction(back.global_start_time.rate).limit_denominator(1001)
    assert rate == timeline.rate.fps
    assert picture.duration().value == timeline.frames
    for clip, shot in zip(picture.find_clips(), timeline.shots, strict=True):
        first = shot.handles + shot.overlap_head
        assert clip.name == shot.name
        assert clip.range_in_parent().start_time.value == shot.start
        assert clip.source_range.duration.value == shot.frames
        assert clip.source_range.start_time.value == first
        assert clip.media_reference.available_range.duration.value == shot.frames_to_shoot
        assert clip.media_reference.target_url == f"{shot.name}_take1"
        assert clip.metadata["animatic"]["poses"] == shot.poses
        for marker in clip.markers:
            mark = marker.marked_range
            assert clip.source_range.start_time <= mark.start_time
            assert mark.end_time_exclusive() <= clip.source_range.end_time_exclusive()


@untimed
@given(timelines())
def test_every_line_is_marked_on_all_its_frames(timeline: Timeline) -> None:
    marked: dict[int, list[tuple[int, int]]] = {}
    for clip, shot in zip(read(timeline).tracks[0].find_clips(), timeline.shots, strict=True):
        offset = shot.start - int(clip.source_range.start_time.value)
        for marker in clip.markers:
            first = int(marker.marked_range.start_time.value) + offset
            end = first + int(marker.marked_range.duration.value)
            said = marker.metadata["animatic"]
            marked.setdefault(said["line"], []).append((first, end))
            line = timeline.lines[said["line"] - 1]
            assert (said["first_frame"], said["end_frame"]) == (line.first_frame, line.end_frame)
            goes_on = " (goes on)" if first > line.first_frame else ""
            assert marker.name == f"{spoken(line)}{goes_on}"
    for line in timeline.lines:
        parts = marked[line.number]
        end = min(line.end_frame, timeline.frames)
        assert (parts[0][0], parts[-1][1]) == (min(line.first_frame, timeline.frames), end)
        assert all(before[1] == after[0] for before, after in pairwise(parts))


def test_a_line_that_runs_over_cuts_is_marked_on_each_shot(tmp_path: Path) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    # 12 words at 160 a minute are 4.5 seconds: 108 frames at 24.
    words = "one two three four five six seven eight nine ten eleven twelve"
    rows = f"""
    - shot: 10
      photo: a.jpg
      duration: 2s
      dialogue: [{{who: Odd, line: {words}, at: 24f, over: next}}]
    - {{shot: 20, photo: a.jpg, duration: 12f, transition: {{dissolve: 8f}}}}
    - {{shot: 30, photo: a.jpg, duration: 48f}}
    """
    timeline = folder.lay_out(
        panels(rows, f"{HEAD}handles: 8f\nspeech: {{words_per_minute: 160}}\n")
    )
    clips = list(read(timeline).tracks[0].find_clips())
    marks = [
        (marker.name[-9:], int(mark.start_time.value), int(mark.duration.value))
        for clip in clips
        for marker in clip.markers
        for mark in [marker.marked_range]
    ]
    # Shot 20 has 8 frames of handle and 4 of overlap, shot 30 the handle alone. The film ends
    # with shot 30: of 132 frames 108 are there.
    assert marks == [
        ("en twelve", 8 + 24, 24),
        ("(goes on)", 8 + 4, 12),
        ("(goes on)", 8, 48),
    ]
    whole = clips[0].markers[0].metadata["animatic"]
    assert (whole["line"], whole["first_frame"], whole["end_frame"]) == (1, 24, 24 + 108)


@untimed
@given(timelines(sound=False))
def test_mixes_lie_as_in_the_film_and_inside_their_media(timeline: Timeline) -> None:
    back = read(timeline)
    picture = back.tracks[0]
    wanted = []
    for shot in timeline.shots:
        how = shot.transition
        wanted += [(how.dissolve // 2, how.dissolve - how.dissolve // 2)] * bool(how.dissolve)
        wanted += [(0, how.from_black)] * bool(how.from_black)
        wanted += [(how.to_black, 0)] * bool(how.to_black)
    mixes = [item for item in picture if isinstance(item, otio.schema.Transition)]
    assert [(mix.in_offset.value, mix.out_offset.value) for mix in mixes] == wanted
    for clip in picture.find_clips():
        before, after = picture.neighbors_of(clip)
        head = before.in_offset.value if isinstance(before, otio.schema.Transition) else 0
        tail = after.out_offset.value if isinstance(after, otio.schema.Transition) else 0
        source, media = clip.source_range, clip.available_range()
        assert source.start_time.value - head >= media.start_time.value
        end = source.start_time.value + source.duration.value
        assert end + tail <= media.duration.value


@untimed
@given(timelines())
def test_every_sound_comes_back_at_its_sample(timeline: Timeline) -> None:
    back = read(timeline)
    found = []
    for track in back.tracks[1:]:
        assert track.kind == "Audio"
        for clip in track.find_clips():
            place = clip.range_in_parent()
            assert place.start_time.rate == 48_000
            start = int(place.start_time.value)
            end = start + int(place.duration.value)
            skip = int(clip.source_range.start_time.value)
            level = clip.metadata["animatic"]["level_db"]
            url = clip.media_reference.target_url
            found.append((track.name.split()[0], url, start, end, skip, level))
    wanted = [(c.bus, c.file.as_uri(), c.start, c.end, c.skip, c.level) for c in timeline.cues]
    assert sorted(found) == sorted(wanted)


def test_music_that_repeats_is_a_clip_for_each_time() -> None:
    """No clip is longer than its media; those that cross lie on two tracks."""
    pieces = ((0, 90_000), (70_000, 160_000), (140_000, 230_000))
    cue = Cue("music", Path("/tide.wav"), 1000, 200_000, "10", 500, fade_in=9, pieces=pieces)
    back = read(replace(low_water(), cues=(cue,)))
    found = []
    for track in back.tracks[1:]:
        for clip in track.find_clips():
            start, length = (
                clip.range_in_parent().start_time.value,
                clip.source_range.duration.value,
            )
            said = clip.metadata["animatic"]
            fades = said["fade_in_samples"], said["fade_out_samples"]
            found.append((track.name, start, start + length, *fades))
            assert clip.source_range.start_time.value == 500
    assert sorted(found) == [
        ("music 1", 1000, 91_000, 9, 20_000),
        ("music 1", 141_000, 200_000, 20_000, 0),
        ("music 2", 71_000, 161_000, 20_000, 20_000),
    ]


def test_lines_are_markers_and_names_are_kept() -> None:
    back = read(low_water(media="{shot} Ж/{take}", title="Ἅλς"))
    assert back.name == "Ἅλς"
    clips = list(back.tracks[0].find_clips())
    assert clips[0].media_reference.name == "10 Ж/1"
    assert [marker.name for marker in clips[3].markers] == [
        "Odd: Listen.",
        "Pim: Ёлки, it’s the bell — at last!",
    ]
    # Shot 40 has 8 frames of handle and 7 // 2 of overlap; the line begins 30 frames in.
    assert clips[3].markers[1].marked_range.start_time.value == 8 + 3 + 30
    assert clips[3].markers[1].marked_range.duration.value == 60


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def missing(name: str, *rest: Any, **more: Any) -> Any:
        if name == "opentimelineio":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(MachineError) as caught:
        write(low_water())
    assert str(caught.value) == (
        "OpenTimelineIO is not installed; install animatic with its extra 'otio'"
    )
