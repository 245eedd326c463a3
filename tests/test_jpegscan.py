"""Damage within the coded picture of a JPEG is found, and no whole file is taken for damaged."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from animatic.jpegscan import CLUSTER, is_scan_damaged

PHOTOS = sorted((Path(__file__).parents[1] / "demo_board" / "photos").glob("*.jpg"))

# ITU-T T.81, table B.1: a scan's head of no components, and the ends of a file.
SOI, SOS, EOI = bytes.fromhex("ffd8"), bytes.fromhex("ffda 0002"), bytes.fromhex("ffd9")
CODED = bytes(range(1, 255)) * 8

KINDS: list[dict[str, Any]] = [
    {},
    {"optimize": True},
    {"progressive": True},
    {"restart_marker_blocks": 1},
    {"progressive": True, "restart_marker_rows": 1},
    {"subsampling": 0, "keep_rgb": True},
    {"comment": bytes.fromhex("ff3a") * 9 + bytes(2 * CLUSTER)},
]


def saved(picture: Image.Image, **how: Any) -> bytes:
    file = io.BytesIO()
    picture.save(file, "JPEG", **how)
    return file.getvalue()


def pictures() -> list[Image.Image]:
    """Return blank ones, noise, soft colours, and such with a blank part."""
    random = np.random.default_rng(5)
    noise = Image.fromarray(random.integers(0, 255, (300, 500, 3), np.uint8))
    soft = Image.fromarray(random.integers(0, 255, (6, 9, 3), np.uint8)).resize((1500, 900))
    found = [noise, soft, soft.convert("L"), soft.convert("CMYK")]
    for shade in ((0, 0, 0), (255, 255, 255), (90, 128, 70)):
        found.append(Image.new("RGB", (3000, 2000), shade))
        found.append(soft.copy())
        found[-1].paste(shade, (0, 200, 1500, 800))
    return [*found, Image.linear_gradient("L").resize((1500, 900))]


@pytest.mark.parametrize("how", KINDS)
@pytest.mark.parametrize("quality", [1, 30, 75, 90, 100])
def test_no_whole_picture_is_taken_for_damaged(how: dict[str, Any], quality: int) -> None:
    for picture in pictures():
        if "keep_rgb" not in how or picture.mode == "RGB":
            assert not is_scan_damaged(saved(picture, quality=quality, **how))


def test_blank_pictures_do_hold_zeros_as_damaged_ones_do() -> None:
    """So the tables decide: with those that fit it best, blank picture is coded as zeros."""
    blank = saved(Image.new("RGB", (3000, 2000)), optimize=True)
    assert bytes(8 * CLUSTER) in blank
    assert not is_scan_damaged(blank)


def test_no_photo_of_the_demo_is_taken_for_damaged() -> None:
    assert len(PHOTOS) > 20
    assert not any(is_scan_damaged(path.read_bytes()) for path in PHOTOS)


@pytest.mark.parametrize("where", [0.2, 0.5, 0.9])
@pytest.mark.parametrize("length", [CLUSTER, 2000, 32768])
@pytest.mark.parametrize("how", [{}, {"optimize": True}, {"restart_marker_rows": 1}])
def test_zeros_within_the_picture_are_damage(
    how: dict[str, Any], length: int, where: float
) -> None:
    for path in PHOTOS[:6]:
        with Image.open(path) as photo:
            data = saved(photo, quality=88, **how)
        at = int(where * len(data))
        changed = (data[:at] + bytes(length) + data[at + length :])[: len(data) - 2] + EOI
        assert not is_scan_damaged(data)
        assert is_scan_damaged(changed)


@pytest.mark.parametrize("how", [{"progressive": True}, {"optimize": True, "quality": 30}])
def test_a_lost_cluster_is_found_where_zeros_may_be_picture(how: dict[str, Any]) -> None:
    """Clusters lie at multiples of their size, the blank parts of a picture anywhere."""
    with Image.open(PHOTOS[0]) as photo:
        data = saved(photo, **how)
    at = len(data) // 2 // CLUSTER * CLUSTER
    assert data[at - 1]
    assert data[at + 8 * CLUSTER]
    assert is_scan_damaged(data[:at] + bytes(8 * CLUSTER) + data[at + 8 * CLUSTER :])


# T.81, B.2: the frame's marker; the first values of its DC and AC table, whose codes are zeros
# (C.2); Ss, Se, Ah and Al of the scan (G.1.1.1); whether zeros throughout may be its picture.
ZEROS = [
    ("c0", 0x00, 0x00, "003f00", True),
    ("c1", 0x01, 0x00, "003f00", True),
    ("c0", 0x02, 0x00, "003f00", False),
    ("c0", 0x00, 0x01, "003f00", False),
    ("c2", 0x00, 0x01, "000000", True),
    ("c2", 0x02, 0x00, "000000", False),
    ("c2", 0x02, 0x01, "000010", True),
    ("c2", 0x02, 0x10, "010500", True),
    ("c2", 0x00, 0x11, "010500", False),
    ("c9", 0x02, 0x01, "003f00", True),
]


@pytest.mark.parametrize(("frame", "dc", "ac", "spectral", "may_be"), ZEROS)
def test_the_tables_of_a_scan_decide_whether_zeros_may_be_picture(
    frame: str, dc: int, ac: int, spectral: str, may_be: bool
) -> None:
    counts = bytes((0, 2, *[0] * 14))
    tables = bytes((0x00,)) + counts + bytes((dc, 5)) + bytes((0x10,)) + counts + bytes((ac, 5))
    dht = bytes.fromhex("ffc4") + (len(tables) + 2).to_bytes(2, "big") + tables
    sof = bytes.fromhex("ff" + frame + "000b 08 0800 0800 01 01 11 00")
    sos = bytes.fromhex("ffda 0008 01 01 00" + spectral)
    scan = CODED + bytes(3 * CLUSTER) + CODED
    assert is_scan_damaged(SOI + sof + dht + sos + scan + EOI) is not may_be


@pytest.mark.parametrize("seed", range(20))
def test_foreign_bytes_within_the_picture_are_damage(seed: int) -> None:
    data = PHOTOS[seed].read_bytes()
    at, foreign = len(data) // 3, np.random.default_rng(seed).bytes(16 * CLUSTER)
    assert is_scan_damaged(data[:at] + foreign + data[at + len(foreign) :])


@pytest.mark.parametrize("marker", ["00", *(f"d{number}" for number in range(8)), "ffffd3"])
def test_what_may_stand_in_coded_data_is_no_damage(marker: str) -> None:
    """T.81, B.1.1.5: a stuffed zero, or RSTm; B.1.1.2: before a marker any number of 0xFF."""
    scan = CODED + bytes.fromhex("ff" + marker) + CODED
    assert not is_scan_damaged(SOI + SOS + scan + EOI)


@pytest.mark.parametrize("marker", ["c4", "cc", "db", "dc", "dd", "e0", "e1", "ef", "fe"])
def test_segments_may_stand_between_scans_only(marker: str) -> None:
    """T.81, B.2.1: tables and miscellaneous before each scan, DNL behind the first."""
    segment = bytes.fromhex("ff" + marker + "0006 ff3a 0000")
    assert not is_scan_damaged(SOI + SOS + CODED + segment + SOS + CODED + EOI)
    assert is_scan_damaged(SOI + SOS + CODED + segment + CODED + EOI)


@pytest.mark.parametrize("marker", ["01", "3a", "bf", "c0", "c2", "cf", "d8", "f0", "fd", "ff00"])
def test_other_markers_within_a_scan_are_damage(marker: str) -> None:
    """T.81, table B.1: frames, SOI, TEM and what is reserved; and 0xFF twice before a zero."""
    assert is_scan_damaged(SOI + SOS + CODED + bytes.fromhex("ff" + marker) + CODED + EOI)


def test_what_lies_outside_the_scans_is_not_looked_at() -> None:
    """Thumbnails in Exif, and the further pictures that some cameras put behind the first."""
    wild = bytes.fromhex("ff3a") * 300 + bytes(4 * CLUSTER)
    segment = bytes.fromhex("ffe1") + (len(wild) + 2).to_bytes(2, "big") + wild
    data = SOI + segment + SOS + CODED + EOI
    assert not is_scan_damaged(data + wild + data)


def test_a_file_of_several_pictures_is_whole() -> None:
    first, second = pictures()[:2]
    file = io.BytesIO()
    first.save(file, "MPO", save_all=True, append_images=[second])
    data = file.getvalue()
    assert not is_scan_damaged(data)
    middle = data.index(EOI + SOI) // 2
    assert is_scan_damaged(data[:middle] + bytes(2000) + data[middle + 2000 :])


def test_nothing_is_said_of_a_file_that_ends_early_or_is_none() -> None:
    """That is for the decoder to tell."""
    data = SOI + SOS + CODED + b"\xff"
    assert not any(is_scan_damaged(data[:length]) for length in range(len(data) + 1))


def test_a_long_run_of_one_byte_takes_no_long_time() -> None:
    many = b"\xff" * 2_000_000
    assert not is_scan_damaged(SOI + SOS + many + bytes.fromhex("d3") + CODED + EOI)
    assert is_scan_damaged(SOI + SOS + many + CODED + EOI)
