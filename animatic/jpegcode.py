"""Damage that shows only while a JPEG is decoded: its coded data do not come out even.

Where bytes are lost, doubled or from another photo, the decoder runs out of data before the picture
is full, has data left, or meets a code that no table has. libjpeg warns of it and goes on, and
Pillow passes the warnings over. Markers and codes are those of ITU-T T.81.
"""

from __future__ import annotations

import re
from collections import Counter

from animatic.jpegscan import end_of_picture

__all__ = ["is_code_damaged"]

_DAMAGE = "Corrupt JPEG data: "
"""How libjpeg's warnings of the coded data begin. What it says of heads, and of kinds of JPEG that
it does not read, is no damage."""
_EOI = b"\xff\xd9"
_NO_END = "Premature end of JPEG file"
_TOO_SHORT = "premature end of data segment"
_LEFT = re.compile(r"(\d+) extraneous bytes before marker 0xd9")
_FEW = 16
"""Bytes that a device may write too many before EOI without any damage; some write 8."""
_EARLY = bytes(2)
"""What makes up for bits that a device cuts off before EOI."""


def is_code_damaged(data: bytes) -> bool:
    """Whether the coded data of a JPEG's first picture come out uneven.

    Not damage is what devices are known to write at the very end of a whole picture: no EOI, EOI
    some bits early, a few bytes before it, or more of them that are no coded picture.

    >>> import io
    >>> from PIL import Image
    >>> file = io.BytesIO()
    >>> Image.radial_gradient("L").save(file, "JPEG", quality=95)
    >>> data = file.getvalue()
    >>> is_code_damaged(data), is_code_damaged(data[:2000] + data[2300:])
    (False, True)
    """
    fault = _fault(data)
    if not fault.startswith((_DAMAGE, _NO_END)):
        return False
    # libjpeg tells its last warning only: with an even end, those before it are told.
    coded = data[: end_of_picture(data)]
    fault = _fault(coded + _EOI)
    if _TOO_SHORT in fault:
        coded += _EARLY
        fault = _fault(coded + _EOI)
    # The decoder has read ahead and so tells too few: what it had read comes next.
    while (left := _LEFT.search(fault)) and _is_filling(coded[-int(left[1]) :]):
        coded = coded[: -int(left[1])]
        fault = _fault(coded + _EOI)
    return fault.startswith(_DAMAGE)


def _is_filling(left: bytes) -> bool:
    """Whether what is left before EOI is no picture: little, text, or mostly of one value."""
    if len(left) <= _FEW or left.isascii():
        return True
    return 3 * max(Counter(left).values()) >= len(left)


def _fault(data: bytes) -> str:
    """Return the last that the decoder says against a file, or nothing.

    The picture is made at an eighth of its size; all of its coded data are read for that.
    """
    import simplejpeg

    try:
        simplejpeg.decode_jpeg(
            data, "GRAY", fastdct=True, fastupsample=True, min_height=1, min_width=1, strict=True
        )
    except MemoryError:
        raise
    except Exception as fault:
        return str(fault)
    return ""
