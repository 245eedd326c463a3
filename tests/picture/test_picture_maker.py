"""Film frames: what shows when, how it is mixed, what is kept."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction
from math import floor
from pathlib import Path

import numpy as np
import pytest
from picture_timelines import P, line, timeline
from PIL import Image

from animatic.errors import MediaError
from animatic.picture import PictureMaker
from animatic.picture.maker import mix
from animatic.timeline.model import Box, Lettering, Move, Timeline, Transition

RED, GREEN, BLUE = (200, 30, 10), (20, 180, 40), (10, 60, 250)
COLOURS = {"red": RED, "green": GREEN, "blue": BLUE}


@pytest.fixture
def photos(tmp_path: Path) -> dict[str, Path]:
    made = {}
    for name, colour in COLOURS.items():
        made[name] = tmp_path / f"{name}.png"
        Image.new("RGB", (64, 36), colour).save(made[name])
    return made


def shown(picture: np.ndarray) -> tuple[int, ...]:
    """The one colour of a flat picture."""
    assert (picture == picture[0, 0]).all()
    return tuple(picture[0, 0].tolist())


def exact(parts: list[tuple[tuple[int, int, int], Fraction]]) -> tuple[int, ...]:
    """The mix in exact arithmetic, rounded half up."""
    sums = [sum((c[n] * w for c, w in parts), Fraction(0)) for n in range(3)]
    return tuple(floor(value + Fraction(1, 2)) for value in sums)


def test_each_frame_shows_its_panel(photos: dict[str, Path]) -> None:
    film = timeline([P(photos["red"], 3), P(photos["green"], 1)], [P(photos["blue"], 2)])
    maker = PictureMaker(film)
    assert [shown(maker.frame(n)) for n in range(6)] == [RED, RED, RED, GREEN, BLUE, BLUE]


def test_pictures_are_what_encoders_want(photos: dict[str, Path]) -> None:
    move = Move(Box(0.2, 0.2, 0.5, 0.5), "both", 0, 9)
    film = timeline(
        [
            P(photos["red"], 10, move=move, fit="contain"),
            P(photos["green"], 10, lines=(line("a"),)),
        ],
        [P(photos["blue"], 10)],
        transitions={1: Transition(dissolve=4)},
        lettering=Lettering(),
        size=(100, 80),
    )
    maker = PictureMaker(film)
    for number in range(film.frames):
        picture = maker.frame(number)
        assert picture.shape == (80, 100, 3)
        assert picture.dtype == np.uint8
        assert picture.flags.c_contiguous
        assert not picture.flags.writeable
    with pytest.raises(ValueError, match="read-only"):
        maker.frame(0)[0, 0, 0] = 1


def test_a_held_picture_is_made_once(photos: dict[str, Path]) -> None:
    for lettering in (Lettering(), Lettering(shot=False, size=False, dialogue=False)):
        maker = PictureMaker(timeline([P(photos["red"], 20)], lettering=lettering))
        assert maker.frame(0) is maker.frame(19)


@pytest.mark.parametrize("length", [1, 2, 7, 12, 24, 200, 400])
def test_a_dissolve_mixes_by_exact_weights(photos: dict[str, Path], length: int) -> None:
    """Weight (2 i + 1) / (2 n) for the incoming shot at frame i of n, centred on the cut."""
    film = timeline(
        [P(photos["red"], 250)], [P(photos["blue"], 250)], transitions={1: Transition(length)}
    )
    maker, first = PictureMaker(film), 250 - length // 2
    assert shown(maker.frame(first - 1)) == RED
    assert shown(maker.frame(first + length)) == BLUE
    for i in range(0, length, max(1, length // 25)):
        part = Fraction(2 * i + 1, 2 * length)
        assert shown(maker.frame(first + i)) == exact([(RED, 1 - part), (BLUE, part)])


def test_fades_from_and_to_black(photos: dict[str, Path]) -> None:
    how = Transition(from_black=6, to_black=5)
    maker = PictureMaker(timeline([P(photos["green"], 20)], transitions={0: how}))
    for i in range(6):
        assert shown(maker.frame(i)) == exact([(GREEN, Fraction(2 * i + 1, 12))])
    assert shown(maker.frame(6)) == shown(maker.frame(14)) == GREEN
    for i in range(5):
        assert shown(maker.frame(15 + i)) == exact([(GREEN, 1 - Fraction(2 * i + 1, 10))])


def test_transitions_mix_in_the_light_that_the_documents_name(tmp_path: Path) -> None:
    """Half black and half white is code 127.5 in gamma light, and 187.5 in linear light.

    The latter by the curve of sRGB (IEC 61966-2-1): 255 * (1.055 * 0.5 ** (1 / 2.4) - 0.055).
    """
    docs = Path(__file__).parents[2] / "docs"
    assert "gamma light, not linear" in (docs / "guide.md").read_text(encoding="utf-8")
    assert "mixed as coded, in gamma light" in (docs / "board.md").read_text(encoding="utf-8")
    made = tmp_path / "white.png", tmp_path / "black.png"
    for path, code in zip(made, (255, 0), strict=True):
        Image.new("RGB", (64, 36), (code,) * 3).save(path)
    shots = [P(made[0], 9)], [P(made[1], 9)], [P(made[0], 9)]
    how = {0: Transition(from_black=1), 1: Transition(dissolve=1), 2: Transition(to_black=1)}
    maker = PictureMaker(timeline(*shots, transitions=how))
    for middle in (0, 9, 26):
        assert shown(maker.frame(middle)) == (128, 128, 128)


def test_a_dissolve_over_several_panels_goes_on_with_the_outermost(
    photos: dict[str, Path],
) -> None:
    film = timeline(
        [P(photos["red"], 10)],
        [P(photos["blue"], 2), P(photos["green"], 10)],
        transitions={1: Transition(dissolve=8)},
    )
    maker = PictureMaker(film)
    for frame, incoming in ((11, BLUE), (12, GREEN)):
        part = Fraction(2 * (frame - 6) + 1, 16)
        assert shown(maker.frame(frame)) == exact([(RED, 1 - part), (incoming, part)])


@pytest.mark.parametrize("below", [2, 24, 255, 256, 257, 1000, 20_000])
def test_mixing_is_exact_for_all_codes(below: int) -> None:
    """Against whole-number arithmetic of Python, for all pairs of codes."""
    one, other = (part.astype(np.uint8) for part in np.mgrid[:256, :256])
    for above in {1, below // 3, below - 1}:
        weight = Fraction(above, below)
        pictures = [np.repeat(part[..., None], 3, axis=2) for part in (one, other)]
        found = mix(pictures, [1 - weight, weight])
        a, b = one.astype(object), other.astype(object)
        wanted = (2 * (a * (below - above) + b * above) + below) // (2 * below)
        assert (found[..., 1] == wanted.astype(int)).all()


def test_lettering_changes_at_the_cut_and_does_not_dissolve(photos: dict[str, Path]) -> None:
    film = timeline(
        [P(photos["red"], 20, lines=(line("Going out."),))],
        [P(photos["blue"], 20, lines=(line("Coming in.", who="Pim"),))],
        transitions={1: Transition(dissolve=8)},
        lettering=Lettering(),
    )
    maker = PictureMaker(film)
    plain = PictureMaker(replace(film, lettering=Lettering(False, False, False)))

    def white(number: int) -> np.ndarray:
        return (maker.frame(number) == 255).all(axis=2)

    before, after = white(0), white(39)
    assert before.any()
    assert after.any()
    assert (before != after).any()
    for number in range(16, 24):
        assert np.array_equal(white(number), before if number < 20 else after)
        changed = (maker.frame(number) != plain.frame(number)).any(axis=2)
        assert 0 < changed.mean() < 0.3


def test_lettering_stays_over_a_fade(photos: dict[str, Path]) -> None:
    film = timeline(
        [P(photos["red"], 20)], transitions={0: Transition(from_black=10)}, lettering=Lettering()
    )
    maker = PictureMaker(film)
    white = [(maker.frame(n) == 255).all(axis=2) for n in (0, 5, 19)]
    assert white[0].any()
    assert np.array_equal(white[0], white[1])
    assert np.array_equal(white[0], white[2])


def test_panel_is_without_lettering_and_lettered_with(photos: dict[str, Path]) -> None:
    film = timeline([P(photos["red"], size="CU")], lettering=Lettering())
    maker = PictureMaker(film)
    assert shown(maker.panel(film.panels[0])) == RED
    assert np.array_equal(maker.lettered(film.panels[0]), maker.frame(0))
    assert (maker.frame(0) != maker.panel(film.panels[0])).any()


def test_contain_leaves_black_bars(tmp_path: Path) -> None:
    path = tmp_path / "portrait.png"
    Image.new("RGB", (90, 160), RED).save(path)
    picture = PictureMaker(timeline([P(path, fit="contain")], size=(320, 180))).frame(0)
    # 180 * 90 / 160 = 101.25 pixels wide, from 109.375 to 210.625.
    assert not picture[:, :110].any()
    assert (picture[:, 110:210] == RED).all()
    assert not picture[:, 210:].any()


def test_photos_are_opened_when_they_are_needed(photos: dict[str, Path]) -> None:
    film = timeline([P(photos["red"], 2)], [P(photos["blue"], 2)])
    photos["blue"].unlink()
    maker = PictureMaker(film)
    assert shown(maker.frame(0)) == RED
    with pytest.raises(MediaError) as error:
        maker.frame(2)
    assert str(error.value) == f"{photos['blue']}: there is no such photo; check the name"


def test_a_photo_that_changed_its_size_is_named(photos: dict[str, Path]) -> None:
    film = timeline([P(photos["red"])])
    Image.new("RGB", (30, 40)).save(photos["red"])
    with pytest.raises(MediaError) as error:
        PictureMaker(film).frame(0)
    assert str(error.value) == (
        f"{photos['red']}: the photo is 30x40 now and was 64x36 when the board was read;"
        " run the command again"
    )


def test_frames_outside_the_film(photos: dict[str, Path]) -> None:
    maker = PictureMaker(timeline([P(photos["red"], 5)]))
    for number in (-1, 5):
        with pytest.raises(IndexError) as error:
            maker.frame(number)
        assert str(error.value) == f"frame {number}; the film has frames 0 to 4"


def mixed_film(tmp_path: Path) -> Timeline:
    """Holds, a move, a dissolve and a fade over noisy photos, lettered."""
    paths = []
    for number in range(4):
        path = tmp_path / f"{number}.jpg"
        noise = np.random.default_rng(number).integers(0, 255, (180, 320, 3), np.uint8)
        Image.fromarray(noise).save(path)
        paths.append(path)
    move = Move(Box(0.1, 0.1, 0.6, 0.6), "both", 2, 12)
    return timeline(
        [P(paths[0], 8, lines=(line("One."),)), P(paths[1], 14, move=move)],
        [P(paths[2], 12, size="MS"), P(paths[0], 6)],
        [P(paths[3], 12)],
        transitions={1: Transition(dissolve=7), 2: Transition(from_black=4, to_black=3)},
        lettering=Lettering(),
        size=(160, 90),
    )


def test_threads_get_what_one_gets(tmp_path: Path) -> None:
    film = mixed_film(tmp_path)
    alone = PictureMaker(film)
    wanted = [alone.frame(n).tobytes() for n in range(film.frames)]
    together = PictureMaker(film)
    numbers = np.random.default_rng(2).permutation(np.repeat(np.arange(film.frames), 3)).tolist()
    with ThreadPoolExecutor(8) as pool:
        for number, found in zip(numbers, pool.map(together.frame, numbers), strict=True):
            assert found.tobytes() == wanted[number]


def test_memory_is_bounded(tmp_path: Path) -> None:
    """Four hundred panels of 1.1 MB are shown; what is kept stays within its bounds."""
    path = tmp_path / "photo.png"
    Image.new("RGB", (32, 18), RED).save(path)
    crops = [Box(0.0, 0.0, 1.0 - n / 1000, 1.0) for n in range(400)]
    film = timeline([P(path, 1, crop=crop) for crop in crops], size=(800, 450))
    maker = PictureMaker(film)
    for number in range(film.frames):
        maker.frame(number)
    # Six pictures, however long the film.
    assert maker.kept_bytes == 6 * 800 * 450 * 3


def test_photos_kept_for_moves_are_bounded(tmp_path: Path) -> None:
    """Eight photos of 48 MB in memory move; at most 200 MB are kept."""
    shots = []
    for number in range(8):
        path = tmp_path / f"{number}.png"
        Image.new("L", (4000, 3000), number).save(path, compress_level=1)
        shots.append([P(path, 3, move=Move(Box(0.4, 0.4, 0.2, 0.2), "none", 0, 2))])
    film = timeline(*shots, size=(160, 90))
    maker = PictureMaker(film)
    for number in range(1, film.frames, 3):
        assert shown(maker.frame(number)) == (number // 3,) * 3
        assert maker.kept_bytes < 201_000_000
    assert maker.kept_bytes > 140_000_000
