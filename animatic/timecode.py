"""Names for frames: SMPTE ST 12-1 labels, drop-frame and non-drop, and film footage."""

from __future__ import annotations

import re

from animatic.frames import Rate

__all__ = ["feet_from_frames", "frames_from_feet", "frames_from_label", "label_from_frames"]

_LABEL = re.compile(r"(\d\d):(\d\d):(\d\d)([:;])(\d\d)", re.ASCII)
_FEET = re.compile(r"(\d+)\+(\d\d?)", re.ASCII)
FRAMES_A_FOOT = 16
"""35 mm film, four perforations a frame (ISO 491)."""


def _dropped(rate: Rate) -> int:
    """Return the labels left out at each minute that does not divide by ten."""
    if not rate.has_drop_frame:
        raise ValueError(f"there is no drop-frame count at {rate} frames a second")
    return rate.nominal // 15


def label_from_frames(frames: int, rate: Rate, *, drop: bool = False) -> str:
    """Return the label of a frame counted from 00:00:00:00; it wraps after 24 hours.

    Drop-frame labels carry a semicolon before the frames. ValueError for a negative frame,
    or for drop-frame at a rate that has none.

    >>> label_from_frames(1440, Rate.named("24"))
    '00:01:00:00'
    >>> label_from_frames(1800, Rate.named("29.97"), drop=True)
    '00:01:00;02'
    """
    if frames < 0:
        raise ValueError(f"frame {frames}; frames count from 0")
    nominal = rate.nominal
    if drop:
        dropped = _dropped(rate)
        minute, ten = nominal * 60 - dropped, nominal * 600 - 9 * dropped
        tens, rest = divmod(frames % (144 * ten), ten)
        # The first minute of every ten keeps all its labels.
        minutes = max(0, rest - dropped) // minute
        number = frames % (144 * ten) + dropped * (9 * tens + minutes)
    else:
        number = frames % (nominal * 86_400)
    seconds, frame = divmod(number, nominal)
    mark = ";" if drop else ":"
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}{mark}{frame:02}"


def frames_from_label(label: str, rate: Rate) -> int:
    """Return the frame that a label names; a semicolon before the frames means drop-frame.

    ValueError says what is wrong with a label that names no frame.

    >>> frames_from_label("01:00:00:00", Rate.named("25"))
    90000
    >>> frames_from_label("00:01:00;00", Rate.named("29.97"))
    Traceback (most recent call last):
    ValueError: 00:01:00;00 is left out by drop-frame; the next label is 00:01:00;02
    """
    match = _LABEL.fullmatch(label)
    if not match:
        raise ValueError(f"{label} is no timecode; it looks like 01:00:00:00")
    hour, minute, second, frame = (int(match[i]) for i in (1, 2, 3, 5))
    drop, nominal = match[4] == ";", rate.nominal
    if hour > 23 or minute > 59 or second > 59 or frame >= nominal:
        raise ValueError(
            f"{label} is no timecode at {rate}; hours to 23, minutes and seconds to 59,"
            f" frames to {nominal - 1}"
        )
    minutes = hour * 60 + minute
    number = (minutes * 60 + second) * nominal + frame
    if not drop:
        return number
    dropped = _dropped(rate)
    if second == 0 and frame < dropped and minute % 10:
        after = f"{hour:02}:{minute:02}:{second:02};{dropped:02}"
        raise ValueError(f"{label} is left out by drop-frame; the next label is {after}")
    return number - dropped * (minutes - minutes // 10)


def feet_from_frames(frames: int) -> str:
    """Return 35 mm feet and frames, 16 frames a foot (ISO 491).

    >>> feet_from_frames(1439), feet_from_frames(16)
    ('89+15', '1+00')
    """
    if frames < 0:
        raise ValueError(f"frame {frames}; frames count from 0")
    feet, rest = divmod(frames, FRAMES_A_FOOT)
    return f"{feet}+{rest:02}"


def frames_from_feet(text: str) -> int:
    """Return the frames in 35 mm feet+frames; ValueError where it is none.

    >>> frames_from_feet("3+08")
    56
    """
    match = _FEET.fullmatch(text)
    if not match or int(match[2]) >= FRAMES_A_FOOT:
        raise ValueError(f"{text} is no 35 mm length; feet+frames with frames to 15, as 3+08")
    return int(match[1]) * FRAMES_A_FOOT + int(match[2])
