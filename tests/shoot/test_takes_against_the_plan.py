"""Takes held against the plan: what counts as shot, and what is said of what does not."""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from pathlib import Path

import pytest

from animatic.sheets.exposure import exposures
from animatic.shoot.takes import Shoot, ShotTakes, look_over
from animatic.shoot.ways import pose_numbers
from animatic.timeline import Timeline
from tests.boards import BoardFolder, panels
from tests.takes_made import bars, state_of_folder, take, video

HEAD = "board: 1\npicture: {size: 160x90}\nshoot_on: 2\nhandles: 4f\n"
ROWS = """
- {shot: 10, photo: a.jpg, duration: 24f}
- {shot: 20, photo: a.jpg, duration: 13f, transition: {dissolve: 7f}}
- {photo: a.jpg, duration: 12f, shoot_on: 3}
"""
# Shot 10: 4 + 24 + 4 (overlap) + 4 = 36 frames, 18 poses.
# Shot 20: 4 + 3 (overlap) + 25 + 4 = 36 frames: 20 on twos and 16 on threes, 10 + 6 poses.


@pytest.fixture
def film(board: BoardFolder) -> Timeline:
    return board.lay_out(panels(ROWS, HEAD))


def shot(film: Timeline, folder: Path, name: str = "10") -> ShotTakes:
    found = look_over(film, folder)
    return next(one for one in found.shots if one.shot.name == name)


def findings(shoot: Shoot) -> list[tuple[str, str, str, bool]]:
    return [(one.kind, one.path.name, one.words, one.leaves_out) for one in shoot.findings]


def test_poses_are_numbered_as_on_the_exposure_sheet(film: Timeline) -> None:
    for one in film.shots:
        poses, _ = pose_numbers(one)
        assert [pose + 1 for pose in poses] == [row.pose for row in exposures(film, one)]


def test_an_empty_folder_leaves_everything_to_do(film: Timeline, folder: Path) -> None:
    found = look_over(film, folder)
    assert [(one.status, one.frames, one.poses_left) for one in found.shots] == [
        ("to do", 0, 18),
        ("to do", 0, 16),
    ]
    assert found.findings == ()
    assert found.takes(unfinished=True) == {}


@pytest.mark.parametrize(
    ("name", "count", "note", "first"),
    [
        ("10", 36, "", 8 - 4),
        ("10", 18, "one picture a pose", None),
        ("10", 28, "without handles", 0),
        ("10", 14, "without handles, one picture a pose", None),
        ("10", 24, "from cut to cut", 0),
        ("10", 12, "from cut to cut, one picture a pose", None),
        ("10", 39, "3 more at the end, not used", 4),
        ("20", 36, "", 4),
        ("20", 16, "one picture a pose", None),
        ("20", 28, "without handles", 0),
        ("20", 25, "from cut to cut", 0),
    ],
)
def test_a_whole_take_is_a_shot_that_is_shot(
    name: str, count: int, note: str, first: int | None, film: Timeline, folder: Path
) -> None:
    # Pictures a minute apart are poses; a take without handles is one by its number alone.
    times = [60 * n for n in range(count)] if "pose" in note else None
    take(folder / f"{name}_take1", range(101, 101 + count), times=times)
    found = shot(film, folder, name)
    assert (found.status, found.poses_left) == ("shot", 0)
    assert found.best is not None
    assert found.best[1].note == note
    shown = found.best[1].take()
    assert shown is not None
    # From the first frame of the dissolve to the last: shot 20 has its overlap at the head.
    assert (shown.first, shown.end) == ((0, 28) if name == "10" else (-3, 25))
    if first is not None:
        assert shown.pictures[0].file.name == f"IMG_{101 + first:04}.jpg"


def test_each_frame_of_one_picture_a_pose_is_that_of_its_pose(film: Timeline, folder: Path) -> None:
    take(folder / "20_take1", range(1, 17))
    found = look_over(film, folder).takes()["20"]
    rows = [row for row in exposures(film, film.shot("20")) if row.part != "handle"]
    assert [one.file.name for one in found.pictures] == [f"IMG_{row.pose:04}.jpg" for row in rows]


def test_a_take_without_overlap_holds_its_last_frame(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 25))
    found = look_over(film, folder).takes()["10"]
    names = [int(one.file.stem[-4:]) for one in found.pictures]
    assert names == [*range(1, 25), 24, 24, 24, 24]


