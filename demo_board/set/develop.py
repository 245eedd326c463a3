"""From traced light to a photograph: depth of field, glow, tone, vignette, grain, JPEG, EXIF."""

from __future__ import annotations

import io
import math
import os
import zlib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
from photos import RIGS, Photo, Rig
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

DEPTH_SCALE = 160.0  # cm: fog distance of the depth pass
DAY = "2026:02:21"
OFFSET = "+01:00"
MOST_BYTES = 305_000
LAYERS = 14
SENSITIVITY = 200  # ISO
LIGHT = 0.757  # scales times to what lamps of this kind need: 1/30 s at f/3.2 on the quay


@dataclass(frozen=True, slots=True)
class Frame:
    """Linear light (height, width, 3), distance from the lens in cm, the focus distance."""

    light: np.ndarray
    distance: np.ndarray
    focus: float


def blur_radius(frame: Frame, aperture: float, angle: float, width_px: int) -> np.ndarray:
    """Signed radius of the circle of confusion in pixels: negative in front of the focus.

    Thin lens far from its focal length: the circle's diameter, measured in the plane of
    focus, is aperture * |distance - focus| / distance.
    """
    plane_width = 2 * frame.focus * math.tan(math.radians(angle) / 2)
    circle = aperture * (frame.distance - frame.focus) / np.maximum(frame.distance, 1.0)
    radius: np.ndarray = circle / 2 * width_px / plane_width
    return radius


def disc_blur(planes: np.ndarray, radius: float) -> np.ndarray:
    """Planes (height, width, n) blurred by an even disc with a soft rim, edges reflected."""
    if radius < 0.35:
        return planes
    pad = math.ceil(radius) + 2
    span = np.arange(-pad, pad + 1)
    far = np.hypot(span[:, None], span[None, :])
    kernel = np.clip(radius + 0.5 - far, 0, 1) * (0.8 + 0.2 * np.minimum(far / radius, 1.0))
    kernel /= kernel.sum()
    padded = np.pad(planes, ((pad, pad), (pad, pad), (0, 0)), mode="reflect")
    shape = tuple(fast_length(n + 2 * pad) for n in padded.shape[:2])
    spectrum = np.fft.rfft2(kernel, shape)
    out = np.empty_like(planes)
    for n in range(planes.shape[2]):
        full = np.fft.irfft2(np.fft.rfft2(padded[..., n], shape) * spectrum, shape)
        out[..., n] = full[2 * pad : 2 * pad + planes.shape[0], 2 * pad : 2 * pad + planes.shape[1]]
    return out


def fast_length(n: int) -> int:
    """The next length with no prime factor over 5, quick to transform."""
    while True:
        rest = n
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return n
        n += 1


def depth_of_field(light: np.ndarray, radius: np.ndarray, most: float) -> np.ndarray:
    """Blur by layers of like radius and lay them over one another, the farthest first."""
    radius = np.clip(radius, -most, most)
    # spaced by the square root: small blurs are told apart finely
    steps = np.linspace(-1, 1, 2 * LAYERS + 1)
    centres = np.sign(steps) * steps**2 * most
    place = np.interp(radius, centres, np.arange(len(centres)))
    out = np.zeros_like(light)
    weight = np.zeros((*light.shape[:2], 1), dtype=np.float32)
    for n in range(len(centres) - 1, -1, -1):
        share = np.clip(1 - np.abs(place - n), 0, 1)[..., None].astype(np.float32)
        if float(share.max()) < 0.01:
            continue
        spread = disc_blur(np.concatenate([light * share, share], axis=2), abs(centres[n]))
        spread = np.maximum(spread, 0)
        behind = 1 - np.clip(spread[..., 3:], 0, 1)
        out = out * behind + spread[..., :3]
        weight = weight * behind + spread[..., 3:]
    blended: np.ndarray = out / np.maximum(weight, 1e-3)
    return blended


def soft(planes: np.ndarray, sigma: float) -> np.ndarray:
    """Gaussian blur by the spectrum, for the glow round lamps."""
    h, w = planes.shape[:2]
    fy = np.fft.fftfreq(h)[:, None]
    fx = np.fft.rfftfreq(w)[None, :]
    gain = np.exp(-2 * (math.pi * sigma) ** 2 * (fy**2 + fx**2))
    out = np.empty_like(planes)
    for n in range(planes.shape[2]):
        out[..., n] = np.fft.irfft2(np.fft.rfft2(planes[..., n]) * gain, (h, w))
    kept: np.ndarray = np.maximum(out, 0)
    return kept


def tone(light: np.ndarray) -> np.ndarray:
    """Linear light to display values 0..1: a soft shoulder, a short toe, the sRGB curve."""
    bright = light.max(axis=2, keepdims=True)
    rolled = 1 - np.exp(-1.25 * light)
    rolled_hue = light * (1 - np.exp(-1.25 * bright)) / np.maximum(bright, 1e-6)
    mixed = 0.55 * rolled + 0.45 * rolled_hue
    coded = np.where(
        mixed <= 0.0031308, 12.92 * mixed, 1.055 * np.maximum(mixed, 1e-9) ** (1 / 2.4) - 0.055
    )
    shown: np.ndarray = np.clip(
        coded + 0.10 * np.sin(2 * math.pi * (coded - 0.5)) * coded * 0.7, 0, 1
    )
    return shown


