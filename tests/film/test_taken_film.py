"""Takes in the film: which stored picture each film frame shows, read back from the file."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from boards import BoardFolder, panels
from film_stand_ins import silence
from takes_made import bars, levels, number_in, take, video

from animatic.film import Cache, write_film
from animatic.film.segments import segments_of
from animatic.picture import PictureMaker
from animatic.sheets.exposure import exposures
from animatic.shoot.takes import look_over
from animatic.timeline import Timeline, layers_at, spans
from animatic.timeline.excerpt import excerpt
from animatic.timeline.model import Lettering
from animatic.timeline.taken import with_takes

SIZE = (160, 96)
HEAD = """board: 1
picture: {size: 160x96}
handles: 3f
lettering: {shot: false, size: false, dialogue: false}
"""
ROWS = """
- {shot: 10, photo: p.png, duration: 20f}
- {shot: 20, photo: p.png, duration: 13f, transition: {dissolve: 7f}}
- {photo: p.png, duration: 12f, shoot_on: 3}
- {shot: 30, photo: p.png, duration: 260f, transition: {dissolve: 4f, to_black: 6f}}
- {shot: 40, photo: p.png, duration: 10f}
"""
PHOTO = 255
"""The number that the photo shows."""


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path / "film")
    folder.folder.mkdir()
    bars(PHOTO, SIZE).save(folder.folder / "p.png")
    return folder


@pytest.fixture
def film(board: BoardFolder) -> Timeline:
    return board.lay_out(panels(ROWS, HEAD))


def shown(path: Path) -> list[np.ndarray]:
    """Return the luma of every frame of a film, by PyAV's decoder."""
    with av.open(str(path)) as container:
        return [frame.to_ndarray(format="gray") for frame in container.decode(video=0)]


def written(timeline: Timeline, tmp_path: Path) -> list[np.ndarray]:
    write_film(timeline, tmp_path / "film.mp4", sound=silence, store=Cache(tmp_path / "cache"))
    return shown(tmp_path / "film.mp4")


def taken(film: Timeline, folder: Path, *, unfinished: bool = False) -> Timeline:
    return with_takes(film, look_over(film, folder).takes(unfinished=unfinished))


def by_sheet(film: Timeline, name: str) -> dict[int, int]:
    """Return which frame to shoot each film frame shows, as the exposure sheet numbers them."""
    rows = exposures(film, film.shot(name))
    return {row.film: row.frame for row in rows if row.film is not None}


def check_frames(film: Timeline, numbers: dict[str, dict[int, int]], luma: list[np.ndarray]) -> int:
    """Assert what each frame shows: `numbers` by shot and film frame, else the photo.

    Frames of a mix are held against the weighted sum. Return how many frames were pure.
    """
    assert len(luma) == film.frames
    pure = 0
    for frame, picture in enumerate(luma):
        layers = layers_at(film, frame)
        parts = [numbers.get(one.panel.shot, {}).get(frame, PHOTO) for one in layers]
        if len(parts) == 1 and layers[0].weight == 1:
            assert number_in(picture) == parts[0], f"frame {frame}"
            pure += 1
            continue
        for bit, level in enumerate(levels(picture)):
            grey = sum(
                float(one.weight) * (200 if part >> bit & 1 else 50)
                for one, part in zip(layers, parts, strict=True)
            )
            assert abs(level - grey) < 6, f"frame {frame}, bar {bit}"
    return pure


def test_each_frame_shows_the_frame_of_the_exposure_sheet(film: Timeline, tmp_path: Path) -> None:
    folder = tmp_path / "takes"
    for name in ("10", "20"):
        count = film.shot(name).frames_to_shoot
        take(folder / f"{name}_take1", range(1, count + 1), pictures=range(1, count + 1))
    film = taken(film, folder)
    numbers = {name: by_sheet(film, name) for name in ("10", "20")}
    pure = check_frames(film, numbers, written(film, tmp_path))
    assert pure == film.frames - 7 - 4 - 6


def test_one_picture_a_pose_stands_for_its_frames(film: Timeline, tmp_path: Path) -> None:
    shot = film.shot("20")
    take(tmp_path / "takes/20_take1", range(1, shot.poses + 1), pictures=range(1, shot.poses + 1))
    film = taken(film, tmp_path / "takes")
    poses = {row.film: row.pose for row in exposures(film, shot) if row.film is not None}
    check_frames(film, {"20": poses}, written(film, tmp_path))


def test_a_take_from_cut_to_cut_holds_its_ends_in_a_dissolve(
    film: Timeline, tmp_path: Path
) -> None:
    take(tmp_path / "takes/20_take1", range(1, 26), pictures=range(1, 26))
    film = taken(film, tmp_path / "takes")
    shot = film.shot("20")
    numbers = {n: min(max(1, n - shot.start + 1), 25) for n in range(shot.start - 9, shot.end + 9)}
    check_frames(film, {"20": numbers}, written(film, tmp_path))


