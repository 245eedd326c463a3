"""Colour profiles against ImageCms itself and against colour-science 0.4."""

from __future__ import annotations

import itertools
import warnings
from io import BytesIO
from pathlib import Path

import icc
import numpy as np
import pytest
import skimage
from PIL import Image, ImageCms

from animatic.picture import PictureMaker, load_photo
from animatic.profile import to_srgb

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # It says which of its parts are not installed.
    import colour

D50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
# CIE L*a*b* (D50) of the solids of offset print on coated paper, ISO 12647-2, from memory;
# the paper counts as white, as it does in a profile's tables.
PAPER = (100, 0, 0)
INKS = {"C": (55, -37, -50), "M": (48, 74, -3), "Y": (89, -5, 93)}
OVERPRINTS = {"MY": (47, 68, 48), "CY": (50, -65, 27), "CM": (24, 22, -46), "CMY": (23, 0, 0)}
BLACK = (16, 0, 0)


def press() -> bytes:
    solids = {}
    for bits in itertools.product((0, 1), repeat=4):
        name = "".join(ink for ink, on in zip("CMY", bits, strict=False) if on)
        solids[bits] = BLACK if bits[3] else {"": PAPER, **INKS, **OVERPRINTS}[name]
    # A yellowish paper: its colour must not show, as white must stay white.
    return icc.cmyk_profile(solids, icc.D50 * (0.88, 0.88, 0.7))


def colours() -> np.ndarray:
    """729 colours, as pixels of 27 x 27."""
    steps = np.array([0, 32, 64, 96, 128, 160, 192, 224, 255], np.uint8)
    return np.array(list(itertools.product(steps, repeat=3)), np.uint8).reshape(27, 27, 3)


def by_imagecms(image: Image.Image, profile: bytes) -> np.ndarray:
    made = ImageCms.profileToProfile(
        image,
        ImageCms.ImageCmsProfile(BytesIO(profile)),
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        outputMode="RGB",
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )
    assert made is not None
    return np.asarray(made)


def load(path: Path) -> np.ndarray:
    return np.asarray(load_photo(path)).astype(int)


@pytest.mark.parametrize(
    ("profile", "space"),
    [(icc.DISPLAY_P3, "Display P3"), (icc.ADOBE_RGB, "Adobe RGB (1998)")],
)
def test_wide_gamuts_become_srgb(tmp_path: Path, profile: bytes, space: str) -> None:
    path = tmp_path / "photo.png"
    Image.fromarray(colours()).save(path, icc_profile=profile)
    found = load(path)
    assert abs(found - by_imagecms(Image.fromarray(colours()), profile)).max() == 0
    wanted = colour.RGB_to_RGB(
        colours() / 255,
        space,
        "sRGB",
        apply_cctf_decoding=True,
        apply_cctf_encoding=True,
        chromatic_adaptation_transform="Bradford",
    )
    # What sRGB cannot show is clipped by both.
    assert abs(found - np.clip(wanted * 255, 0, 255)).max() <= 2.0
    # Not what comes of leaving the profile out.
    assert abs(colours().astype(int) - found).max() > 30


@pytest.mark.parametrize(
    ("name", "profile"), [("rocket.jpg", "Adobe RGB (1998)"), ("page.png", "Dot Gain 20%")]
)
def test_photographs_with_profiles_of_others(name: str, profile: str) -> None:
    """Two of scikit-image's sample photographs carry profiles."""
    path = Path(skimage.__file__).parent / "data" / name
    with Image.open(path) as image:
        inside = image.info["icc_profile"]
        made = ImageCms.ImageCmsProfile(BytesIO(inside))
        assert ImageCms.getProfileDescription(made).strip() == profile
        wanted, stored = by_imagecms(image, inside), np.asarray(image.convert("RGB"))
    assert np.array_equal(load(path), wanted)
    assert abs(load(path) - stored).max() > 20


def test_a_copy_of_srgb_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "photo.png"
    Image.fromarray(colours()).save(path, icc_profile=icc.SRGB)
    assert np.array_equal(load(path), colours())
    image = Image.fromarray(colours())
    assert to_srgb(image, icc.SRGB) is image


@pytest.mark.parametrize("junk", [b"junk", b"\0" * 400, icc.SRGB[:200], icc.GREY_18, b"x" * 4000])
def test_a_profile_that_does_not_fit_is_taken_as_srgb(tmp_path: Path, junk: bytes) -> None:
    path = tmp_path / "photo.png"
    Image.fromarray(colours()).save(path, icc_profile=junk)
    assert np.array_equal(load(path), colours())


