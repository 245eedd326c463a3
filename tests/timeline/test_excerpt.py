"""A part of a film: its frames, its labels, and its sound, which is the whole film's there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from animatic.errors import UsageError
from animatic.frames import RATES
from animatic.sound import mix_to_array
from animatic.timeline import Timeline, layers_at
from animatic.timeline.excerpt import excerpt, half_size, resized
from tests.boards import HEAD, BoardFolder, panels
from tests.strategies import timelines, untimed


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    """A photo; tones as music, voice and effect, at three sample rates."""
    board = BoardFolder(tmp_path_factory.mktemp("film"))
    board.photo()
    board.tone("tide.wav", 441_000, 44_100, 220.0)
    board.tone("odd.wav", 24_000, 48_000, 700.0)
    board.tone("bell.wav", 64_000, 32_000, 1500.0, 0.1)
    return board


def film(folder: BoardFolder, rate: str = "24", line_at: str = "0.2s") -> Timeline:
    """Four shots, with music from the second on, lines in the first and third, and effects.

    The music goes down before shot 20 ends, because of the line that begins in shot 30.
    """
    return folder.lay_out(
        f"{HEAD}rate: {rate}\n"
        "start: 00:59:50:00\n"
        "music:\n"
        "  - {file: tide.wav, from: shot 20, until: shot 30, fade_in: 1s, fade_out: 0.7s,"
        " skip: 0.5s}\n"
        "  - {file: tide.wav, level: -12}\n"
        "panels:\n"
        "  - {shot: 10, photo: a.jpg, duration: 41f,"
        " dialogue: [{who: Odd, line: Late., voice: odd.wav,"
        f" at: {line_at}}}]}}\n"
        "  - {shot: 20, photo: a.jpg, duration: 25f, sounds: [{file: bell.wav, at: 7f}],"
        " transition: {dissolve: 8f}}\n"
        "  - {photo: a.jpg, duration: 24f}\n"
        "  - {shot: 30, photo: a.jpg, duration: 49f, transition: {dissolve: 7f},"
        " dialogue: [{who: Pim, line: Late?, voice: odd.wav, at: 2f}]}\n"
        "  - {shot: 40, photo: a.jpg, duration: 37f, sounds: [{file: bell.wav, at: 3f}]}\n"
    )


RANGES = [
    ("10", "10"),
    ("10", "30"),
    ("20", "20"),
    ("20", "40"),
    ("30", "30"),
    ("40", "40"),
    (None, "20"),
    ("30", None),
]


@pytest.mark.parametrize("rate", [rate for rate in RATES if rate != "24"])
def test_it_sounds_as_the_whole_film_does_there_at_every_rate(
    rate: str, folder: BoardFolder
) -> None:
    whole = film(folder, rate)
    check_sound(whole, mix_to_array(whole), "20", "30")


def test_it_sounds_as_the_whole_film_does_there(folder: BoardFolder) -> None:
    whole = film(folder)
    sound = mix_to_array(whole)
    for first, last in RANGES:
        check_sound(whole, sound, first, last)


def check_sound(
    whole: Timeline, whole_sound: NDArray[np.float32], first: str | None, last: str | None
) -> None:
    part = excerpt(whole, first, last)
    begin = whole.shot(first).start if first else 0
    end = whole.shot(last).end if last else whole.frames
    at = samples(whole, begin)
    sound, expected = mix_to_array(part), whole_sound[at:]
    assert len(sound) == part.samples
    # Where a frame is no whole number of samples, the part may end a sample later.
    assert abs(len(sound) - (samples(whole, end) - at)) <= 1
    length = min(len(sound), len(expected))
    different = np.flatnonzero((sound[:length] != expected[:length]).any(axis=1))
    assert len(different) == 0, f"{len(different)} samples from {different[0]} on"


def samples(timeline: Timeline, frame: int) -> int:
    """Return the sample of a frame at 48 kHz, half up, computed here."""
    fps = timeline.rate.fps
    doubled = 2 * frame * 48_000 * fps.denominator + fps.numerator
    return doubled // (2 * fps.numerator)


def test_music_is_still_down_from_a_line_that_ended_just_before(folder: BoardFolder) -> None:
    # The line ends at 1.65 s; shot 20 begins at 1.71 s, 0.24 s before the music is back.
    whole = film(folder, line_at="1.15s")
    check_sound(whole, mix_to_array(whole), "20", "30")


@pytest.mark.parametrize(("first", "last"), RANGES)
def test_its_frames_are_the_whole_films_from_0_on(
    first: str | None, last: str | None, folder: BoardFolder
) -> None:
    whole = film(folder)
    part = excerpt(whole, first, last)
    begin = whole.shot(first) if first else whole.shots[0]
    end = whole.shot(last) if last else whole.shots[-1]
    assert part.frames == end.end - begin.start
    assert [shot.name for shot in part.shots] == [
        shot.name for shot in whole.shots[begin.index : end.index + 1]
    ]
    assert [shot.index for shot in part.shots] == list(range(len(part.shots)))
    assert [panel.index for panel in part.panels] == list(range(len(part.panels)))
    for frame in range(part.frames):
        assert part.label(frame) == whole.label(begin.start + frame)
    for shot in part.shots:
        there = whole.shot(shot.name)
        assert (shot.start, shot.end) == (there.start - begin.start, there.end - begin.start)
        # What must be shot does not change because a part is looked at.
        assert (shot.frames_to_shoot, shot.poses) == (there.frames_to_shoot, there.poses)
        assert [line.number for line in shot.lines] == [line.number for line in there.lines]


def test_inside_it_shows_what_the_whole_film_shows(folder: BoardFolder) -> None:
    """Only the frames of a dissolve cut through at the part's ends differ."""
    whole = film(folder)
    part = excerpt(whole, "20", "30")
    begin = whole.shot("20").start

    def shown(timeline: Timeline, frame: int) -> list[tuple[str, int, int, object]]:
        return [
            (layer.panel.shot, layer.panel.number, layer.frame, layer.weight)
            for layer in layers_at(timeline, frame)
        ]

    differing = [
        frame for frame in range(part.frames) if shown(part, frame) != shown(whole, begin + frame)
    ]
    # The dissolve of 8 frames into shot 20 has 4 of them after the cut.
    assert differing == [0, 1, 2, 3]