@pytest.mark.parametrize(("suffix", "codec"), [("mov", "prores_ks"), ("mp4", "libx264")])
def test_a_video_is_shown_frame_by_frame(
    suffix: str, codec: str, film: Timeline, tmp_path: Path
) -> None:
    # 271 frames, so that it is coded in pieces and the pieces by several threads at once.
    count = film.shot("30").frames_to_shoot
    pictures = [n % 255 for n in range(count)]
    video(tmp_path / f"takes/30_take1.{suffix}", pictures, codec=codec, rate=Fraction(25))
    film = taken(film, tmp_path / "takes")
    numbers = {frame: (number - 1) % 255 for frame, number in by_sheet(film, "30").items()}
    check_frames(film, {"30": numbers}, written(film, tmp_path))


def test_an_unfinished_take_goes_over_into_the_photo(film: Timeline, tmp_path: Path) -> None:
    numbers = [1, 2, 3, 4, 5, 8, 9, 10, 11, 12, 13, 14, 15]
    take(tmp_path / "takes/20_take1", numbers, pictures=numbers)
    film = taken(film, tmp_path / "takes", unfinished=True)
    shot = film.shot("20")
    # The cut's first frame is the seventh to shoot: three of handle and three of overlap.
    assert by_sheet(film, "20")[shot.start] == 7
    there = {f: n for f, n in by_sheet(film, "20").items() if n <= 15}
    there = {frame: 5 if number in (6, 7) else number for frame, number in there.items()}
    luma = written(film, tmp_path)
    check_frames(film, {"20": there}, luma)
    assert number_in(luma[shot.start + 10]) == PHOTO
    # What is photo again from there on is coded once.
    assert [span.is_still for span in spans(film) if span.start == shot.start + 9] == [True]


def test_a_part_of_the_film_and_another_size_show_the_same(film: Timeline, tmp_path: Path) -> None:
    count = film.shot("20").frames_to_shoot
    take(tmp_path / "takes/20_take1", range(1, count + 1), pictures=range(1, count + 1))
    part = excerpt(taken(film, tmp_path / "takes"), "20", "20")
    check_frames(part, {"20": by_sheet(part, "20")}, written(part, tmp_path))


def test_a_take_is_shown_without_crop_move_and_mirror(board: BoardFolder, tmp_path: Path) -> None:
    rows = """
    - shot: 10
      photo: p.png
      duration: 6f
      mirror: true
      crop: {left: 0.5, top: 0, width: 0.5, height: 0.5}
      move: {to: {left: 0, top: 0, width: 0.4, height: 0.4}}
    """
    film = board.lay_out(panels(rows, HEAD.replace("3f", "0f")))
    take(tmp_path / "takes/10_take1", range(1, 7), pictures=range(1, 7), size=(320, 192))
    film = taken(film, tmp_path / "takes")
    assert not any(span.is_still for span in spans(film))
    check_frames(film, {"10": by_sheet(film, "10")}, written(film, tmp_path))


def test_lettering_stands_over_every_frame_of_a_take(board: BoardFolder, tmp_path: Path) -> None:
    rows = "- {shot: 10, photo: p.png, duration: 6f, size: WS}"
    film = board.lay_out(panels(rows, "board: 1\npicture: {size: 160x96}\n"))
    take(tmp_path / "takes/10_take1", range(1, 7), pictures=[255] * 5 + [0])
    film = taken(film, tmp_path / "takes")
    bare = PictureMaker(replace(film, lettering=Lettering(shot=False, size=False, dialogue=False)))
    maker = PictureMaker(film)
    for number, shows in enumerate([255] * 5 + [0]):
        lettered, plain = maker.frame(number), bare.frame(number)
        assert number_in(plain[..., 0]) == shows
        # The label is at the top; below it nothing is changed.
        assert (lettered[:24] != plain[:24]).any()
        assert np.array_equal(lettered[48:], plain[48:])


def test_a_take_fills_the_picture_as_the_panel_fits_it(board: BoardFolder, tmp_path: Path) -> None:
    rows = "- {shot: 10, photo: p.png, duration: 2f, fit: contain}"
    film = board.lay_out(panels(rows, HEAD.replace("3f", "0f")))
    take(tmp_path / "takes/10_take1", (1, 2), pictures=(255, 255), size=(80, 96))
    picture = PictureMaker(taken(film, tmp_path / "takes")).frame(0)
    assert picture[:, :39].max() == 0
    assert picture[:, 41:119].min() > 180
    assert picture[:, 121:].max() == 0


def test_photos_come_from_the_cache_and_a_new_frame_is_coded(
    film: Timeline, tmp_path: Path
) -> None:
    store, target = Cache(tmp_path / "cache"), tmp_path / "film.mp4"

    def coded(timeline: Timeline) -> int:
        return write_film(timeline, target, sound=silence, store=store).coded

    assert coded(film) == len(segments_of(film))
    folder = tmp_path / "takes" / "20_take1"
    take(folder, range(1, 37), pictures=range(1, 37))
    with_take = taken(film, folder.parent)
    # Two panels, and the dissolves at both ends, which the cut parts in two.
    assert coded(with_take) == 2 + 2 + 2
    assert coded(taken(film, folder.parent)) == 0
    whole = target.read_bytes()
    write_film(with_take, target, sound=silence, use_cache=False)
    assert target.read_bytes() == whole
    # The last frame to shoot is a handle, which no film frame shows; the twelfth is shown.
    bars(99, (160, 90)).save(folder / "IMG_0036.jpg")
    assert coded(taken(film, folder.parent)) == 0
    bars(99, (160, 90)).save(folder / "IMG_0012.jpg")
    assert coded(taken(film, folder.parent)) == 1
