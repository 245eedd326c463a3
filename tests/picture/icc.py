"""ICC profiles of our own making, for tests: ICC.1:2001-04 (version 2), big-endian."""

from __future__ import annotations

import struct

import numpy as np

# Bradford adaptation from D65 to the profile connection space, D50.
BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
D50 = np.array([0.9642, 1.0, 0.8249])


def white(x: float, y: float) -> np.ndarray:
    return np.array([x / y, 1.0, (1 - x - y) / y])


def _fixed(*values: float) -> bytes:
    return b"".join(struct.pack(">i", round(value * 65_536)) for value in values)


def _xyz(values: np.ndarray) -> bytes:
    return b"XYZ \0\0\0\0" + _fixed(*values)


def _text(text: str) -> bytes:
    return b"text\0\0\0\0" + text.encode() + b"\0"


def _described(text: str) -> bytes:
    coded = text.encode() + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(coded)) + coded + b"\0" * 78


def _profile(kind: bytes, space: bytes, connection: bytes, tags: dict[bytes, bytes]) -> bytes:
    tags = {
        b"desc": _described("test"),
        b"cprt": _text("none"),
        b"wtpt": _xyz(D50),
        **tags,
    }
    table, body, at = struct.pack(">I", len(tags)), b"", 128 + 4 + 12 * len(tags)
    for name, data in tags.items():
        data += b"\0" * (-len(data) % 4)
        table += name + struct.pack(">II", at + len(body), len(data))
        body += data
    head = struct.pack(">I4sI4s4s4s", at + len(body), b"lcms", 0x02400000, kind, space, connection)
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + b"\0" * 28 + _fixed(*D50)
    return head.ljust(128, b"\0") + table + body


def rgb_profile(
    primaries: list[tuple[float, float]], gamma: float | None, at: tuple[float, float]
) -> bytes:
    """A matrix profile: primaries and white in xy; no gamma means sRGB's curve."""
    columns = np.array([white(*xy) for xy in primaries]).T
    whole = columns * np.linalg.solve(columns, white(*at))
    scale = np.diag((BRADFORD @ D50) / (BRADFORD @ white(*at)))
    to_d50 = np.linalg.inv(BRADFORD) @ scale @ BRADFORD
    red, green, blue = (to_d50 @ whole).T
    return _profile(
        b"mntr",
        b"RGB ",
        b"XYZ ",
        {
            b"rXYZ": _xyz(red),
            b"gXYZ": _xyz(green),
            b"bXYZ": _xyz(blue),
            **{tag: _curve(gamma) for tag in (b"rTRC", b"gTRC", b"bTRC")},
        },
    )


def grey_profile(gamma: float) -> bytes:
    return _profile(b"mntr", b"GRAY", b"XYZ ", {b"kTRC": _curve(gamma)})


def _curve(gamma: float | None) -> bytes:
    if gamma is not None:
        # u8Fixed8: 563 / 256 is the 2.19921875 of Adobe RGB (1998).
        return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))
    coded = np.arange(1024) / 1023
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    values = np.round(linear * 65_535).astype(">u2").tobytes()
    return b"curv\0\0\0\0" + struct.pack(">I", 1024) + values


def cmyk_profile(
    solids: dict[tuple[int, int, int, int], tuple[float, float, float]], paper: np.ndarray
) -> bytes:
    """A press as a table of 2 x 2 x 2 x 2 solids: (C, M, Y, K) of 0 or 1 to CIE L*a*b*.

    The table counts the paper as white; `paper` is its colour in XYZ.
    """
    corners = [(c, m, y, k) for c in (0, 1) for m in (0, 1) for y in (0, 1) for k in (0, 1)]
    table = b"".join(
        bytes((round(L * 255 / 100), round(a) + 128, round(b) + 128))
        for L, a, b in (solids[corner] for corner in corners)
    )
    ramp = bytes(range(256))
    lut = b"mft1\0\0\0\0" + bytes((4, 3, 2, 0)) + _fixed(1, 0, 0, 0, 1, 0, 0, 0, 1)
    lut += ramp * 4 + table + ramp * 3
    return _profile(b"scnr", b"CMYK", b"Lab ", {b"A2B0": lut, b"A2B1": lut, b"wtpt": _xyz(paper)})


D65 = (0.3127, 0.3290)
# SMPTE EG 432-1 primaries with D65 and sRGB's curve; Adobe RGB (1998), 2005-05; sRGB, IEC
# 61966-2-1. All from memory.
DISPLAY_P3 = rgb_profile([(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)], None, D65)
ADOBE_RGB = rgb_profile([(0.640, 0.330), (0.210, 0.710), (0.150, 0.060)], 563 / 256, D65)
SRGB = rgb_profile([(0.640, 0.330), (0.300, 0.600), (0.150, 0.060)], None, D65)
GREY_18 = grey_profile(1.8)