def test_lines_keep_their_place_against_the_picture(folder: BoardFolder) -> None:
    whole = film(folder)
    part = excerpt(whole, "20", "30")
    (line,), there = part.lines, whole.lines[1]
    frames = whole.shot("20").start
    assert line.first_frame == there.first_frame - frames
    assert line.end_frame == there.end_frame - frames
    assert line.start == there.start - 2000 * frames
    assert line.end == there.end - 2000 * frames
    assert (line.number, line.text) == (2, "Late?")


def test_sounds_that_are_not_heard_in_it_are_left_out(folder: BoardFolder) -> None:
    part = excerpt(film(folder), "40", None)
    assert [(cue.bus, cue.file.name) for cue in part.cues if cue.bus != "dialogue"] == [
        ("music", "tide.wav"),
        ("effects", "bell.wav"),
    ]
    # The music began with the film, 139 frames of 2000 samples before.
    assert part.cues[0].start == -139 * 2000


def test_no_range_is_the_film_itself(folder: BoardFolder) -> None:
    whole = film(folder)
    assert excerpt(whole, None, None) is whole


def test_the_whole_range_is_the_film_too(folder: BoardFolder) -> None:
    whole = film(folder)
    assert excerpt(whole, "10", "40") == whole


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("30", "20", "shot 20 comes before shot 30; swap the two"),
        ("50", None, "there is no shot 50; the shots are 10, 20, 30, 40"),
        (None, "110", "there is no shot 110; the shots are 10, 20, 30, 40; did you mean 10?"),
        (None, "x", "there is no shot x; the shots are 10, 20, 30, 40"),
        ("", None, "there is no shot ; the shots are 10, 20, 30, 40"),
    ],
)
def test_shots_that_are_not(
    first: str | None, last: str | None, words: str, folder: BoardFolder
) -> None:
    with pytest.raises(UsageError) as fault:
        excerpt(film(folder), first, last)
    assert str(fault.value) == words


@settings(untimed, max_examples=60)
@given(timelines(), st.data())
def test_random_films_keep_their_lengths_and_labels(whole: Timeline, data: st.DataObject) -> None:
    begin = data.draw(st.integers(0, len(whole.shots) - 1))
    end = data.draw(st.integers(begin, len(whole.shots) - 1))
    part = excerpt(whole, whole.shots[begin].name, whole.shots[end].name)
    lengths = [panel.frames for shot in whole.shots[begin : end + 1] for panel in shot.panels]
    assert [panel.frames for panel in part.panels] == lengths
    assert part.frames == sum(lengths)
    assert part.panels[0].start == 0
    assert part.label(0) == whole.label(whole.shots[begin].start)
    assert part.shots[0].transition.dissolve == 0


@pytest.mark.parametrize(
    ("size", "half"),
    [
        ((1920, 1080), (960, 540)),
        ((998, 666), (498, 332)),
        ((160, 90), (128, 72)),
        ((128, 72), (128, 72)),
        ((1080, 1920), (540, 960)),
    ],
)
def test_half_a_size_is_even_and_never_too_small(
    size: tuple[int, int], half: tuple[int, int]
) -> None:
    assert half_size(size) == half


def test_another_size_changes_nothing_else(folder: BoardFolder) -> None:
    whole = film(folder)
    assert resized(whole, (320, 180)) == replace(whole, size=(320, 180))


def test_files_of_the_film_are_absolute(folder: BoardFolder) -> None:
    assert all(Path(cue.file).is_absolute() for cue in film(folder).cues)


def test_of_many_shots_the_message_says_how_many_more_there_are(folder: BoardFolder) -> None:
    rows = "\n".join(f"- {{shot: {n}, photo: a.jpg, duration: 4f}}" for n in range(1, 16))
    whole = folder.lay_out(panels(rows))
    with pytest.raises(UsageError) as fault:
        excerpt(whole, "quay", None)
    assert str(fault.value) == (
        "there is no shot quay; the shots are 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 3 more"
    )
