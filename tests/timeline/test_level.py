"""Photos of a setup evened: known gains on sample photographs are found again.

The photographs are scikit-image's own; the gains are applied with colour-science's curve of
sRGB (IEC 61966-2-1), the brightness of a result is judged on places that no puppet touched.
"""

from __future__ import annotations

import json
import warnings
from pathlib import Path

import numpy as np
import pytest
import skimage.data
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from animatic.cli import run
from animatic.picture import PictureMaker
from animatic.sheets.thumbs import thumbnail
from animatic.srgb import as_code, as_light, raised
from animatic.timeline import Timeline
from animatic.timeline.level import levels
from tests.boards import BoardFolder
from tests.photographs import exif_of, exposed, photograph, save
from tests.strategies import untimed

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # It says which of its parts are not installed.
    import colour

PHOTOGRAPHS = ("astronaut", "chelsea", "coffee", "rocket")
PUPPETS = ((20, 20, 25), (230, 220, 210), (180, 40, 30), (40, 90, 160))
TOLERANCE = 5
"""Hundredths of a stop: 3.5 % of the light, one code in the middle of the scale."""


def with_puppet(picture: np.ndarray, part: float, ink: tuple[int, int, int], at: float):
    """The picture with a figure of one colour over a part of it, from head to foot."""
    height, width = picture.shape[:2]
    wide = round(width * part / 0.9)
    left = round((width - wide) * at)
    made = picture.copy()
    made[height // 10 :, left : left + wide] = ink
    return made


def text(photos: list[str], level: str = "level: even", setup: str = "quay") -> str:
    rows = "".join(
        f"  - {{shot: {n}, photo: {name}, setup: {setup}, duration: 12f}}\n"
        for n, name in enumerate(photos)
    )
    return (
        f"board: 1\npicture: {{size: 160x90, {level}}}\n"
        f"lettering: {{shot: false}}\nsetups: {{quay: {{}}, shed: {{}}}}\npanels:\n{rows}"
    )


def gains_of(timeline: Timeline) -> list[tuple[int, int, int]]:
    return [panel.gains for panel in timeline.panels]


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "film"
    folder.mkdir()
    return BoardFolder(folder)


@pytest.mark.parametrize("name", PHOTOGRAPHS)
@pytest.mark.parametrize("largest", [0.0, 0.2, 0.4])
def test_known_gains_are_found_again_whatever_puppets_come_in(
    board: BoardFolder, name: str, largest: float
) -> None:
    picture = getattr(skimage.data, name)()
    # Hundredths of a stop: exposure, and each colour against it. The first one is the middle.
    exposures = (0, 60, -60, 35, -20, 90, -90)
    tints = ((0, 0, 0), (12, 0, -12), (-15, 0, 20), (0, 0, 0), (5, -5, 0), (-8, 0, 8), (8, 0, -8))
    names = []
    for number, (exposure, tint) in enumerate(zip(exposures, tints, strict=True)):
        seen = picture
        if number:
            ink, part = PUPPETS[number % 4], largest * number / 6
            seen = with_puppet(picture, part, ink, number / 6)
        names.append(f"{number}.jpg")
        stops = (np.array(tint) + exposure) / 100
        # A hand-held camera moves a little between two photos.
        moved = np.roll(seen, (number % 3 - 1, number % 5 - 2), (0, 1))
        save(exposed(moved, stops), board.path(names[-1]))
    found = np.array(gains_of(board.lay_out(text(names))))
    wanted = -(np.array(tints) + np.array(exposures)[:, None])
    wanted -= np.median(wanted, axis=0).astype(int)
    assert abs(found - wanted).max() <= TOLERANCE


def test_what_is_seen_in_film_and_thumbnail_is_even(board: BoardFolder) -> None:
    picture = skimage.data.coffee()
    for number, stops in enumerate((0.0, -0.8, 0.3)):
        save(exposed(picture, stops), board.path(f"{number}.jpg"))
    names = ["0.jpg", "1.jpg", "2.jpg"]

    def differences(level: str) -> tuple[float, float]:
        film = board.lay_out(text(names, level))
        maker = PictureMaker(film)
        shown = [maker.panel(panel).astype(int) for panel in film.panels]
        small = [np.asarray(thumbnail(p, film.size, 160)).astype(int) for p in film.panels]
        return tuple(
            max(float(np.median(abs(one - several[0]))) for one in several)
            for several in (shown, small)
        )

    assert min(differences("level: none")) > 10
    assert max(differences("level: even")) <= 1


def test_a_moving_panel_is_evened_as_a_still_one(board: BoardFolder) -> None:
    picture = skimage.data.coffee()
    for number, stops in enumerate((0.0, -0.8, 0.0)):
        save(exposed(picture, stops), board.path(f"{number}.jpg"))
    lines = text(["0.jpg", "1.jpg", "2.jpg"]).replace(
        "photo: 1.jpg,", "photo: 1.jpg, move: {to: {width: 0.999}, ease: none},"
    )
    film = board.lay_out(lines)
    assert film.panels[1].move is not None
    maker = PictureMaker(film)
    difference = abs(maker.frame(18).astype(int) - maker.frame(0))
    assert np.median(difference) <= 1


def test_even_photos_stay_to_the_bit(board: BoardFolder) -> None:
    picture = skimage.data.coffee()
    # A hundredth of a stop is nothing that anybody sees.
    for number, stops in enumerate((0.0, 0.01, -0.005, 0.005)):
        seen = with_puppet(picture, 0.1 * number, PUPPETS[number], 0.3)
        save(exposed(seen, stops), board.path(f"{number}.jpg"))
    film = board.lay_out(text([f"{number}.jpg" for number in range(4)]))
    assert gains_of(film) == [(0, 0, 0)] * 4


def test_only_setups_that_say_so_are_evened_each_by_itself(board: BoardFolder) -> None:
    picture = skimage.data.coffee()
    for number, stops in enumerate((0.0, -0.5, 0.5)):
        save(exposed(picture, stops), board.path(f"{number}.jpg"))
    names = [f"{number}.jpg" for number in range(3)]
    none = (0, 0, 0)
    assert gains_of(board.lay_out(text(names, "fit: cover"))) == [none] * 3
    assert gains_of(board.lay_out(text(names, "level: none"))) == [none] * 3
    off = text(names).replace("quay: {}", "quay: {level: none}")
    assert gains_of(board.lay_out(off)) == [none] * 3
    on = text(names, "level: none").replace("quay: {}", "quay: {level: even}")
    assert gains_of(board.lay_out(on)) == gains_of(board.lay_out(text(names))) != [none] * 3
    # The brightest alone on another setup has nothing to be evened with.
    apart = text(names).replace("2.jpg, setup: quay", "2.jpg, setup: shed")
    first, second, third = gains_of(board.lay_out(apart))
    assert (first, third) == (none, none)
    assert second == pytest.approx((50, 50, 50), abs=TOLERANCE)
    # A photo without a setup stays as it is.
    assert gains_of(board.lay_out(text(names).replace(" setup: quay,", ""))) == [none] * 3


@untimed
@given(st.permutations(range(5)), st.lists(st.integers(0, 4), max_size=3))
def test_the_order_of_panels_and_repetition_change_nothing(
    order: list[int], again: list[int]
) -> None:
    board, base = _SETS[-1]
    names = [f"{number}.jpg" for number in [*order, *again]]
    found = dict(zip(names, gains_of(board.lay_out(text(names))), strict=True))
    assert found == base


def test_a_photo_named_in_two_ways_counts_once(board: BoardFolder) -> None:
    """The second of three lights is the measure, and would not be if the first counted twice."""
    for number, stops in enumerate((0.0, -0.3, -0.6)):
        save(exposed(photograph("coffee"), stops), board.path(f"{number}.jpg"))
    names = ["0.jpg", "./0.jpg", "1.jpg", "2.jpg"]
    gains = gains_of(board.lay_out(text(names)))
    assert gains[0] == gains[1] == pytest.approx((-30, -30, -30), abs=TOLERANCE)
    assert gains[2] == (0, 0, 0)


_SETS: list[tuple[BoardFolder, dict[str, tuple[int, int, int]]]] = []


@pytest.fixture(scope="module", autouse=True)
def set_of_photos(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Three photos of one view, two of them with little in common, and two of others."""
    board = BoardFolder(tmp_path_factory.mktemp("board"))
    cup = skimage.data.coffee()
    pictures = [cup, with_puppet(cup, 0.44, PUPPETS[0], 0.0), with_puppet(cup, 0.44, PUPPETS[1], 1)]
    pictures += [skimage.data.chelsea(), skimage.data.rocket()]
    for number, (picture, stops) in enumerate(zip(pictures, (0, 0.4, -0.7, 0, -0.3), strict=True)):
        save(exposed(picture, stops), board.path(f"{number}.jpg"))
    names = [f"{number}.jpg" for number in range(5)]
    base = dict(zip(names, gains_of(board.lay_out(text(names))), strict=True))
    assert len(set(base.values())) > 2
    _SETS.append((board, base))


def test_views_are_evened_by_what_the_camera_wrote_down(board: BoardFolder) -> None:
    """A dark coat fills one view: the camera's automatics opened up by a stop and a half."""
    save(skimage.data.coffee(), board.path("0.jpg"), exif_of(1 / 50))
    save(skimage.data.chelsea(), board.path("1.jpg"), exif_of(1 / 50))
    save(skimage.data.rocket(), board.path("2.jpg"), exif_of(1 / 25, 8.0, 141))
    found = gains_of(board.lay_out(text(["0.jpg", "1.jpg", "2.jpg"])))
    assert found[:2] == [(0, 0, 0)] * 2
    assert found[2] == pytest.approx((-150, -150, -150), abs=1)


def test_views_without_a_word_of_the_camera_are_evened_in_part(board: BoardFolder) -> None:
    """A view that is darker than all others may be so: what is over 1.5 stops, and no colour."""
    views = [photograph(n) for n in ("chelsea", "immunohistochemistry", "left", "astronaut")]
    views.insert(0, photograph("coffee")[:200, 300:])
    for number, view in enumerate(views):
        save(exposed(view, -2.0 if number == 4 else 0.0), board.path(f"{number}.jpg"))
    film = board.lay_out(text([f"{number}.jpg" for number in range(5)]))
    found = gains_of(film)
    assert found[4] == pytest.approx((50, 50, 50), abs=TOLERANCE)
    assert len(set(found[4])) == 1
    assert found[:4] == [(0, 0, 0)] * 4
    # One that is nearly black: no more than 0.75 stop on such a guess.
    save(exposed(views[4], -4.0), board.path("4.jpg"))
    film = board.lay_out(text([f"{number}.jpg" for number in range(5)]))
    assert gains_of(film)[4] == (75, 75, 75)


def test_views_of_one_exposure_stay_as_they_are(board: BoardFolder) -> None:
    """What photographs show differs by a stop: that is not taken for a fault."""
    names = []
    for name in ("astronaut", "chelsea", "coffee"):
        save(getattr(skimage.data, name)(), board.path(f"{name}.jpg"))
        names.append(f"{name}.jpg")
    assert gains_of(board.lay_out(text(names))) == [(0, 0, 0)] * 3


def test_a_photo_is_raised_no_more_than_is_good_and_check_says_so(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = skimage.data.coffee()
    stops = [0.0, 0.0, -2.0, np.array([0.8, 0.0, -0.8]), 0.25]
    for number, raise_by in enumerate(stops):
        save(exposed(picture, raise_by), board.path(f"{number}.jpg"))
    names = [f"{number}.jpg" for number in range(5)]
    loaded = board.read(text(names))
    found = {one.photo: one for one in levels(loaded)}
    dark, tinted = found["2.jpg"], found["3.jpg"]
    assert dark.exposure == 150
    assert dark.wanted == pytest.approx(200, abs=TOLERANCE)
    assert max(abs(c) for c in dark.colours) <= TOLERANCE
    assert max(abs(c) for c in tinted.colours) == 50
    assert [one.is_limited for one in found.values()] == [False, False, True, False, False]
    capsys.readouterr()
    assert run(["check", str(board.folder), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [one["photo"] for one in told["levels"]] == names
    assert told["levels"][2]["stops"] == 1.5
    limited = [one for one in told["findings"] if one["kind"] == "level"]
    assert [one["shot"] for one in limited] == ["2"]
    assert limited[0]["found"] == (
        "evening it would bring the photo up by 2.0 stops; it is brought up by 1.5"
    )
    assert run(["check", str(board.folder)]) == 0
    said = capsys.readouterr().out
    assert "\n2.jpg: brought up by 1.50 stop" in said
    assert "\n4.jpg: brought down by 0.25 stop, to even setup quay\n" in said
    assert "0.jpg: brought" not in said


def test_who_waits_is_told_how_many_setups_are_done(board: BoardFolder) -> None:
    save(skimage.data.coffee(), board.path("0.jpg"))
    save(skimage.data.chelsea(), board.path("1.jpg"))
    loaded = board.read(
        text(["0.jpg", "1.jpg"]).replace("1.jpg, setup: quay", "1.jpg, setup: shed")
    )
    told: list[tuple[int, int]] = []
    levels(loaded, lambda *step: told.append(step))
    assert told == [(0, 2), (1, 2)]


def test_a_photo_that_changed_is_measured_again(board: BoardFolder) -> None:
    picture = skimage.data.coffee()
    for number in range(3):
        save(picture, board.path(f"{number}.jpg"))
    names = [f"{number}.jpg" for number in range(3)]
    assert gains_of(board.lay_out(text(names))) == [(0, 0, 0)] * 3
    save(exposed(picture, -0.5), board.path("1.jpg"))
    found = gains_of(board.lay_out(text(names)))
    assert found[1] == pytest.approx((50, 50, 50), abs=TOLERANCE)


@pytest.mark.parametrize("kind", ["jpg", "png", "tif", "webp"])
@pytest.mark.parametrize("turn", [1, 6, 3])
def test_a_view_is_one_however_it_is_stored(board: BoardFolder, kind: str, turn: int) -> None:
    picture = skimage.data.coffee()
    save(picture, board.path("0.jpg"))
    exif = Image.Exif()
    exif[0x0112] = turn
    turned = np.rot90(exposed(picture, 0.5), {1: 0, 6: 1, 3: 2}[turn])
    Image.fromarray(turned).save(board.path(f"1.{kind}"), exif=exif)
    save(picture, board.path("2.jpg"))
    found = gains_of(board.lay_out(text(["0.jpg", f"1.{kind}", "2.jpg"])))
    assert found[1] == pytest.approx((-50, -50, -50), abs=TOLERANCE)
    assert found[0] == found[2] == (0, 0, 0)


@pytest.mark.parametrize("mode", ["L", "1", "P", "RGBA", "CMYK", "I;16"])
def test_photos_of_every_colour_and_of_few_pixels_are_no_hindrance(
    board: BoardFolder, mode: str
) -> None:
    suffix = "tif" if mode == "CMYK" else "png"
    Image.new(mode, (5, 4)).save(board.path(f"0.{suffix}"))
    save(skimage.data.coffee(), board.path("1.jpg"))
    film = board.lay_out(text([f"0.{suffix}", "1.jpg"]))
    assert all(abs(gain) <= 150 for gains in gains_of(film) for gain in gains)


def test_flat_walls_of_two_colours_are_not_taken_for_one_view(board: BoardFolder) -> None:
    board.photo("0.jpg", (200, 60, 60))
    board.photo("1.jpg", (60, 60, 200))
    board.photo("2.jpg", (200, 60, 60))
    for gains in gains_of(board.lay_out(text(["0.jpg", "1.jpg", "2.jpg"]))):
        assert len(set(gains)) == 1


def test_the_curve_is_that_of_srgb() -> None:
    """colour-science's, to the nearest code."""
    codes = np.arange(256)
    lights = [as_light(code) for code in codes]
    assert lights == pytest.approx(colour.cctf_decoding(codes / 255, function="sRGB"), abs=1e-9)
    assert [as_code(light) for light in lights] == codes.tolist()
    assert list(raised((0, 0, 0))) == codes.tolist() * 3
    for stops in (-150, -37, 20, 150):
        ramp = np.stack([codes] * 3, axis=-1).astype(np.uint8)
        wanted = exposed(ramp, stops / 100).astype(int)
        table = np.array(raised((stops, stops, stops))).reshape(3, 256).T
        assert abs(table - wanted).max() == 0
