"""The curve of sRGB (IEC 61966-2-1): codes to light and back, and light raised by stops."""

from __future__ import annotations

from functools import cache, lru_cache

__all__ = ["WEIGHTS", "Gains", "as_code", "as_light", "raised"]

Gains = tuple[int, int, int]
"""By how much red, green and blue light are raised, in hundredths of a stop."""
WEIGHTS = (0.2126, 0.7152, 0.0722)
"""Of red, green and blue light in brightness (Rec. ITU-R BT.709)."""


@cache
def as_light(code: int) -> float:
    """Return the light (0 to 1) that a code from 0 to 255 stands for.

    >>> as_light(0), round(as_light(188), 3), as_light(255)
    (0.0, 0.503, 1.0)
    """
    value = code / 255
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def as_code(light: float) -> int:
    """Return the code from 0 to 255 nearest to a light; more than 1 burns out.

    >>> as_code(0.5), as_code(1.7)
    (188, 255)
    """
    light = min(1.0, max(0.0, light))
    value = light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055
    return int(value * 255 + 0.5)


@lru_cache(maxsize=256)
def raised(gains: Gains) -> tuple[int, ...]:
    """Return what becomes of the codes 0 to 255 of red, then green, then blue.

    A stop doubles the light.

    >>> table = raised((100, 0, -100))
    >>> len(table), table[100], table[256 + 100], table[512 + 100]
    (768, 138, 100, 71)
    """
    return tuple(
        as_code(as_light(code) * 2 ** (gain / 100)) for gain in gains for code in range(256)
    )
