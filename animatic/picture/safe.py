"""Safe areas: the part of the picture that no screen cuts off (SMPTE ST 2046-1)."""

from __future__ import annotations

from animatic.frames import ceil_div

__all__ = ["action_safe", "title_safe"]

_ACTION, _TITLE = 93, 90
"""Percent of width and height."""


def _middle(size: tuple[int, int], percent: int) -> tuple[int, int, int, int]:
    """Return left, top, right, bottom (exclusive): the whole pixels inside the middle part."""
    width, height = size
    x, y = ceil_div(width * (100 - percent), 200), ceil_div(height * (100 - percent), 200)
    return x, y, width - x, height - y


def title_safe(size: tuple[int, int]) -> tuple[int, int, int, int]:
    """Return left, top, right, bottom (exclusive) of the middle 90 %, where lettering stays.

    >>> title_safe((1920, 1080))
    (96, 54, 1824, 1026)
    """
    return _middle(size, _TITLE)


def action_safe(size: tuple[int, int]) -> tuple[int, int, int, int]:
    """Return left, top, right, bottom (exclusive) of the middle 93 %, where the action stays.

    >>> action_safe((1920, 1080))
    (68, 38, 1852, 1042)
    """
    return _middle(size, _ACTION)
