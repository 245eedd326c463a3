"""The bits of ITU-T H.264 that the film writer reads and changes: parameter sets, slice headers.

Only streams of our own encoder are read: progressive frames, CABAC, picture order count
type 2, no reordering, one reference. Anything else is an InternalError, never a guess.
Numbers in brackets are clauses of ITU-T H.264 (08/2021).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from animatic.errors import InternalError

__all__ = [
    "IDR_SLICE",
    "PPS",
    "SLICE",
    "SPS",
    "BitReader",
    "Header",
    "ParameterSets",
    "escaped",
    "joined",
    "nal_type",
    "parameter_sets",
    "read_header",
    "unescaped",
    "units",
    "with_first_mb",
    "with_idr_pic_id",
    "without_edges",
]

SLICE, IDR_SLICE, SPS, PPS = 1, 5, 7, 8
"""NAL unit types (table 7-1)."""
_P, _I = 0, 2
"""Slice types modulo 5 (table 7-6)."""
_START = b"\x00\x00\x00\x01"


def units(stream: bytes) -> Iterator[bytes]:
    """Yield the NAL units of a byte stream, without start codes (Annex B).

    >>> [unit.hex() for unit in units(bytes.fromhex("0000000167aa00000165bb00"))]
    ['67aa', '65bb']
    """
    for part in re.split(rb"\x00\x00\x01", stream)[1:]:
        # Zero bytes before a start code belong to it (B.1.1).
        if unit := part.rstrip(b"\x00"):
            yield unit


def joined(parts: Iterable[bytes]) -> bytes:
    """Return NAL units as a byte stream, each behind a start code (Annex B).

    >>> joined([b"\\x09\\x10", b"\\x06"]).hex(" ")
    '00 00 00 01 09 10 00 00 00 01 06'
    """
    return b"".join(_START + unit for unit in parts)


def nal_type(unit: bytes) -> int:
    """Return a NAL unit's type (7.3.1).

    >>> nal_type(bytes([0x65]))  # A slice of an IDR picture, table 7-1.
    5
    """
    return unit[0] & 31


def unescaped(unit: bytes) -> bytes:
    """Return a NAL unit without its emulation prevention bytes (7.3.1).

    >>> unescaped(bytes.fromhex("65000003000003ff")).hex()
    '6500000000ff'
    """
    return unit.replace(b"\x00\x00\x03", b"\x00\x00")


def escaped(raw: bytes) -> bytes:
    """Return a NAL unit with emulation prevention bytes (7.4.1.1).

    >>> escaped(bytes.fromhex("6500000000000001")).hex()
    '6500000300000300000301'
    """
    return re.sub(rb"\x00\x00(?=[\x00-\x03]|\Z)", b"\x00\x00\x03", raw)


class BitReader:
    """Reads syntax elements, most significant bit first (7.2, 9.1)."""

    def __init__(self, data: bytes) -> None:
        self._bits = int.from_bytes(data, "big")
        self._length = 8 * len(data)
        self.at = 0
        """Bits read so far."""

    def u(self, count: int) -> int:
        """Read `count` bits as an unsigned number: u(n)."""
        self.at += count
        if self.at > self._length:
            raise InternalError("an H.264 header ends too early")
        return self._bits >> (self._length - self.at) & ((1 << count) - 1)

    def ue(self) -> int:
        """Read an unsigned Exp-Golomb code: ue(v) (9.1).

        >>> BitReader(b"\x28").ue()
        4
        """
        zeros = 0
        while not self.u(1):
            zeros += 1
        return (1 << zeros) - 1 + self.u(zeros)

    def se(self) -> int:
        """Read a signed Exp-Golomb code: se(v) (9.1.1).

        >>> BitReader(b"\x28").se()
        -2
        """
        code = self.ue()
        return (code + 1) // 2 if code % 2 else -(code // 2)


@dataclass(frozen=True, slots=True)
class ParameterSets:
    """What the slice headers of a stream depend on (7.4.2.1, 7.4.2.2)."""

    frame_num_bits: int
    width_in_mbs: int
    height_in_mbs: int
    pps: bytes
    """The picture parameter set's NAL unit."""


