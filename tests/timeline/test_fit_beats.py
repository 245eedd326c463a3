"""Moving cuts to beats: beat frames, and the best way to move all cuts together."""

from __future__ import annotations

from itertools import pairwise, product
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from boards import BoardFolder, panels
from hypothesis import given, settings
from hypothesis import strategies as st
from test_fit import with_lengths

from animatic.timeline import lay_out
from animatic.timeline.beats import Room, beat_frames, best_cuts, fit_beats, landings
from animatic.timeline.fit import CannotFit

# Frames a beat = 60 fps / BPM; 1440 / BPM at 24 fps is the click-track convention. Frames of
# the beats from their absolute positions, half up (computed).
AT_24 = {
    100: [0, 14, 29, 43, 58, 72, 86, 101, 115],
    128: [0, 11, 23, 34, 45, 56, 68, 79, 90],
    120: [0, 12, 24, 36, 48],
    72: [0, 20, 40, 60],
}


@pytest.fixture
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("beats"))
    made.photo()
    made.sound("music.wav", 48_000 * 60)
    return made


def film(music: str, rows: str) -> str:
    head = f"board: 1\npicture: {{size: 160x90}}\nmusic: [{{file: music.wav, {music}}}]\n"
    return panels(rows, head)


@pytest.mark.parametrize("bpm", AT_24)
def test_beats_lie_where_the_click_track_has_them(folder: BoardFolder, bpm: int) -> None:
    board = folder.read(film(f"bpm: {bpm}", "- {shot: 10, photo: a.jpg, duration: 20s}"))
    frames = beat_frames(board, lay_out(board))
    assert frames[: len(AT_24[bpm])] == AT_24[bpm]


def test_first_beat_skip_and_start_shift_the_beats(folder: BoardFolder) -> None:
    text = film(
        "from: shot 20, until: shot 30, bpm: 120, first_beat: 0.4s, skip: 1s",
        """
        - {shot: 10, photo: a.jpg, duration: 2s}
        - {shot: 20, photo: a.jpg, duration: 2s}
        - {shot: 30, photo: a.jpg, duration: 1s}
        - {shot: 40, photo: a.jpg, duration: 2s}
        """,
    )
    board = folder.read(text)
    # Beats at 0.4, 0.9, 1.4 ... s in the file; shot 20 begins at 2 s with the file's 1 s.
    seconds = [2 + 0.4 + 0.5 * n - 1 for n in range(20)]
    expected = [int(second * 24 + 0.5) for second in seconds if 2 <= second < 5]
    assert beat_frames(board, lay_out(board)) == expected


def test_a_list_of_beats_is_read(folder: BoardFolder) -> None:
    folder.path("beats.txt").write_text("# bar 1\n0.5\n1.25\tdown\n\n1:00.5\n", encoding="utf-8")
    board = folder.read(film("beats: beats.txt", "- {shot: 10, photo: a.jpg, duration: 70s}"))
    # The last one lies beyond the music's 60 s.
    assert beat_frames(board, lay_out(board)) == [12, 30]


