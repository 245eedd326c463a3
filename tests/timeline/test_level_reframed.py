"""A setup whose camera panned and came nearer: no flicker across its cuts, and what is not told.

The photographs are scikit-image's own, framed and exposed as a camera's automatics might do it.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from animatic.board.media import Memory
from animatic.board.read import board_from_bytes
from animatic.cli import run
from animatic.picture import PictureMaker
from animatic.timeline import level
from animatic.timeline.level import Levelled, Untold, levels
from tests.boards import BoardFolder
from tests.photographs import Frame, corner, exif_of, exposed, framed, photograph, save

WHOLE: Frame = (0.0, 0.0, 1.0, 1.0)
FRAMES: tuple[Frame, ...] = (
    WHOLE,
    (0.1, 0.1, 0.6, 0.6),
    (0.3, 0.2, 0.65, 0.65),
    (0.2, 0.25, 0.5, 0.5),
)
STOPS = ((0.0, 0.0, 0.0), (-0.5, -0.7, -0.95), (0.25, 0.2, 0.1), (-1.0, -0.8, -0.7))


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "film"
    folder.mkdir()
    return BoardFolder(folder)


def text(photos: int, setup: str = "{level: even}") -> str:
    rows = "".join(
        f"  - {{shot: {n}0, photo: {n}.jpg, setup: quay, duration: 12f}}\n" for n in range(photos)
    )
    head = "board: 1\npicture: {size: 160x120}\nlettering: {shot: false}\n"
    return f"{head}setups: {{quay: {setup}}}\npanels:\n{rows}"


def shoot(board: BoardFolder, name: str = "coffee", first: int = 0) -> None:
    """Photos of one set through several framings, each at a light of its own."""
    for number, (frame, stops) in enumerate(zip(FRAMES, STOPS, strict=True), first):
        save(exposed(framed(photograph(name), frame), stops), board.path(f"{number}.jpg"))


def of_the_cup(film, number: int) -> np.ndarray:
    """The mean colour of one and the same part of the set, in the film's picture of a panel."""
    picture = PictureMaker(film).panel(film.panels[number])
    left, top, wide, high = FRAMES[number]
    x, y = (0.45 - left) / wide * 160, (0.45 - top) / high * 120
    reach = 4 / wide
    part = picture[round(y - reach) : round(y + reach), round(x - reach) : round(x + reach)]
    return part.reshape(-1, 3).mean(axis=0)


def test_one_place_of_the_set_has_one_colour_across_the_cuts(board: BoardFolder) -> None:
    shoot(board)

    def spread(setup: str) -> float:
        film = board.lay_out(text(4, setup))
        colours = np.array([of_the_cup(film, number) for number in range(4)])
        return float(np.ptp(colours, axis=0).max())

    assert spread("{level: none}") > 35
    assert spread("{level: even}") < 8


def test_a_set_seen_from_all_sides_is_as_light_in_every_cut(board: BoardFolder) -> None:
    """From four angles and from near, by a camera that chose its exposure and white anew."""
    stops = np.array([(0, 0, 0), (-0.6, -0.6, -0.6), (-0.3, -0.1, 0.1), (-1.2, -1.0, -0.9)])
    views = [corner(-30), corner(0), framed(corner(0), (0.1, 0.1, 0.5, 0.6)), corner(35)]
    for number, (view, part) in enumerate(zip(views, stops, strict=True)):
        save(exposed(view, part), board.path(f"{number}.jpg"))
    found = levels(board.read(text(4)))
    assert not any(one.untold for one in found)
    seen = stops + np.array([one.gains for one in found]) / 100
    assert np.ptp(seen, axis=0).max() <= 0.06