def resize(planes: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Lanczos, plane by plane in floats."""
    return np.stack(
        [
            np.asarray(Image.fromarray(planes[..., n]).resize(size, Image.Resampling.LANCZOS))
            for n in range(planes.shape[2])
        ],
        axis=2,
    )


def develop(photo: Photo, rig: Rig, frame: Frame, size: tuple[int, int]) -> Image.Image:
    """One finished upright picture of the delivered size."""
    width = frame.light.shape[1]
    radius = blur_radius(frame, photo.camera.aperture, photo.camera.angle, width)
    light = np.minimum(frame.light, 5.0)
    light = depth_of_field(light, radius, width * 0.022)
    light = light * rig.exposure * np.array(rig.white, dtype=np.float32)
    bright = np.maximum(light - 0.9, 0)
    glow = soft(bright, width * 0.006) + soft(bright, width * 0.03) + soft(bright, width * 0.1)
    light = light + rig.glow * glow + np.array(rig.shadow_tint, dtype=np.float32)
    if photo.portrait:
        size = (size[1], size[0])
    shown = np.clip(resize(tone(light).astype(np.float32), size), 0, 1)
    y = (np.arange(size[1]) - size[1] / 2)[:, None] / (max(size) / 2)
    x = (np.arange(size[0]) - size[0] / 2)[None, :] / (max(size) / 2)
    shown *= (1 - 0.20 * np.clip((x**2 + y**2) / 1.44, 0, 1) ** 1.1)[..., None]
    noise = np.random.default_rng(zlib.crc32(photo.name.encode())).standard_normal
    grey = shown.mean(axis=2, keepdims=True)
    strength = 0.0045 + 0.0085 * np.sqrt(np.clip(grey * (1 - grey), 0, 1))
    grain = soft(noise((size[1], size[0], 1)).astype(np.float32) + 8, 0.55) - 8
    tinted = noise((size[1] // 2, size[0] // 2, 3)).astype(np.float32)
    shown = shown + strength * (1.25 * grain + 0.35 * resize(tinted, size))
    return Image.fromarray((np.clip(shown, 0, 1) * 255 + 0.5).astype(np.uint8), "RGB")


def exposed(photo: Photo) -> tuple[Fraction, Fraction]:
    """The time in seconds and the f-number that the camera writes down, as on 36 x 24 mm.

    The opening and the angle of view give the f-number. The time follows from it, since how
    light a print becomes is time x sensitivity / f-number squared, and the rig says how light.
    """
    rig, camera = photo.rig or RIGS[photo.setup], photo.camera
    focal = 1.8 / math.tan(math.radians(camera.angle) / 2)  # cm
    number = Fraction(round(10 * focal / camera.aperture), 10)
    seconds = rig.exposure * LIGHT * float(number) ** 2 / SENSITIVITY
    return Fraction(seconds).limit_denominator(1000), number


def exif_of(photo: Photo) -> Image.Exif:
    """When and how it was taken, and which way is up. Tag numbers: Exif 2.32, CIPA DC-008."""
    clock, fraction = photo.time.split(".")
    stamp = f"{DAY} {clock}"
    exif = Image.Exif()
    exif[0x0112] = 6 if photo.portrait else 1  # Orientation
    exif[0x0132] = stamp  # DateTime
    exif[0x010E] = f"Low Water, {photo.setup}: {photo.shows}"  # ImageDescription
    detail = exif.get_ifd(0x8769)
    seconds, number = exposed(photo)
    detail[0x829A] = IFDRational(seconds.numerator, seconds.denominator)  # ExposureTime
    detail[0x829D] = IFDRational(number.numerator, number.denominator)  # FNumber
    detail[0x8827] = SENSITIVITY  # PhotographicSensitivity
    detail[0xA402] = detail[0xA403] = 1  # ExposureMode, WhiteBalance: both set by hand
    detail[0x9003] = detail[0x9004] = stamp  # DateTimeOriginal, DateTimeDigitized
    detail[0x9010] = detail[0x9011] = detail[0x9012] = OFFSET  # OffsetTime...
    detail[0x9290] = detail[0x9291] = detail[0x9292] = fraction  # SubSecTime...
    detail[0xA001] = 1  # ColorSpace sRGB
    return exif


def store(photo: Photo, picture: Image.Image, path: Path) -> int:
    """Write the JPEG beside its target and rename; the best quality that fits. Bytes written."""
    if photo.portrait:
        picture = picture.transpose(Image.Transpose.ROTATE_90)
    for quality in range(88, 40, -2):
        held = io.BytesIO()
        picture.save(
            held, "JPEG", quality=quality, subsampling=2, optimize=True, progressive=True,
            exif=exif_of(photo),
        )  # fmt: skip
        if held.tell() <= MOST_BYTES:
            break
    part = path.with_suffix(".part")
    part.write_bytes(held.getvalue())
    os.replace(part, path)
    return held.tell()