def parameter_sets(stream: bytes) -> ParameterSets:
    """Read the sequence and picture parameter set of a byte stream."""
    sets = {nal_type(unit): unit for unit in units(stream)}
    if SPS not in sets or PPS not in sets:
        raise InternalError("the encoder wrote no parameter sets")
    bits, width, height = _read_sps(BitReader(unescaped(sets[SPS])))
    _check_pps(BitReader(unescaped(sets[PPS])))
    return ParameterSets(bits, width, height, sets[PPS])


def _read_sps(read: BitReader) -> tuple[int, int, int]:
    """Read a sequence parameter set of the High profile (7.3.2.1.1)."""
    read.u(8)
    _wanted("profile_idc", read.u(8), 100)
    read.u(16)  # constraint flags and level_idc
    _wanted("seq_parameter_set_id", read.ue(), 0)
    _wanted("chroma_format_idc", read.ue(), 1)
    for name in ("bit_depth_luma_minus8", "bit_depth_chroma_minus8"):
        _wanted(name, read.ue(), 0)
    for name in ("qpprime_y_zero_transform_bypass_flag", "seq_scaling_matrix_present_flag"):
        _wanted(name, read.u(1), 0)
    frame_num_bits = read.ue() + 4
    _wanted("pic_order_cnt_type", read.ue(), 2)
    _wanted("max_num_ref_frames", read.ue(), 1)
    _wanted("gaps_in_frame_num_value_allowed_flag", read.u(1), 0)
    width, height = read.ue() + 1, read.ue() + 1
    _wanted("frame_mbs_only_flag", read.u(1), 1)
    return frame_num_bits, width, height


def _check_pps(read: BitReader) -> None:
    """Read a picture parameter set (7.3.2.2); it has to be of the kind that we know."""
    read.u(8)
    for name in ("pic_parameter_set_id", "seq_parameter_set_id"):
        _wanted(name, read.ue(), 0)
    _wanted("entropy_coding_mode_flag", read.u(1), 1)
    _wanted("bottom_field_pic_order_in_frame_present_flag", read.u(1), 0)
    _wanted("num_slice_groups_minus1", read.ue(), 0)
    read.ue(), read.ue()  # num_ref_idx_l0_default_active_minus1, and l1
    _wanted("weighted_pred_flag", read.u(1), 0)
    read.u(2)  # weighted_bipred_idc
    read.se(), read.se(), read.se()  # pic_init_qp, pic_init_qs, chroma_qp_index_offset
    _wanted("deblocking_filter_control_present_flag", read.u(1), 1)
    read.u(1)  # constrained_intra_pred_flag
    _wanted("redundant_pic_cnt_present_flag", read.u(1), 0)


def _wanted(name: str, found: int, wanted: int) -> None:
    if found != wanted:
        raise InternalError(f"the encoder wrote {name} {found}; the film writer needs {wanted}")


@dataclass(frozen=True, slots=True)
class Header:
    """A slice header (7.3.3); the ranges count bits from the start of the NAL unit."""

    is_idr: bool
    is_p: bool
    first_mb: int
    first_mb_bits: tuple[int, int]
    frame_num: int
    idr_pic_id: int
    """0 where the picture is no IDR picture."""
    idr_pic_id_bits: tuple[int, int]
    deblocking_bits: tuple[int, int]
    """Where disable_deblocking_filter_idc stands."""
    end: int
    """Bits before the alignment that the coded macroblocks follow."""


_HEAD = 64
"""Bytes that hold every slice header of ours."""