def test_views_that_share_nothing_are_told_of_once_for_a_setup(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    shoot(board)
    for number, name in ((4, "chelsea"), (5, "rocket")):
        save(photograph(name), board.path(f"{number}.jpg"))
    loaded = board.read(text(6))
    assert [one.untold for one in levels(loaded)] == [Untold.NOTHING] * 4 + [Untold.EXPOSURE] * 2
    capsys.readouterr()
    assert run(["check", str(board.folder), "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    told = [one for one in found["findings"] if one["kind"] == "level"]
    assert [one["shot"] for one in told] == ["40"]
    assert [one["untold"] for one in found["levels"]] == [None] * 4 + ["exposure"] * 2
    assert told[0]["found"] == (
        "the photos of shots 40, 50 share nothing with the rest of setup quay, and not all hold"
        " exposure data: nothing tells how light they should be"
    )
    assert run(["check", str(board.folder)]) == 0
    assert "exposure and white balance set by hand" in capsys.readouterr().out


def test_nothing_is_told_where_all_share_something_or_the_camera_wrote_it_down(
    board: BoardFolder,
) -> None:
    shoot(board)
    assert not any(one.untold for one in levels(board.read(text(4))))
    save(photograph("chelsea"), board.path("4.jpg"), exif_of(1 / 50))
    # Of the others one photo with the camera's word is enough, since they are evened by it.
    assert any(one.untold for one in levels(board.read(text(5))))
    save(framed(photograph("coffee"), WHOLE), board.path("0.jpg"), exif_of(1 / 100))
    found = levels(board.read(text(5)))
    assert not any(one.untold for one in found)
    assert found[4].exposure - found[0].exposure == pytest.approx(-100, abs=2)


def test_a_white_that_nothing_tells_is_told_of(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    """The exposures are known, and the camera's automatics had the white balance."""
    for number, name in enumerate(("coffee", "coffee", "chelsea")):
        save(photograph(name), board.path(f"{number}.jpg"), exif_of(1 / 50, white=0))
    assert [one.untold for one in levels(board.read(text(3)))] == [0, 0, Untold.WHITE]
    capsys.readouterr()
    assert run(["check", str(board.folder)]) == 0
    assert "nothing tells which white they should have" in " ".join(capsys.readouterr().out.split())
    for number, name in enumerate(("coffee", "chelsea"), 1):
        save(photograph(name), board.path(f"{number}.jpg"), exif_of(1 / 50, white=1))
    assert not any(one.untold for one in levels(board.read(text(3))))


def test_what_both_show_is_believed_before_the_word_of_the_camera(board: BoardFolder) -> None:
    """It wrote down one exposure for both, and a filter came before the lens."""
    for number, stops in enumerate((0.0, -1.2)):
        picture = exposed(framed(photograph("coffee"), FRAMES[number]), stops)
        save(picture, board.path(f"{number}.jpg"), exif_of(1 / 50))
    dark = levels(board.read(text(2)))[1]
    assert dark.exposure == pytest.approx(120, abs=10)


def test_light_that_the_exposure_does_not_account_for_is_told(board: BoardFolder) -> None:
    """The same exposure of all is written down, or a longer one that shows as more light."""
    picture = photograph("coffee")
    # Stops of light, and what the camera wrote down of them, in seconds.
    taken = [(0.0, 1 / 50), (0.0, 1 / 50), (0.5, 1 / 50), (1.0, 1 / 25), (0.25, 1 / 50)]
    for number, (stops, seconds) in enumerate(taken):
        save(exposed(picture, stops - 0.8), board.path(f"{number}.jpg"), exif_of(seconds))
    told = [one for one in board.findings(text(5)) if one.kind == "level"]
    assert [(one.shot, one.words) for one in told] == [
        (
            "20",
            "beside others of setup quay, the photo of shot 20 shows 0.5 stops more light than"
            " the exposures that the camera wrote down would give",
        )
    ]
    # Of two nothing says which one it is.
    for number, (stops, seconds) in enumerate([(0.0, 1 / 50), (-0.6, 1 / 50)]):
        save(exposed(picture, stops), board.path(f"{number}.jpg"), exif_of(seconds))
    (told_of_both,) = (one for one in board.findings(text(2)) if one.kind == "level")
    assert "the photos of shots 00, 10 show up to 0.6 stops more or less" in told_of_both.words
    # A third of a stop is how exactly cameras write it down.
    save(exposed(picture, -0.3), board.path("1.jpg"), exif_of(1 / 50))
    assert [one for one in board.findings(text(2)) if one.kind == "level"] == []


def test_colour_alone_is_said_without_an_exposure() -> None:
    blue = Levelled("quay", "2.jpg", (-1, -1, 13), 0, 0)
    assert str(blue) == "2.jpg: blue +0.13 stop, to even setup quay"
    both = Levelled("quay", "2.jpg", (-20, -20, -7), -20, -20)
    assert str(both) == "2.jpg: brought down by 0.20 stop, blue +0.13, to even setup quay"


def graded(top: int) -> np.ndarray:
    """A backdrop painted from night to morning, seen from a row on, with a sensor's grain."""
    down = np.linspace(0, 1, 1200)[:, None, None]
    sky = np.array((20, 40, 110)) * (1 - down) + np.array((235, 200, 170)) * down
    seen = np.repeat(sky[top : top + 540], 720, axis=1)
    grain = np.random.default_rng(top).normal(0, 2, seen.shape)
    return np.clip(seen + grain, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("tilt", [100, 200, 300])
def test_a_tilt_over_a_painted_sky_is_not_taken_for_exposure(board: BoardFolder, tilt: int) -> None:
    """The puppet is another, and stands elsewhere; nothing but the sky is left to compare."""
    for number, (top, left, ink) in enumerate(
        [(0, 100, (180, 40, 30)), (tilt, 400, (40, 120, 60))]
    ):
        picture = graded(top)
        picture[300:, left : left + 160] = ink
        save(picture, board.path(f"{number}.jpg"))
    found = levels(board.read(text(2)))
    assert [one.gains for one in found] == [(0, 0, 0)] * 2
    assert [one.untold for one in found] == [Untold.NOTHING, Untold.EXPOSURE]


def test_two_parts_of_one_sky_are_no_view(board: BoardFolder) -> None:
    """`rocket`, framed twice at one exposure; the sky gets lighter downwards in both."""
    for number, frame in enumerate([(0.17, 0.05, 0.52, 0.52), (0.15, 0.42, 0.5, 0.5)]):
        save(framed(photograph("rocket"), frame), board.path(f"{number}.jpg"))
    assert [one.gains for one in levels(board.read(text(2)))] == [(0, 0, 0)] * 2


def test_the_demo_which_is_even_stays_so() -> None:
    """Its photos were developed at one white, and within a setup at one exposure but for two.

    In the shed the glow of the bulb lies over what is seen from near.
    """
    # 1.25 / 0.85 and 1.4 / 1.15 in the table of the photos, which share nothing with the others.
    darker = {"photos/bell_portrait.jpg": 56, "photos/boat_away.jpg": 28}
    demo = Path(__file__).parents[2] / "demo_board" / "board.yaml"
    data = demo.read_bytes().replace(b"fit: cover}", b"fit: cover, level: even}", 1)
    for one in levels(board_from_bytes(data, demo)):
        off = one.exposure - darker.get(one.photo, 0)
        assert abs(off) <= (28 if one.setup == "shed" else 15), one
        assert max(abs(colour) for colour in one.colours) <= 10, one


def test_photos_are_laid_over_each_other_once(
    board: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    shoot(board)
    level._recalled.cache_clear()
    first = levels(board.read(text(4)))
    level._recalled.cache_clear()

    def refuse(*_: object) -> None:
        raise AssertionError("it was worked out again")

    monkeypatch.setattr(level, "grouped", refuse)
    assert levels(board.read(text(4))) == first
    save(exposed(photograph("coffee"), -0.3), board.path("0.jpg"))
    with pytest.raises(AssertionError, match="again"):
        levels(board.read(text(4)))


def test_a_memory_of_long_facts_keeps_the_latest_and_what_is_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    memory = Memory("level.json")
    for number in range(500):
        assert memory.remember(f"{number}", 1, lambda n=number: [n]) == [number]
    memory.keep()
    memory = Memory("level.json")
    assert memory.remember("0", 1, lambda: [-1]) == [0]
    assert memory.remember("new", 1, lambda: [7]) == [7]
    assert memory.remember("3", 2, lambda: [1, 2]) == [1, 2]
    memory.keep()
    kept = Memory("level.json").known
    assert len(kept) == 500
    assert "1" not in kept
    assert kept["0"] == [0]
    assert kept["3"] == [1, 2]
    assert kept["499"] == [499]
