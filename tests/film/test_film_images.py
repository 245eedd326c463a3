"""Stills, numbered images and the small versions, read back by other readers."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from film_stand_ins import Drawn, Flat, Noise, blocks, board, colour_of, flat, silence
from PIL import Image

from animatic.errors import MachineError, UsageError
from animatic.film import write_gif, write_images, write_still, write_webm
from animatic.film.counter import Counter
from animatic.film.report import Progress
from animatic.film.share import small_size
from animatic.frames import Rate
from animatic.timeline.model import Timeline, Transition

SIZE = (160, 96)


def test_every_frame_is_an_image_without_loss(tmp_path: Path) -> None:
    timeline = board([5, 1, 12], transitions={2: Transition(dissolve=2, to_black=4)})
    told: list[Progress] = []
    folder = tmp_path / "images"
    source = Noise(timeline)
    assert write_images(timeline, folder, pictures=source, progress=told.append) == 18
    names = sorted(one.name for one in folder.iterdir())
    assert names == [f"{number:06}.png" for number in range(18)]
    for number, name in enumerate(names):
        read = cv2.imread(str(folder / name), cv2.IMREAD_UNCHANGED)[..., ::-1]
        assert np.array_equal(read, source.frame(number))
    assert told == [Progress(number, 18) for number in range(1, 19)]


def test_counted_images(tmp_path: Path) -> None:
    timeline = board([3, 4], size=(320, 180))
    write_images(timeline, tmp_path / "images", pictures=Flat(timeline), counter=True, workers=1)
    counter = Counter(timeline)
    for number in range(7):
        read = np.asarray(Image.open(tmp_path / "images" / f"{number:06}.png"))
        assert np.array_equal(read, counter.on(Flat(timeline).frame(number), number))


def test_images_never_mix_with_others(tmp_path: Path) -> None:
    timeline = board([3])
    (tmp_path / "mine.png").write_bytes(b"mine")
    with pytest.raises(UsageError) as caught:
        write_images(timeline, tmp_path, pictures=Flat(timeline))
    assert str(caught.value) == f"{tmp_path}: is not empty; name a new folder, or empty this one"
    assert [one.name for one in tmp_path.iterdir()] == ["mine.png"]


def test_a_fault_leaves_no_images(tmp_path: Path) -> None:
    def draw(number: int) -> np.ndarray:
        if number == 30:
            raise RuntimeError("no")
        return flat(number)

    with pytest.raises(RuntimeError, match=r"^no$"):
        write_images(board([1] * 40), tmp_path / "images", pictures=Drawn(draw))
    assert list(tmp_path.iterdir()) == []


def test_a_still(tmp_path: Path) -> None:
    timeline = board([10, 10], start=86_400)
    for frame in (0, 9, 10, 19):
        write_still(timeline, frame, tmp_path / "still.png", pictures=Noise(timeline))
        read = np.asarray(Image.open(tmp_path / "still.png"))
        assert np.array_equal(read, Noise(timeline).frame(frame))
    for frame in (-1, 20):
        with pytest.raises(UsageError) as caught:
            write_still(timeline, frame, tmp_path / "other.png", pictures=Noise(timeline))
        assert str(caught.value) == (
            f"frame {frame}: the film has frames 0 to 19, 01:00:00:00 to 01:00:00:19"
        )
    assert [one.name for one in tmp_path.iterdir()] == ["still.png"]


def half_up(value: Fraction) -> int:
    return int(value + Fraction(1, 2))


@pytest.mark.parametrize("rate", ["12", "24", "29.97", "59.94"])
def test_a_gif_cuts_where_the_film_does(rate: str, tmp_path: Path) -> None:
    """Read by Pillow's decoder: the pictures' ends in hundredths of a second (GIF89a)."""
    timeline = board([30, 1 if rate != "59.94" else 4, 700, 17], rate=rate)
    path = tmp_path / "film.gif"
    assert write_gif(timeline, path, make_pictures=Flat) == 4
    at, found = 0, []
    with Image.open(path) as gif:
        assert gif.info["loop"] == 0
        for number in range(gif.n_frames):
            gif.seek(number)
            at += gif.info["duration"]
            mean = np.asarray(gif.convert("RGB")).mean(axis=(0, 1))
            assert np.abs(mean - colour_of(number)).max() < 6
            found.append(at)
    fps = Rate.named(rate).fps
    assert found == [10 * half_up(100 * panel.end / fps) for panel in timeline.panels]


def test_a_gif_that_moves(tmp_path: Path) -> None:
    timeline = board([10, 20], rate="24", transitions={1: Transition(dissolve=10)})
    assert write_gif(timeline, tmp_path / "film.gif", make_pictures=Flat, longest=80) == 12
    with Image.open(tmp_path / "film.gif") as gif:
        durations = []
        for number in range(gif.n_frames):
            gif.seek(number)
            durations.append(gif.info["duration"])
        assert (gif.size, gif.n_frames, sum(durations)) == ((80, 48), 12, 1250)
    assert set(durations[1:-1]) == {40, 50}


@pytest.mark.parametrize("rate", ["24", "29.97"])
def test_a_webm_has_every_frame_at_its_place(rate: str, tmp_path: Path) -> None:
    timeline = board([30, 1, 1, 40], rate=rate, size=(320, 192), title="Low — Water")
    path, place = tmp_path / "film.webm", 30_000
    told: list[Progress] = []
    # A click is smeared by Opus; a stretch of low noise has a place all the same.
    steps = np.random.default_rng(0).normal(0, 0.05, 600)
    burst = np.interp(np.arange(6_000), np.arange(600) * 10, steps).astype(np.float32)

    def hum(timeline: Timeline):
        whole = np.zeros((timeline.samples, 2), np.float32)
        whole[place : place + 6_000] = burst[:, None]
        return blocks(whole)

    write_webm(
        timeline,
        path,
        longest=160,
        make_pictures=Flat,
        sound=hum,
        progress=told.append,
    )
    assert told[-1] == Progress(72, 72)
    wanted = [panel.index for panel in timeline.panels for _ in range(panel.frames)]
    fps = Rate.named(rate).fps
    with av.open(str(path)) as film:
        assert film.metadata["title"] == "Low — Water"
        frames = list(film.decode(video=0))
        assert [(frame.width, frame.height) for frame in frames] == [(160, 96)] * 72
        # Its clock has thousandths of a second.
        times = [round(1000 * frame.pts * frame.time_base) for frame in frames]
        assert times == [half_up(1000 * n / fps) for n in range(72)]
        for frame, index in zip(frames, wanted, strict=True):
            mean = frame.to_ndarray(format="rgb24").mean(axis=(0, 1))
            assert np.abs(mean - colour_of(index)).max() < 8
        assert (frames[0].colorspace, frames[0].color_range) == (1, 1)
    with av.open(str(path)) as film:
        decoded = list(film.decode(audio=0))
        assert decoded[0].format.is_planar
        sound = np.concatenate([one.to_ndarray() for one in decoded], axis=1).T
    assert len(sound) == timeline.samples
    alike = np.correlate(sound[place - 500 : place + 6_500, 0], burst, "valid")
    assert int(alike.argmax()) == 500


@pytest.mark.parametrize("write", [write_gif, write_webm])
def test_the_counter_of_small_versions_is_exact(write, tmp_path: Path) -> None:
    """Read by other decoders: each frame is most like the one with its own count on it."""
    timeline = board([12, 3, 25], size=(640, 360), transitions={1: Transition(dissolve=2)})
    path = tmp_path / "film"
    made = write(timeline, path, make_pictures=Flat, longest=640, counter=True, **only_sound(write))
    assert made == 40
    counter, grey = Counter(timeline), flat(90, (640, 360))
    patches = [counter.patch(grey, number) for number in range(40)]
    if write is write_gif:
        with Image.open(path) as gif:
            read = [at_frame(gif, number) for number in range(gif.n_frames)]
    else:
        with av.open(str(path)) as film:
            read = [frame.to_ndarray(format="rgb24") for frame in film.decode(video=0)]
    found = []
    for shown in read:
        apart = [
            np.abs(shown[y:, x:][: len(patch), : patch.shape[1]].astype(int) - patch).mean()
            for x, y, patch in patches
        ]
        found.append(int(np.argmin(apart)))
    assert found == list(range(40))


def at_frame(gif: Image.Image, number: int) -> np.ndarray:
    gif.seek(number)
    return np.asarray(gif.convert("RGB"))


@pytest.mark.parametrize("write", [write_gif, write_webm])
def test_small_versions_are_whole_or_not(write, tmp_path: Path) -> None:
    (tmp_path / "film").write_bytes(b"the old one")

    def broken(timeline):
        def draw(number: int) -> np.ndarray:
            if number == 7:
                raise RuntimeError("no")
            return flat(number, timeline.size)

        return Drawn(draw)

    with pytest.raises(RuntimeError, match=r"^no$"):
        write(board([1] * 12), tmp_path / "film", make_pictures=broken, **only_sound(write))
    assert [one.name for one in tmp_path.iterdir()] == ["film"]
    assert (tmp_path / "film").read_bytes() == b"the old one"
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(MachineError):
        write(board([2]), tmp_path / "file" / "film", make_pictures=Flat, **only_sound(write))


def only_sound(write) -> dict[str, object]:
    return {"sound": silence} if write is write_webm else {}


def test_small_sizes_are_even_and_of_the_same_shape() -> None:
    for size in ((1920, 1080), (1080, 1920), (998, 666), (3840, 2160), (1000, 562), (100, 50)):
        width, height = small_size(size, 480)
        assert (width % 2, height % 2, max(width, height) <= 480) == (0, 0, True)
        assert max(width, height) <= max(size)
        assert abs(width / height - size[0] / size[1]) < 0.03
