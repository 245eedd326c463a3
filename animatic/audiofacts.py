"""What a sound file holds, in numbers; loads no library, as boards are read without one."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

__all__ = ["AudioFacts"]


@dataclass(frozen=True, slots=True)
class AudioFacts:
    """What a sound file holds: samples a channel, their rate in Hz, and its channels.

    >>> AudioFacts(frames=66_150, sample_rate=44_100, channels=2).seconds
    Fraction(3, 2)
    """

    frames: int
    sample_rate: int
    channels: int

    @property
    def seconds(self) -> Fraction:
        """The exact length."""
        return Fraction(self.frames, self.sample_rate)