def read_header(unit: bytes, sets: ParameterSets) -> Header:
    """Read the header of a slice (7.3.3, 7.3.3.1, 7.3.3.3)."""
    read = BitReader(unescaped(unit[:_HEAD]))
    read.u(1)
    is_reference, kind = read.u(2) > 0, read.u(5)
    is_idr = kind == IDR_SLICE
    first_mb, first_mb_bits = _ue_at(read)
    slice_type = read.ue() % 5
    if slice_type not in (_P, _I) or kind not in (SLICE, IDR_SLICE):
        raise InternalError(f"NAL unit type {kind} with slice type {slice_type}")
    _wanted("pic_parameter_set_id", read.ue(), 0)
    frame_num = read.u(sets.frame_num_bits)
    idr_pic_id, idr_pic_id_bits = _ue_at(read) if is_idr else (0, (read.at, read.at))
    if slice_type == _P:
        if read.u(1):  # num_ref_idx_active_override_flag
            _wanted("num_ref_idx_l0_active_minus1", read.ue(), 0)
        _wanted("ref_pic_list_modification_flag_l0", read.u(1), 0)
    if is_idr:
        read.u(2)  # no_output_of_prior_pics_flag, long_term_reference_flag
    elif is_reference:
        _wanted("adaptive_ref_pic_marking_mode_flag", read.u(1), 0)
    if slice_type == _P:
        read.ue()  # cabac_init_idc
    read.se()  # slice_qp_delta
    deblocking, deblocking_bits = _ue_at(read)
    if deblocking != 1:
        read.se(), read.se()  # slice_alpha_c0_offset_div2, slice_beta_offset_div2
    return Header(
        is_idr,
        slice_type == _P,
        first_mb,
        first_mb_bits,
        frame_num,
        idr_pic_id,
        idr_pic_id_bits,
        deblocking_bits,
        read.at,
    )


def _ue_at(read: BitReader) -> tuple[int, tuple[int, int]]:
    start = read.at
    value = read.ue()
    return value, (start, read.at)


def with_idr_pic_id(unit: bytes, sets: ParameterSets, value: int) -> bytes:
    """Return an IDR slice with another idr_pic_id: those of neighbours must differ (7.4.3)."""
    header = read_header(unit, sets)
    if not header.is_idr:
        raise InternalError("only an IDR picture has an idr_pic_id")
    return _with_ue(unit, header, header.idr_pic_id_bits, value)


def with_first_mb(unit: bytes, sets: ParameterSets, value: int) -> bytes:
    """Return a slice that begins at another macroblock: first_mb_in_slice (7.4.3)."""
    header = read_header(unit, sets)
    return _with_ue(unit, header, header.first_mb_bits, value)


def without_edges(unit: bytes, sets: ParameterSets) -> bytes:
    """Return a slice whose deblocking filter keeps within it.

    disable_deblocking_filter_idc 2 (7.4.3): the edges to other slices are left as they are.
    """
    header = read_header(unit, sets)
    return _with_ue(unit, header, header.deblocking_bits, 2)


def _with_ue(unit: bytes, header: Header, bits: tuple[int, int], value: int) -> bytes:
    """Return a slice with a new ue(v) at `bits` of its header.

    The macroblocks of a CABAC slice begin at a whole byte, behind one-bits (7.3.4): their
    bytes stay as they are, only the emulation prevention is laid anew.
    """
    raw = unescaped(unit)
    body = -(-header.end // 8)
    head = int.from_bytes(raw[:body], "big")
    start, end = bits
    length = 8 * body
    before = head >> (length - start)
    after = head >> (length - header.end) & ((1 << (header.end - end)) - 1)
    width = 2 * (value + 1).bit_length() - 1
    count = start + width + header.end - end
    new = ((before << width | value + 1) << (header.end - end)) | after
    padding = -count % 8
    new = new << padding | (1 << padding) - 1
    return escaped(new.to_bytes((count + padding) // 8, "big") + raw[body:])
