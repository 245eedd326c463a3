"""Contrast of lettering as WCAG 2.2 (W3C, 2023) defines it: relative luminance and ratio."""

from __future__ import annotations

from animatic.srgb import WEIGHTS, as_light

__all__ = ["Colour", "contrast", "least_opacity", "over", "relative_luminance"]

Colour = tuple[int, int, int]
"""sRGB, 0 to 255."""


def relative_luminance(colour: Colour) -> float:
    """Return the relative luminance of an sRGB colour, 0 for black to 1 for white.

    WCAG 2.2: 0.2126 R + 0.7152 G + 0.0722 B of the linearised channels.

    >>> round(relative_luminance((255, 255, 0)), 4)
    0.9278
    """
    return sum(weight * as_light(code) for weight, code in zip(WEIGHTS, colour, strict=True))


def contrast(one: Colour, other: Colour) -> float:
    """Return the contrast ratio of two colours, 1 to 21; 4.5 is WCAG's least for text (AA).

    >>> round(contrast((0x76, 0x76, 0x76), (255, 255, 255)), 4)
    4.5422
    """
    low, high = sorted((relative_luminance(one), relative_luminance(other)))
    return (high + 0.05) / (low + 0.05)


def over(box: Colour, opacity: int, under: Colour) -> Colour:
    """Return the colour of a box of an opacity of 0 to 255 that lies over another colour.

    >>> over((0, 0, 0), 191, (255, 255, 255))
    (64, 64, 64)
    """
    red, green, blue = (
        (b * opacity + u * (255 - opacity) + 127) // 255 for b, u in zip(box, under, strict=True)
    )
    return red, green, blue


def least_opacity(ink: Colour, ratio: float) -> int:
    """Return the least opacity (0 to 255) of a black box that holds a ratio over any photo.

    White is the worst of all photos under light ink: no other colour lightens the box more.
    ValueError where not even a solid box would do.

    >>> least_opacity((255, 255, 255), 4.5)
    137
    """
    for opacity in range(256):
        if contrast(ink, over((0, 0, 0), opacity, (255, 255, 255))) >= ratio:
            return opacity
    raise ValueError(f"{ink} does not reach a contrast of {ratio} on black")