@pytest.mark.parametrize("count", [1, 17, 35])
def test_a_take_that_is_too_short_is_being_shot(count: int, film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, count + 1))
    found = shot(film, folder)
    assert (found.status, found.frames) == ("shooting", count)
    # Half a pose is a pose to be set: 18 less the whole pairs.
    assert found.poses_left == 18 - count // 2
    assert look_over(film, folder).takes() == {}


def test_a_hole_keeps_a_take_from_being_whole(film: Timeline, folder: Path) -> None:
    numbers = [n for n in range(1, 37) if n not in (10, 11, 12, 30)]
    take(folder / "10_take1", numbers)
    found = look_over(film, folder)
    one = found.shots[0]
    assert (one.status, one.frames) == ("shooting", 32)
    # 10 is half of the fifth pose, 11 and 12 are the sixth, 30 is half of the fifteenth.
    assert one.poses_left == 3
    assert findings(found) == [
        ("missing", "10_take1", "missing: 0010-0012, 0030", False),
    ]
    assert found.takes() == {}
    shown = [int(p.file.stem[-4:]) for p in found.takes(unfinished=True)["10"].pictures]
    # The cut is after four frames of handle; a hole shows the picture before.
    assert shown == [5, 6, 7, 8, 9, 9, 9, 9, *range(13, 30), 29, 31, 32]


def test_an_unfinished_take_is_shown_as_far_as_it_goes(film: Timeline, folder: Path) -> None:
    take(folder / "20_take1", range(1, 13))
    shown = look_over(film, folder).takes(unfinished=True)["20"]
    # Four frames of handle, three of overlap, and five from the cut on.
    assert (shown.first, shown.end) == (-3, 5)


@pytest.mark.parametrize(
    "harm", ["empty", "cut short", "no picture", "zeros within", "a part twice"]
)
def test_a_damaged_picture_is_named_and_its_take_left_out(
    harm: str, film: Timeline, folder: Path
) -> None:
    take(folder / "10_take1", range(1, 37), size=(640, 360))
    path = folder / "10_take1" / "IMG_0007.jpg"
    data = path.read_bytes()
    harmed = {
        "empty": b"",
        "cut short": data[: len(data) - 200],
        "no picture": b"text" * 99,
        "zeros within": data[:-700] + bytes(600) + data[-100:],
        "a part twice": data[:-100] + data[-700:],
    }
    path.write_bytes(harmed[harm])
    found = look_over(film, folder)
    [(kind, name, words, left_out)] = findings(found)
    assert (kind, name, left_out) == ("damaged", "10_take1", True)
    assert words.startswith("IMG_0007.jpg: ")
    said = {"no picture": "can be read", "empty": "empty", "cut short": "cut short"}
    assert said.get(harm, "the picture is damaged") in words
    assert (found.shots[0].status, found.shots[0].poses_left) == ("shooting", 1)
    assert found.takes() == {}
    shown = [int(p.file.stem[-4:]) for p in found.takes(unfinished=True)["10"].pictures]
    assert shown == [5, 6, 6, *range(8, 33)]


def test_many_damaged_pictures_are_counted(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 37))
    for n in range(1, 37):
        (folder / "10_take1" / f"IMG_{n:04}.jpg").write_bytes(b"")
    found = look_over(film, folder)
    named = [f"IMG_{n:04}.jpg: the file is empty" for n in range(1, 6)]
    words = [one.words for one in found.findings]
    assert words == [*named, "31 more of its pictures are damaged"]
    assert found.shots[0].status == "to do"
    assert found.takes(unfinished=True) == {}


def test_a_picture_of_another_size_is_named(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 37))
    bars(3, (150, 90)).save(folder / "10_take1" / "IMG_0004.jpg")
    found = look_over(film, folder)
    words = "IMG_0004.jpg: 150x90, and the others 160x90"
    assert findings(found) == [("size", "10_take1", words, True)]
    assert found.takes() == {}
    assert len(found.takes(unfinished=True)["10"].pictures) == 28


def test_another_shape_than_the_films_is_said_and_does_no_harm(
    film: Timeline, folder: Path
) -> None:
    take(folder / "10_take1", range(1, 37), size=(160, 120))
    take(folder / "20_take1", range(1, 37), size=(161, 90))
    found = look_over(film, folder)
    words = "160x120 is not of the shape of the film's 160x90"
    assert findings(found) == [("shape", "10_take1", words, False)]
    assert set(found.takes()) == {"10", "20"}


