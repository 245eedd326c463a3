"""Picture sizes as people write them."""

from __future__ import annotations

import re

__all__ = ["ALLOWED", "parse_size"]

ALLOWED = "width x height in pixels, as 1920x1080"
_LEAST, _MOST = (128, 72), 7680


def parse_size(text: str) -> tuple[int, int]:
    """Return (width, height) in pixels. ValueError(found, allowed, hint) where it is none.

    Both are even, as the film's colour planes are of half the size.

    >>> parse_size("1280x720")
    (1280, 720)
    """
    match = re.fullmatch(r"(\d{1,5})\s*x\s*(\d{1,5})", text)
    if not match:
        raise ValueError(text or "an empty text", ALLOWED, _hint(text))
    width, height = int(match[1]), int(match[2])
    if width % 2 or height % 2:
        raise ValueError(text, "even numbers", f"write {width // 2 * 2}x{height // 2 * 2}")
    if not (_LEAST[0] <= width <= _MOST and _LEAST[1] <= height <= _MOST):
        raise ValueError(text, f"from {_LEAST[0]}x{_LEAST[1]} to {_MOST}x{_MOST}", "")
    return width, height


_NAMED = {"hd": "1280x720", "720p": "1280x720", "full hd": "1920x1080", "fullhd": "1920x1080"}
_NAMED |= {"1080p": "1920x1080", "2k": "2048x1080", "4k": "3840x2160", "uhd": "3840x2160"}


def _hint(text: str) -> str:
    match = re.fullmatch(r"(\d{1,5})\s*(?:[xX\u00d7*:/,]|by)\s*(\d{1,5})(?:\s*px)?", text.strip())
    meant = f"{match[1]}x{match[2]}" if match else _NAMED.get(text.strip().lower(), "")
    return f"write {meant}" if meant else ""