def cost(cuts: list[int], rooms: list[Room], beats: list[int]) -> tuple[int, int, int, int]:
    before = [0]
    for room in rooms:
        before.append(before[-1] + room.frames)
    # How far each cut lies from the nearest beat, and whether that is within half a pose.
    misses = [min((abs(cut - beat) for beat in beats), default=99) for cut in cuts[1:-1]]
    on = [miss for miss, room in zip(misses, rooms, strict=False) if miss <= room.step // 2]
    broken = sum(
        (end - start) % room.step != 0
        for (start, end), room in zip(pairwise(cuts), rooms, strict=True)
        if room.least is not None
    )
    moved = sum(abs(cut - old) for cut, old in zip(cuts, before, strict=True))
    return len(misses) - len(on), broken, sum(on), moved


def is_allowed(cuts: tuple[int, ...], rooms: list[Room]) -> bool:
    return all(
        end - start == room.frames if room.least is None else end - start >= room.least
        for (start, end), room in zip(pairwise(cuts), rooms, strict=True)
    )


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.integers(1, 12), st.integers(0, 12), st.booleans(), st.sampled_from([1, 2, 2, 3, 4])
        ),
        min_size=1,
        max_size=5,
    ),
    st.sets(st.integers(0, 50), max_size=12),
    st.integers(0, 3),
    st.sets(st.integers(1, 4), max_size=1),
)
def test_no_other_way_to_move_the_cuts_is_better(
    rows: list[tuple[int, int, bool, int]], beats: set[int], tolerance: int, held: set[int]
) -> None:
    rooms = [
        Room(frames, None if stays else min(least, frames), step, near=step // 2)
        for frames, least, stays, step in rows
    ]
    on = sorted(beats)
    found = best_cuts(rooms, on, tolerance, frozenset(held))
    old = [0]
    for room in rooms:
        old.append(old[-1] + room.frames)
    choices = [
        range(cut - tolerance, cut + tolerance + 1)
        if 0 < i < len(rooms) and i not in held
        else (cut,)
        for i, cut in enumerate(old)
    ]
    # Every way there is, tried one by one.
    allowed = [cuts for cuts in product(*choices) if is_allowed(cuts, rooms)]
    assert tuple(found) in allowed
    assert cost(found, rooms, on) == min(cost(list(cuts), rooms, on) for cuts in allowed)


def test_cut_by_cut_would_be_worse() -> None:
    # With the first cut on its nearest beat (12), the second could reach none.
    rooms = [Room(11, 2), Room(4, 4), Room(20, 2)]
    assert best_cuts(rooms, [9, 12, 14], 3) == [0, 9, 14, 35]


def test_cuts_go_to_the_beats_and_the_length_stays(folder: BoardFolder) -> None:
    text = film(
        "bpm: 72",
        """
        - {shot: 10, photo: a.jpg, duration: 3.2s}
        - {shot: 20, photo: a.jpg, duration: 2.4s}
        - {shot: 30, photo: a.jpg, duration: 50f}
        - {shot: 40, photo: a.jpg, duration: 3s}
        """,
    )
    board = folder.read(text)
    before = lay_out(board)
    assert [shot.start for shot in before.shots] == [0, 76, 134, 184]
    changes = fit_beats(board, before)
    after = lay_out(with_lengths(board, changes))
    # Shot 30 has an explicit count, so its two cuts move together; 134 can reach no beat
    # within 5 frames, 184 can reach 180.
    assert [shot.start for shot in after.shots] == [0, 80, 130, 180]
    assert after.frames == before.frames


def test_a_film_without_beats_says_what_to_write(folder: BoardFolder) -> None:
    board = folder.read(film("level: -3", "- {shot: 10, photo: a.jpg}"))
    with pytest.raises(CannotFit) as caught:
        fit_beats(board, lay_out(board))
    assert str(caught.value) == (
        "no music in the film has beats; write bpm (and first_beat), or beats: FILE, under it"
    )


NO_BEAT = "no beat of the music lies in the film\n"
FROM_THE_START = "\nbeats are timed from the start of the sound file"


@pytest.mark.parametrize(
    ("music", "said"),
    [
        (
            "bpm: 96, first_beat: 99s",
            "3:32: music[1]: its first beat lies at 99.00 s, and music.wav has only 60.00 s",
        ),
        (
            "beats: far.txt",
            "3:34: music[1]: its first beat lies at 61.50 s, and music.wav has only 60.00 s",
        ),
        (
            "bpm: 96, first_beat: 5s, skip: 1s",
            "3:32: music[1]: none of its beats lies between 1.00 s and 3.00 s of music.wav, which"
            " is what the film plays",
        ),
    ],
)
def test_beats_beyond_what_is_played_are_told_by_where_they_lie(
    folder: BoardFolder, music: str, said: str
) -> None:
    folder.path("far.txt").write_text("61.5\n62\n", encoding="utf-8")
    board = folder.read(film(music, "- {shot: 10, photo: a.jpg, duration: 2s}"))
    with pytest.raises(CannotFit) as caught:
        fit_beats(board, lay_out(board))
    assert str(caught.value) == f"{NO_BEAT}{folder.file}:{said}{FROM_THE_START}"


def test_the_cut_where_the_music_starts_stays(folder: BoardFolder) -> None:
    text = film(
        "from: shot 20, bpm: 120, first_beat: 3f",
        """
        - {shot: 10, photo: a.jpg, duration: 2s}
        - {shot: 20, photo: a.jpg, duration: 2s}
        - {shot: 30, photo: a.jpg, duration: 2s}
        """,
    )
    board = folder.read(text)
    after = lay_out(with_lengths(board, fit_beats(board, lay_out(board))))
    # The beat lies at 99, within a pose.
    assert [shot.start for shot in after.shots] == [0, 48, 98]


@pytest.mark.parametrize("shoot_on", [1, 2, 3, 4])
def test_shots_end_with_whole_poses_where_cuts_go_to_beats(
    folder: BoardFolder, shoot_on: int
) -> None:
    # Beats at 97 a minute lie 14.8 frames apart. Lengths of whole poses, 6 s and 12 frames each.
    rows = "\n".join(f"- {{shot: {n}, photo: a.jpg, duration: {n % 3 + 2}s}}" for n in range(12))
    head = f"bpm: 97, first_beat: 0.1s}}]\nshoot_on: {shoot_on}\ndefaults: {{shortest: 1f"
    board = folder.read(film(head, rows).replace("1f}]", "1f}"))
    before = lay_out(board)
    fitted = with_lengths(board, fit_beats(board, before, 8))
    after = lay_out(fitted)
    assert after.frames == before.frames
    assert [shot.frames % shoot_on for shot in after.shots] == [0] * 12
    beats = [round(24 * (0.1 + n * 60 / 97)) for n in range(100)]
    off = [min(abs(shot.start - beat) for beat in beats) for shot in after.shots[1:]]
    assert max(off) <= shoot_on // 2
    assert [abs(one.off) for one in landings(fitted, after)] == off
    assert all(one.is_on for one in landings(fitted, after))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(10, 60), st.sampled_from(["", "spoken", "recorded"])),
        min_size=2,
        max_size=9,
    ),
    st.integers(50, 200),
    st.integers(0, 12),
)
def test_no_cut_goes_into_a_line_and_no_shot_below_its_least(
    rows: list[tuple[int, str]], bpm: int, tolerance: int
) -> None:
    said = {
        "": "",
        "spoken": ", dialogue: [{who: Odd, line: The tide is late}]",
        "recorded": ", dialogue: [{who: Odd, line: Late, voice: line.wav}]",
    }
    text = "\n".join(
        f"- {{shot: {n}, photo: a.jpg{'' if what else f', duration: {tenths / 10}s'}{said[what]}}}"
        for n, (tenths, what) in enumerate(rows)
    )
    with TemporaryDirectory() as name:
        folder = BoardFolder(Path(name))
        folder.photo()
        folder.sound("music.wav", 48_000 * 60)
        folder.sound("line.wav", 70_000)
        board = folder.read(film(f"bpm: {bpm}", text))
        before = lay_out(board)
        after = lay_out(with_lengths(board, fit_beats(board, before, tolerance)))
    assert after.frames == before.frames
    for old, new in zip(before.shots, after.shots, strict=True):
        assert abs(new.start - old.start) <= tolerance
        assert all(line.end_frame <= new.end for line in new.lines)


def test_a_recording_that_was_fitted_stays_where_cuts_move(folder: BoardFolder) -> None:
    folder.sound("line.wav", 60_000)
    text = film(
        "bpm: 120",
        """
        - {shot: 10, photo: a.jpg, duration: 48f}
        - {shot: 20, photo: a.jpg, duration: 1s}
        - {photo: a.jpg, dialogue: [{who: Odd, line: Late, voice: line.wav}], duration: ~76f}
        - {shot: 30, photo: a.jpg, duration: 2s}
        """,
    )
    board = folder.read(text)
    before = lay_out(board)
    assert [panel.frames for panel in before.panels] == [48, 24, 76, 48]
    # The cut at 148 lies 4 frames behind a beat, but the one panel that could give them is
    # as short as may be.
    assert fit_beats(board, before) == {}