def test_two_numberings_are_named_and_left_out(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 37))
    take(folder / "10_take1", range(1, 37), pattern="frame_{:04}.jpg")
    found = look_over(film, folder)
    [(kind, _, words, left_out)] = findings(found)
    assert (kind, left_out) == ("numbering", True)
    assert words.startswith("there are 2 numberings in it, IMG_0001.jpg to IMG_0036.jpg and frame")
    assert found.shots[0].status == "to do"


def test_the_same_picture_beyond_a_pose_is_named(film: Timeline, folder: Path) -> None:
    shown = [n // 2 for n in range(36)]
    take(folder / "10_take1", range(1, 37), pictures=shown)
    assert findings(look_over(film, folder)) == []
    shown[12:15] = [6, 6, 6]
    take(folder / "10_take1", range(1, 37), pictures=shown)
    found = look_over(film, folder)
    words = "the same picture again: 0013-0015, though it is shot on twos"
    assert findings(found) == [("doubled", "10_take1", words, False)]
    assert found.shots[0].status == "shot"


def test_doubles_are_seen_by_their_pixels(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 19))
    # The same pixels in a file of other bytes.
    bars(5).save(folder / "10_take1" / "IMG_0007.jpg", comment=b"again")
    words = "the same picture again: 0006-0007"
    assert findings(look_over(film, folder)) == [("doubled", "10_take1", words, False)]


def test_the_highest_take_that_is_whole_wins(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 37))
    take(folder / "10_take02", range(1, 37))
    take(folder / "10_take10", range(1, 30))
    (take(folder / "10_take11", range(1, 37)) / "IMG_0001.jpg").write_bytes(b"")
    found = look_over(film, folder)
    assert [number for number, _ in found.shots[0].takes] == [1, 2, 10, 11]
    assert found.shots[0].status == "shot"
    assert found.takes()["10"].name == "10_take02"


def test_without_a_whole_take_the_highest_one_counts(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 31))
    take(folder / "10_take2", range(1, 11))
    found = shot(film, folder)
    assert found.best is not None
    assert (found.best[0], found.frames, found.poses_left) == (2, 10, 13)


def test_a_take_that_is_there_twice_is_left_out_twice(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 37))
    video(folder / "10_take01.mov", range(36))
    found = look_over(film, folder)
    assert [(name, words) for _, name, words, _ in findings(found)] == [
        ("10_take01.mov", "10_take1 is take 1 too; keep one, or number it anew"),
        ("10_take1", "10_take01.mov is take 1 too; keep one, or number it anew"),
    ]
    assert found.takes() == {}


def test_what_is_of_no_shot_is_named_and_other_files_are_not(film: Timeline, folder: Path) -> None:
    take(folder / "99_take1", range(1, 3))
    (folder / "notes.txt").write_text("hello")
    (folder / ".hidden").mkdir()
    assert findings(look_over(film, folder)) == [
        (
            "name",
            "99_take1",
            "it is of no shot of the board; a take of shot 10 is called 10_take1",
            True,
        )
    ]


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_names_of_any_script_in_any_form(form: str, board: BoardFolder, folder: Path) -> None:
    rows = "- {shot: 'Žába 夜', photo: a.jpg, duration: 4f}"
    film = board.lay_out(panels(rows, "board: 1\npicture: {size: 160x90}\nshoot_on: 1\n"))
    name = unicodedata.normalize(form, "Žába 夜_take1")
    pattern = unicodedata.normalize(form, "Кадр é {:03}.png")
    take(folder / name, range(1, 5), pattern=pattern)
    found = look_over(film, folder)
    assert found.findings == ()
    assert set(found.takes()) == {"Žába 夜"}


@pytest.mark.parametrize(
    ("name", "codec"),
    [("10_take1.mov", "prores_ks"), ("10_take1.mp4", "libx264"), ("10_take1.MKV", "ffv1")],
)
def test_a_video_is_counted_by_its_pictures(
    name: str, codec: str, film: Timeline, folder: Path
) -> None:
    video(folder / name, range(36), codec=codec, size=(160, 90))
    found = look_over(film, folder)
    assert found.findings == ()
    assert found.shots[0].status == "shot"
    shown = found.takes()["10"].pictures
    assert [(one.file.name, one.number) for one in shown] == [(name, n) for n in range(4, 32)]