def test_grey_with_a_grey_profile(tmp_path: Path) -> None:
    path = tmp_path / "photo.png"
    ramp = np.arange(256, dtype=np.uint8).reshape(1, 256)
    Image.fromarray(ramp).save(path, icc_profile=icc.GREY_18)
    found = load(path)
    wanted = colour.cctf_encoding((ramp / 255) ** (461 / 256), function="sRGB") * 255
    assert abs(found - wanted[..., None]).max() <= 1.5
    assert abs(found[..., 0] - ramp).max() > 10


def test_grey_with_a_colour_profile(tmp_path: Path) -> None:
    """Such files are common; their grey is taken as sRGB."""
    path = tmp_path / "photo.png"
    ramp = np.arange(256, dtype=np.uint8).reshape(1, 256)
    Image.fromarray(ramp).save(path, icc_profile=icc.ADOBE_RGB)
    assert np.array_equal(load(path)[..., 1], ramp)


def cmyk(tmp_path: Path, profile: bytes | None, kind: str) -> tuple[Path, Image.Image]:
    """Patches of 16 x 16 pixels: all sixteen solids, and half tones."""
    patches = list(itertools.product((0, 255), repeat=4))
    patches += [(128, 0, 0, 0), (0, 128, 0, 0), (0, 0, 128, 0), (0, 0, 0, 128)]
    image = Image.new("CMYK", (16 * len(patches), 16))
    for place, patch in enumerate(patches):
        image.paste(patch, (16 * place, 0, 16 * place + 16, 16))
    path = tmp_path / f"photo.{kind}"
    more = {"quality": 100, "subsampling": 0} if kind == "jpg" else {}
    image.save(path, **more, **({"icc_profile": profile} if profile else {}))
    return path, image


@pytest.mark.parametrize("kind", ["jpg", "tif"])
def test_cmyk_with_a_profile(tmp_path: Path, kind: str) -> None:
    path, image = cmyk(tmp_path, press(), kind)
    found = load(path)[8, 8::16]
    assert abs(found - by_imagecms(image, press())[8, 8::16]).max() <= 2
    assert found[0].tolist() == [255, 255, 255]
    # Black point compensation: the darkest print is the picture's black.
    assert found[15].max() <= 2
    # The solids by colour-science, with black point compensation (Adobe, 2006, from memory):
    # XYZ is scaled so that the darkest print becomes black. The table's 8 bits cost some codes.
    xyz = {
        name: colour.Lab_to_XYZ(np.array(lab, float), D50)
        for name, lab in {**INKS, **OVERPRINTS, "": PAPER, "K": BLACK}.items()
    }
    for place, name in ((8, "C"), (4, "M"), (2, "Y"), (6, "MY"), (12, "CM"), (0, "")):
        scaled = (xyz[name] - xyz["K"]) / (xyz[""] - xyz["K"]) * xyz[""]
        wanted = np.asarray(colour.XYZ_to_sRGB(scaled, illuminant=D50)) * 255
        assert abs(found[place] - np.clip(wanted, 0, 255)).max() <= 4, name


@pytest.mark.parametrize("kind", ["jpg", "tif"])
def test_cmyk_without_a_profile_is_taken_as_ideal_inks(tmp_path: Path, kind: str) -> None:
    path, _ = cmyk(tmp_path, None, kind)
    found = load(path)[8, 8::16]
    assert abs(found[0] - (255, 255, 255)).max() <= 2
    assert abs(found[8] - (0, 255, 255)).max() <= 2
    assert abs(found[4] - (255, 0, 255)).max() <= 2
    assert abs(found[2] - (255, 255, 0)).max() <= 2
    assert abs(found[1] - (0, 0, 0)).max() <= 2


def test_a_panel_is_in_srgb_whether_it_moves_or_not(tmp_path: Path) -> None:
    from picture_timelines import P, timeline

    from animatic.timeline.model import Box, Move

    path = tmp_path / "photo.jpg"
    Image.new("RGB", (640, 360), (40, 200, 90)).save(path, icc_profile=icc.DISPLAY_P3, quality=98)
    wanted = load(path)[0, 0]
    assert wanted.tolist() != [40, 200, 90]
    move = Move(Box(0.1, 0.1, 0.5, 0.5), "none", 0, 10)
    film = timeline([P(path), P(path, move=move)], size=(64, 36))
    maker = PictureMaker(film)
    for frame in (0, 24, 29, 40):
        assert abs(maker.frame(frame) - wanted).max() <= 1


def test_the_mode_is_rgb_always() -> None:
    for mode in ("L", "RGB", "CMYK"):
        assert to_srgb(Image.new(mode, (2, 2)), None).mode == "RGB"
