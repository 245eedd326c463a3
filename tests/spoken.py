"""Recordings as they come back: a tone between two seconds of silence."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from boards import BoardFolder

__all__ = ["spoken"]


def spoken(back: BoardFolder, name: str, seconds: float = 1.0) -> Path:
    """Write a second of silence, a tone so long, and a second of silence."""
    tone = 6000 * np.sin(np.arange(int(seconds * 48_000)) / 20)
    silence = np.zeros(48_000)
    return back.wave(name, np.concatenate([silence, tone, silence]).astype("<i2"), 48_000)
