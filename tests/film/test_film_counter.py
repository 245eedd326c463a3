"""The running counter: what it says, where it stands, and the band that it is coded in."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from film_stand_ins import Noise, board, ffmpeg, flat, silence, strict_hashes
from PIL import Image, ImageDraw, ImageFont
from test_bitstream import decoded

from animatic.film import readback, write_film
from animatic.film.band import LEAST_REST, code_banded, rest_format
from animatic.film.bitstream import parameter_sets, read_header, units
from animatic.film.cache import Cache
from animatic.film.coding import Format, coded_pictures, yuv_from_rgb
from animatic.film.counter import Counter
from animatic.film.segments import make_template, segments_of
from animatic.fonts import font_file
from animatic.frames import Rate
from animatic.picture.safe import title_safe
from animatic.timeline.model import Timeline, Transition

SIZE = (320, 180)
RATE = Rate.named("24")


def read_as(patch: np.ndarray, texts: list[str], size: int) -> str:
    """Return which of some texts a patch shows: the one whose letters lie on its light pixels."""
    font = ImageFont.truetype(str(font_file(None)), size)
    light = patch.mean(axis=2) > 128
    light = light[np.flatnonzero(light.any(1))[0] :, np.flatnonzero(light.any(0))[0] :]

    def apart(text: str) -> float:
        layer = Image.new("L", (patch.shape[1] + 40, patch.shape[0] + 40))
        ImageDraw.Draw(layer).text((5, 5), text, fill=255, font=font)
        drawn = np.asarray(layer) > 128
        drawn = drawn[np.flatnonzero(drawn.any(1))[0] :, np.flatnonzero(drawn.any(0))[0] :]
        shape = [max(a, b) for a, b in zip(light.shape, drawn.shape, strict=True)]
        both = [np.zeros(shape, bool) for _ in range(2)]
        for whole, part in zip(both, (light, drawn), strict=True):
            whole[: part.shape[0], : part.shape[1]] = part
        return float((both[0] ^ both[1]).mean())

    return min(texts, key=apart)


@pytest.mark.parametrize(
    ("frame", "says"),
    [
        (0, "10   1 / 9"),
        (4, "10   5 / 9"),
        (8, "10   9 / 9"),
        (9, "20     1 / 72"),
        (80, "20   72 / 72"),
    ],
)
def test_it_says_shot_and_frame_counted_from_one(frame: int, says: str) -> None:
    timeline = board([9, 72], size=(1280, 720))
    _, _, patch = Counter(timeline).patch(flat(0, (1280, 720)), frame)
    # A figure is as wide as two spaces in this font.
    others = [
        f"{shot}   {'  ' * (len(str(of)) - len(str(n)))}{n} / {of}"
        for shot, of in ((10, 9), (20, 72))
        for n in range(of + 1)
    ]
    assert read_as(patch, others, 25) == says


def test_figures_do_not_move_while_they_run() -> None:
    timeline = board([1000], size=(1280, 720))
    counter = Counter(timeline)
    covers = [counter.patch(flat(0, (1280, 720)), n)[2].mean(axis=2) > 128 for n in (0, 99, 999)]
    assert len({cover.shape for cover in covers}) == 1
    last = [np.flatnonzero(cover.any(0)) for cover in covers]
    assert len({int(found[-1]) for found in last}) == 1
    assert len({int(found[0]) for found in last}) == 1


def test_a_name_that_is_too_long_or_not_in_the_font() -> None:
    for name in ("a very long name for one shot " * 4, "景 10", ""):
        timeline = board([9], size=SIZE)
        timeline = replace(timeline, shots=(replace(timeline.shots[0], name=name),))
        x, _, patch = Counter(timeline).patch(flat(0, SIZE), 0)
        assert x >= title_safe(SIZE)[0] - 1
        assert patch.max() > 200


@pytest.mark.parametrize("size", [(1920, 1080), (1280, 720), SIZE, (998, 666), (108, 192)])
def test_it_stands_inside_title_safe_and_clear_of_its_bands_edge(size: tuple[int, int]) -> None:
    counter = Counter(board([100], size=size))
    white = flat(255, size)
    changed = np.argwhere((counter.on(white, 50) != white).any(axis=2))
    top, left = changed.min(axis=0)
    bottom, right = changed.max(axis=0)
    safe = title_safe(size)
    assert (left >= safe[0] or size[0] < 200, top, right < safe[2]) == (True, safe[1], True)
    assert counter.band % 16 == 0
    assert counter.band - 1 - bottom >= 16


def banded(
    size: tuple[int, int], frames: int
) -> tuple[Format, Timeline, Counter, list[np.ndarray]]:
    """Return format, board, counter and the decoded pictures of a counted hold of noise."""
    form, timeline = Format(size, RATE), board([frames], size=size)
    counter = Counter(timeline)
    template, rest = make_template(form), make_template(rest_format(form, counter.band))
    [segment] = segments_of(timeline, counted=True)
    assert segment.kind == "band"
    picture = Noise(timeline).frame(0)
    packets = code_banded(form, segment, picture, counter.band, counter.patch, template, rest)
    return form, timeline, counter, decoded(template.sets, list(packets))


@pytest.mark.parametrize("size", [SIZE, (998, 666), (400, 144), (240, 320)])
def test_band_and_rest_decode_as_if_each_stood_alone(size: tuple[int, int]) -> None:
    """No filter and no motion reaches over the edge, so nothing drifts in a long hold."""
    form, timeline, counter, frames = banded(size, 60)
    (width, height), band = size, counter.band
    picture = Noise(timeline).frame(0)
    rest_form = rest_format(form, band)
    [rest] = decoded(*coded_pictures(rest_form, [yuv_from_rgb(picture[band:], rest_form.size)]))
    assert len(frames) == 60
    lumas, chromas = [], []
    for frame in frames:
        luma, chroma = frame[:height], frame[height:].reshape(2, height // 2, width // 2)
        assert np.array_equal(luma[band:], rest[: height - band])
        assert np.array_equal(
            chroma[:, band // 2 :], rest[height - band :].reshape(2, -1, width // 2)
        )
        lumas.append(luma[:band])
        chromas.append(chroma[:, : band // 2])
    # What the counter leaves alone rests in the band too.
    x, y, patch = counter.patch(picture, 0)
    rests = np.ones((band, width), bool)
    rests[max(0, y - 8) : y + patch.shape[0] + 8, max(0, x - 16) : x + patch.shape[1] + 16] = False
    assert all(np.array_equal(luma[rests], lumas[0][rests]) for luma in lumas)
    assert all(np.array_equal(a[:, -4:], chromas[0][:, -4:]) for a in chromas)
    for number, luma in enumerate(lumas):
        wanted = yuv_from_rgb(counter.on(picture, number), size).to_ndarray()[:band]
        box = slice(y, y + patch.shape[0]), slice(x, x + patch.shape[1])
        assert np.abs(luma[box].astype(int) - wanted[box]).mean() < 4


def test_the_band_alone(tmp_path: Path) -> None:
    """The band's own encoder, decoded by itself, gives the film's upper rows bit by bit."""
    form, timeline, counter, frames = banded(SIZE, 40)
    band_form = replace(form, size=(SIZE[0], counter.band))
    picture, parts = Noise(timeline).frame(0), []
    for number in range(40):
        # As the writer does it: the counter's part alone is put into the resting band.
        frame = yuv_from_rgb(picture[: counter.band], band_form.size).to_ndarray()
        x, y, patch = counter.patch(picture, number)
        height, width = patch.shape[:2]
        part = yuv_from_rgb(patch, (width, height)).to_ndarray()
        frame[y : y + height, x : x + width] = part[:height]
        old = frame[counter.band :].reshape(2, counter.band // 2, SIZE[0] // 2)
        old[:, y // 2 : (y + height) // 2, x // 2 : (x + width) // 2] = part[height:].reshape(
            2, height // 2, width // 2
        )
        parts.append(frame)
    import av

    sources = (av.VideoFrame.from_ndarray(part, "yuv420p") for part in parts)
    alone = decoded(*coded_pictures(band_form, sources, "band"))
    for frame, one in zip(frames, alone, strict=True):
        assert np.array_equal(frame[: counter.band], one[: counter.band])


def counted(timeline: Timeline, path: Path, **more) -> Path:
    sources = {"pictures": Noise(timeline), "sound": silence, "use_cache": False, **more}
    write_film(timeline, path, counter=True, **sources)
    return path


def test_a_counted_film(tmp_path: Path) -> None:
    """Every kind of segment beside every other, by another decoder; each frame is new."""
    timeline = board(
        [20, 1, 1, 500, 30, 30],
        size=SIZE,
        transitions={3: Transition(from_black=5), 4: Transition(dissolve=8)},
    )
    path = counted(timeline, tmp_path / "film.mp4")
    hashes = strict_hashes(path)
    assert len(hashes) == timeline.frames
    assert len(set(hashes)) == timeline.frames
    keys = readback.contents(path).keys
    assert max(b - a for a, b in pairwise(keys)) <= 240
    trace = ffmpeg(
        *("-i", path, "-map", "0:v", "-c", "copy"),
        *("-bsf:v", "h264_mp4toannexb,trace_headers", "-f", "null", "-"),
    )
    pairs = re.findall(
        r"first_mb_in_slice +[01]+ = (\d+)|idr_pic_id +[01]+ = (\d+)", trace.stderr.decode()
    )
    entries: list[list[int]] = []
    first = 0
    for mb, idr in pairs:
        if mb:
            first = int(mb)
        elif first == 0:
            entries.append([int(idr)])
        else:
            entries[-1].append(int(idr))
    assert len(entries) == len(keys)
    # Both slices of a picture have one idr_pic_id, and neighbours another.
    assert all(len(set(ids)) == 1 for ids in entries)
    assert [ids[0] for ids in entries] == [n % 2 for n in range(len(keys))]


@pytest.mark.parametrize("size", [(32, 32), (64, 36), (160, 64)])
def test_pictures_too_low_for_a_band_are_coded_whole(size: tuple[int, int], tmp_path: Path) -> None:
    timeline = board([5, 30], size=size)
    assert size[1] - Counter(timeline).band < LEAST_REST
    path = counted(timeline, tmp_path / "film.mp4")
    assert len(strict_hashes(path)) == 35


def test_slices_of_a_counted_picture() -> None:
    form, timeline = Format(SIZE, RATE), board([18], size=SIZE)
    counter = Counter(timeline)
    template, rest = make_template(form), make_template(rest_format(form, counter.band))
    packets = code_banded(
        form,
        segments_of(timeline, counted=True)[0],
        Noise(timeline).frame(0),
        counter.band,
        counter.patch,
        template,
        rest,
    )
    facts = parameter_sets(template.sets)
    for number, packet in enumerate(packets):
        headers = [read_header(unit, facts) for unit in units(packet)]
        assert [header.first_mb for header in headers] == [0, counter.band // 16 * 20]
        assert {header.frame_num for header in headers} == {number % 16}
        assert {header.is_idr for header in headers} == {number == 0}


def test_only_shots_that_changed_are_coded_again(tmp_path: Path) -> None:
    photos = [tmp_path / f"{n}.png" for n in range(3)]
    for number, photo in enumerate(photos):
        Image.fromarray(Noise(board([1] * 4)).frame(number)).save(photo)
    store = Cache(tmp_path / "cache")

    def write(lengths: list[int], **more) -> tuple[int, bytes]:
        timeline = board(lengths, size=SIZE, photos=photos)
        path = tmp_path / "film.mp4"
        report = write_film(timeline, path, counter=True, **{"store": store, **more})
        return report.coded, path.read_bytes()

    assert write([10, 20, 30])[0] == 3
    coded, data = write([10, 25, 30])
    assert coded == 1
    assert write([10, 25, 30], use_cache=False, workers=3) == (3, data)
    assert write([10, 25, 30]) == (0, data)