def test_a_video_that_is_too_short_is_being_shot(film: Timeline, folder: Path) -> None:
    video(folder / "10_take1.mov", range(20), size=(160, 90))
    one = shot(film, folder)
    assert (one.status, one.frames, one.poses_left) == ("shooting", 20, 8)


def test_a_video_of_another_rate_says_so(film: Timeline, folder: Path) -> None:
    video(folder / "10_take1.mov", range(36), rate=Fraction(25), size=(160, 90))
    found = look_over(film, folder)
    words = "25 frames a second, and the film 24; shown frame for frame"
    assert findings(found) == [("rate", "10_take1.mov", words, False)]
    assert found.shots[0].status == "shot"


@pytest.mark.parametrize("harm", ["empty", "cut short", "no video"])
def test_a_damaged_video_is_named_and_left_out(harm: str, film: Timeline, folder: Path) -> None:
    path = video(folder / "10_take1.mkv", range(36), codec="ffv1", size=(160, 90))
    data = path.read_bytes()
    path.write_bytes({"empty": b"", "cut short": data[: len(data) // 2]}.get(harm, b"text" * 99))
    found = look_over(film, folder)
    [(kind, name, words, left_out)] = findings(found)
    assert (kind, name, left_out) == ("damaged", "10_take1.mkv", True)
    expected = {
        "empty": "the file is empty",
        "cut short": "the video breaks off after ",
        "no video": "the video cannot be read (",
    }
    assert words.startswith(expected[harm])
    assert found.takes() == {}


def test_pictures_of_a_pose_come_in_runs_or_each_is_a_pose(film: Timeline, folder: Path) -> None:
    # Two pictures a pose, a second apart, and a minute from pose to pose: every frame is there.
    take(folder / "10_take1", range(1, 13), times=[n // 2 * 60 + n % 2 for n in range(12)])
    assert (shot(film, folder).frames, shot(film, folder).poses_left) == (12, 12)
    # A minute from picture to picture: each is a pose.
    take(folder / "10_take1", range(1, 13), times=[n * 60 for n in range(12)])
    (folder / "10_take1" / "IMG_0012.jpg").unlink()
    assert (shot(film, folder).frames, shot(film, folder).poses_left) == (22, 7)
    # Nothing tells: it is taken for a picture a frame.
    take(folder / "10_take1", range(1, 12))
    assert (shot(film, folder).frames, shot(film, folder).poses_left) == (11, 13)


def test_nothing_in_the_takes_folder_changes(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 37))
    video(folder / "20_take1.mov", range(36))
    (folder / "10_take1" / "IMG_0003.jpg").write_bytes(b"")
    before = state_of_folder(folder)
    look_over(film, folder)
    look_over(film, folder).takes(unfinished=True)
    assert state_of_folder(folder) == before


def test_pictures_are_looked_at_once(
    film: Timeline, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take(folder / "10_take1", range(1, 37))
    video(folder / "20_take1.mov", range(36))
    first = look_over(film, folder)
    opened: list[object] = []
    monkeypatch.setattr("animatic.shoot.takefacts._measured", opened.append)
    monkeypatch.setattr("animatic.videofile.measure_video", opened.append)
    again = look_over(film, folder)
    assert opened == []
    assert [one.status for one in again.shots] == [one.status for one in first.shots]
    assert again.takes() == first.takes()


def test_1200_shots(board: BoardFolder, folder: Path) -> None:
    rows = "\n".join(f"- {{shot: {n}, photo: a.jpg, duration: 2f}}" for n in range(1200))
    film = board.lay_out(panels(rows, "board: 1\npicture: {size: 160x90}\nshoot_on: 1\n"))
    for n in range(0, 1200, 2):
        take(folder / f"{n}_take1", (1, 2) if n % 4 else (1,), size=(16, 9))
    found = look_over(film, folder)
    assert [one.status for one in found.shots] == ["shooting", "to do", "shot", "to do"] * 300
    assert len(found.takes()) == 300


def test_progress_is_told(film: Timeline, folder: Path) -> None:
    take(folder / "10_take1", range(1, 37))
    told: list[tuple[int, int]] = []
    look_over(film, folder, lambda done, total: told.append((done, total)))
    assert told == [(16, 36), (32, 36), (36, 36)]
