"""Damage within the coded picture of a JPEG, which decoders take for picture and pass over.

A card that fails loses whole clusters: zeros or foreign bytes then stand where the picture was,
and the file keeps its length. Markers are those of ITU-T T.81, annex B.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

__all__ = ["CLUSTER", "end_of_picture", "is_scan_damaged"]

CLUSTER = 512
"""Bytes of the smallest part of a file that a card loses."""
_LOST = bytes(CLUSTER)

_EOI, _SOS, _DHT = 0xD9, 0xDA, 0xC4
_BETWEEN_SCANS = frozenset((_DHT, 0xCC, _SOS, 0xDB, 0xDC, 0xDD, *range(0xE0, 0xF0), 0xFE))
"""DHT, DAC, SOS, DQT, DNL, DRI, APPn, COM (T.81, B.2.1 and B.2.4)."""
_FRAMES = frozenset(range(0xC0, 0xD0)) - {_DHT, 0xC8, 0xCC}
_HUFFMAN = (0xC0, 0xC1, 0xC2)
"""SOF0 to SOF2; the others that are read code arithmetically."""
_RESTARTS = frozenset(bytes((marker,)) for marker in range(0xD0, 0xD8))
_NOT_CODED = re.compile(rb"\xff(?![\x00\xd0-\xd7])\xff*(.?)", re.DOTALL)
"""Within coded data 0xFF stands before a stuffed zero only, or in RSTm (T.81, B.1.1.5)."""
_FILL, _ZEROS = re.compile(rb"\xff+"), re.compile(rb"\x00+")


def is_scan_damaged(data: bytes) -> bool:
    """Whether a JPEG file that can be decoded holds bytes that its coder cannot have written.

    Only the first picture of the file is looked at, up to its EOI. What takes decoding to be
    found, as coded data of another photo, is left to `jpegcode`.

    >>> head, scan = bytes.fromhex("ffd8 ffda 0002"), b"drawing" * 300
    >>> is_scan_damaged(head + scan + bytes.fromhex("ffd9"))
    False
    >>> is_scan_damaged(head + scan + bytes.fromhex("ff3a") + scan + bytes.fromhex("ffd9"))
    True
    """
    at, frame, has_scan = 2, 0, False
    zero_codes: dict[int, int] = {}
    while fill := _FILL.match(data, at):
        at = fill.end()
        marker = data[at] if at < len(data) else _EOI
        if marker == _EOI:
            return False
        if has_scan and marker not in _BETWEEN_SCANS:
            return True
        body = data[at + 3 : at + 1 + int.from_bytes(data[at + 1 : at + 3], "big")]
        at += 3 + len(body)
        if marker in _FRAMES:
            frame = marker
        elif marker == _DHT:
            zero_codes.update(_zero_codes(body))
        elif marker == _SOS:
            end = _end_of_scan(data, at)
            if _has_lost_cluster(data, at, end, _may_be_blank(frame, body, zero_codes)):
                return True
            at, has_scan = end, True
    return has_scan and at < len(data)


def end_of_picture(data: bytes) -> int:
    """Return where the first picture's EOI stands, with the bytes that fill up to it.

    Without one, it is where the file ends, or where its order does.

    >>> end_of_picture(bytes.fromhex("ffd8 ffe1 0004 ffd9 ffda 0002 3a ff00 ffd0 3a ffff d9 ffd9"))
    18
    """
    at = 2
    while fill := _FILL.match(data, at):
        marker = data[fill.end()] if fill.end() < len(data) else _EOI
        if marker == _EOI:
            break
        at = fill.end() + 1
        at += int.from_bytes(data[at : at + 2], "big")
        if marker == _SOS:
            at = _end_of_scan(data, at)
    return at


def _end_of_scan(data: bytes, at: int) -> int:
    """Return where the marker stands that ends a scan, with the bytes that fill up to it."""
    while found := _NOT_CODED.search(data, at):
        if found[1] not in _RESTARTS:
            return found.start()
        at = found.end()
    return len(data)


def _zero_codes(tables: bytes) -> Iterator[tuple[int, int]]:
    """Yield the class and number of Huffman tables, and the value whose code is all zeros.

    The first value of a table has it (T.81, C.2).
    """
    at = 0
    while at + 17 < len(tables):
        yield tables[at], tables[at + 17]
        at += 17 + sum(tables[at + 1 : at + 17])


def _may_be_blank(frame: int, head: bytes, zero_codes: dict[int, int]) -> bool:
    """Whether zeros throughout may be picture in a scan: a blank one, or one of single bits."""
    count = head[0] if head else 0
    spectral = head[1 + 2 * count :]
    if frame not in _HUFFMAN or len(spectral) < 3 or spectral[2] >> 4:
        return True
    selectors = head[2 : 1 + 2 * count : 2]
    if spectral[0] == 0 and any(zero_codes.get(each >> 4, 0) > 1 for each in selectors):
        return False  # Steps of brightness, all downwards.
    # An end of block has a size of 0; any other code makes detail.
    return not spectral[1] or not any(
        zero_codes.get(0x10 | each & 0x0F, 0) & 0x0F for each in selectors
    )


def _has_lost_cluster(data: bytes, at: int, end: int, may_be_blank: bool) -> bool:
    """Whether a part of the file is zeros that cannot be picture.

    Where zeros may be, those that begin and end as clusters of a card do are none.
    """
    while (at := data.find(_LOST, at, end)) >= 0:
        zeros = _ZEROS.match(data, at, end)
        past = zeros.end() if zeros else end
        if not may_be_blank or at % CLUSTER == past % CLUSTER == 0:
            return True
        at = past
    return False
