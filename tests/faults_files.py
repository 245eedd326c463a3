"""Photos, sounds and fonts that are missing, damaged, or of another kind."""

from __future__ import annotations

import os
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

from tests.boards import BoardFolder
from tests.faults import AGAIN, EXPORT, OUTSIDE, PHOTOS, SOUNDS, Fault, one, photo, sound, top


def noise(name: str, **save: object) -> Callable[[BoardFolder], None]:
    """Write a photo that compresses badly, and cut it in half."""

    def make(board: BoardFolder) -> None:
        pixels = np.random.default_rng(7).integers(0, 255, (90, 160, 3), np.uint8)
        Image.fromarray(pixels).save(board.path(name), **save)  # type: ignore[arg-type]
        halve(board.path(name))

    return make


CUT_SHORT = "cut short: the file ends after ⋯ bytes, before its picture does"


def changed(name: str) -> Callable[[BoardFolder], None]:
    """Write a photo, and turn some bytes round within its picture."""

    def make(board: BoardFolder) -> None:
        pixels = np.random.default_rng(7).integers(0, 255, (90, 160, 3), np.uint8)
        Image.fromarray(pixels).save(board.path(name))
        data = bytearray(board.path(name).read_bytes())
        for at in range(len(data) // 2, len(data) // 2 + 40):
            data[at] ^= 0xFF
        board.path(name).write_bytes(data)

    return make


def halve(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def file(name: str, data: bytes) -> Callable[[BoardFolder], int]:
    return lambda board: board.path(name).write_bytes(data)


def image(name: str, mode: str) -> Callable[[BoardFolder], None]:
    return lambda board: Image.new(mode, (160, 90)).save(board.path(name))


def link(name: str, target: str) -> Callable[[BoardFolder], None]:
    return lambda board: os.symlink(target, board.path(name))


def vast(board: BoardFolder) -> None:
    """A PNG whose head promises 40 000 x 40 000 pixels (W3C PNG, chunk IHDR)."""
    Image.new("L", (1, 1)).save(board.path("vast.png"))
    data = bytearray(board.path("vast.png").read_bytes())
    data[16:24] = (40_000).to_bytes(4, "big") * 2
    data[29:33] = zlib.crc32(data[12:29]).to_bytes(4, "big")
    board.path("vast.png").write_bytes(data)


FILE_FAULTS = [
    Fault("no such photo", photo("quay.jpg"), "panels[1].photo (shot 10): quay.jpg is not there"),
    Fault(
        "a photo in other capitals",
        photo("A.JPG"),
        "panels[1].photo (shot 10): A.JPG is not there; there is a.jpg",
    ),
    Fault(
        "a photo of nearly that name",
        photo("pics/quay_wdie.jpg"),
        "panels[1].photo (shot 10): pics/quay_wdie.jpg is not there; there is pics/quay_wide.jpg",
        lambda board: board.photo("pics/quay_wide.jpg"),
    ),
    Fault(
        "a photo of another number is another photo",
        photo("DSC04716.JPG"),
        "panels[1].photo (shot 10): DSC04716.JPG is not there",
        lambda board: board.photo("DSC04731.JPG"),
    ),
    Fault(
        "no such folder",
        photo("pics/quay.jpg"),
        "panels[1].photo (shot 10): pics/quay.jpg is not there; its folder is not there either",
    ),
    Fault(
        "a folder for a photo",
        photo("pics"),
        "panels[1].photo (shot 10): pics is a folder; allowed: a photo file",
        lambda board: board.path("pics").mkdir(),
    ),
    Fault(
        "a folder for a sound",
        sound("pics"),
        "panels[1].sounds[1].file (shot 10): pics is a folder; allowed: a sound file",
        lambda board: board.path("pics").mkdir(),
    ),
    Fault(
        "a RAW photo, which holds a small one that can be read",
        photo("quay.NEF"),
        "panels[1].photo (shot 10): quay.NEF: a RAW photo is not read; allowed: JPEG, PNG, TIFF,"
        " WebP, or HEIC with the extra heic; export it as JPEG or TIFF, and name that",
        lambda board: Image.new("RGB", (16, 9)).save(board.path("quay.NEF"), "TIFF"),
    ),
    Fault(
        "a pipe for a photo",
        photo("pipe.jpg"),
        "panels[1].photo (shot 10): pipe.jpg is no regular file; allowed: a photo file",
        lambda board: os.mkfifo(board.path("pipe.jpg")),
    ),
    Fault(
        "outside",
        photo("../a.jpg"),
        f"panels[1].photo (shot 10): ../a.jpg lies outside the board's folder; {OUTSIDE}",
    ),
    Fault(
        "an absolute path",
        photo("/etc/hostname"),
        f"panels[1].photo (shot 10): /etc/hostname lies outside the board's folder; {OUTSIDE}",
    ),
    Fault(
        "a link out of the folder",
        photo("link.jpg"),
        f"panels[1].photo (shot 10): link.jpg lies outside the board's folder; {OUTSIDE}",
        link("link.jpg", "/etc/hostname"),
    ),
    Fault(
        "a folder that is a link out of the folder",
        photo("etc/hostname"),
        f"panels[1].photo (shot 10): etc/hostname lies outside the board's folder; {OUTSIDE}",
        link("etc", "/etc"),
    ),
    Fault(
        "a link in a circle",
        photo("link.jpg"),
        "panels[1].photo (shot 10): link.jpg is a link to link.jpg, which is not there",
        link("link.jpg", "link.jpg"),
    ),
    Fault(
        "a link to nothing",
        photo("link.jpg"),
        "panels[1].photo (shot 10): link.jpg is a link to gone.jpg, which is not there",
        link("link.jpg", "gone.jpg"),
    ),
    Fault(
        "backslashes",
        photo("pics\\a.jpg"),
        "panels[1].photo (shot 10): found pics\\a.jpg; allowed: a path with forward slashes,"
        " on every system; write pics/a.jpg",
    ),
    Fault(
        "a NUL in a path",
        photo('"a\\0.jpg"'),
        "panels[1].photo (shot 10): found 'a\\x00.jpg';"
        " allowed: the path of a file, without invisible characters",
    ),
    Fault(
        "a very long path",
        photo("x" * 400),
        f"panels[1].photo (shot 10): {'x' * 76}... is not there",
    ),
    Fault(
        "no bytes in a photo",
        photo("b.jpg"),
        f"panels[1].photo (shot 10): b.jpg: the file is empty; {AGAIN}",
        file("b.jpg", b""),
    ),
    Fault(
        "words for a photo",
        photo("b.jpg"),
        f"panels[1].photo (shot 10): b.jpg: this is no photo that can be read ({PHOTOS}); {AGAIN}",
        file("b.jpg", b"soon"),
    ),
    Fault(
        "a sound for a photo",
        photo("a.wav"),
        f"panels[1].photo (shot 10): a.wav: this is no photo that can be read ({PHOTOS}); {AGAIN}",
    ),
    Fault(
        "a program for a photo",
        photo("b.eps"),
        f"panels[1].photo (shot 10): b.eps: this is no photo that can be read ({PHOTOS}); {AGAIN}",
        image("b.eps", "RGB"),
    ),
    *(
        Fault(
            f"half a {name}",
            photo(name),
            f"panels[1].photo (shot 10): {name}: the photo is {what}; {AGAIN}",
            noise(name),
        )
        for name, what in (
            *((f"cut.{kind}", CUT_SHORT) for kind in ("jpg", "png", "webp", "bmp")),
            ("cut.tif", "damaged or cut short"),
        )
    ),
    Fault(
        "a photo changed within",
        photo("b.png"),
        "panels[1].photo (shot 10): b.png: the photo is damaged: some of its bytes are not what"
        f" the camera wrote; {AGAIN}",
        changed("b.png"),
    ),
    Fault(
        "floats for pixels",
        photo("b.tif"),
        "panels[1].photo (shot 10): b.tif: its pixels are stored in a way that is not read (F);"
        f" save it as JPEG, or as PNG or TIFF with 8 or 16 bits a channel; {AGAIN}",
        image("b.tif", "F"),
    ),
    Fault(
        "more pixels than memory",
        photo("vast.png"),
        f"panels[1].photo (shot 10): vast.png: the photo has too many pixels; {AGAIN}",
        vast,
    ),
    Fault(
        "no such sound",
        sound("bell.wav"),
        "panels[1].sounds[1].file (shot 10): bell.wav is not there",
    ),
    Fault(
        "no such recording",
        one("dialogue: [{who: Odd, line: Late., voice: §odd.wav}]"),
        "panels[1].dialogue[1].voice (shot 10): odd.wav is not there",
    ),
    Fault(
        "no bytes in a sound",
        sound("b.wav"),
        f"panels[1].sounds[1].file (shot 10): b.wav: the file is empty; {EXPORT}",
        file("b.wav", b""),
    ),
    Fault(
        "words for a sound",
        sound("b.wav"),
        "panels[1].sounds[1].file (shot 10): b.wav: this is text and no sound; allowed:"
        f" {SOUNDS}; {EXPORT}",
        file("b.wav", b"soon"),
    ),
    Fault(
        "a photo for a sound, and rightly for a photo too",
        sound("a.jpg"),
        "panels[1].sounds[1].file (shot 10): a.jpg: the file is damaged or no sound;"
        f" allowed: {SOUNDS}; {EXPORT}",
    ),
    Fault(
        "half a sound",
        sound("a.wav"),
        "panels[1].sounds[1].file (shot 10): a.wav: the file breaks off at 0.50 s of the 1.00 s"
        " that its"
        f" header states; {EXPORT}",
        lambda board: halve(board.path("a.wav")),
    ),
    Fault(
        "music outside",
        top("music: [{file: §../tide.wav}]"),
        f"music[1].file: ../tide.wav lies outside the board's folder; {OUTSIDE}",
    ),
    Fault(
        "no such font",
        top("lettering: {font: §quay.ttf}"),
        "lettering.font: quay.ttf is not there",
    ),
    *(
        Fault(
            f"{what} for a font",
            top("lettering: {font: §quay.ttf}"),
            "lettering.font: quay.ttf: this is no font that can be read;"
            " allowed: TrueType and OpenType (.ttf, .otf, .ttc);"
            " name another font, or none for the built-in one",
            file("quay.ttf", data),
        )
        for what, data in (("no bytes", b""), ("words", b"soon"))
    ),
]
