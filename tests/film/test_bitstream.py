"""The bit-level part against ITU-T H.264 and against another parser (ffmpeg's trace_headers)."""

from __future__ import annotations

import re

import av
import numpy as np
import pytest
from film_stand_ins import Noise, board, ffmpeg
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.errors import InternalError
from animatic.film.bitstream import (
    BitReader,
    escaped,
    joined,
    nal_type,
    parameter_sets,
    read_header,
    unescaped,
    units,
    with_first_mb,
    with_idr_pic_id,
)
from animatic.film.coding import Format, coded_pictures, yuv_from_rgb
from animatic.film.segments import make_template
from animatic.frames import Rate

FORM = Format((160, 96), Rate.named("24"))

# ITU-T H.264 (08/2021), table 9-2: bit strings and codeNum, as remembered.
UNSIGNED = {"1": 0, "010": 1, "011": 2, "00100": 3, "00101": 4, "00110": 5, "00111": 6}
UNSIGNED |= {"0001000": 7, "0001001": 8, "0001010": 9}
# Table 9-3: codeNum and signed value.
SIGNED = {0: 0, 1: 1, 2: -1, 3: 2, 4: -2, 5: 3, 6: -3}


def reader(bits: str) -> BitReader:
    return BitReader(int(bits.ljust(16, "0"), 2).to_bytes(2, "big"))


@pytest.mark.parametrize(("bits", "value"), UNSIGNED.items())
def test_exp_golomb(bits: str, value: int) -> None:
    read = reader(bits)
    assert read.ue() == value
    assert read.at == len(bits)
    assert reader(bits).se() == SIGNED.get(value, reader(bits).se())


def test_a_header_that_ends_too_early() -> None:
    with pytest.raises(InternalError, match=r"^an H.264 header ends too early$"):
        BitReader(b"\x00\x00").ue()


@given(st.lists(st.sampled_from([0, 0, 0, 1, 2, 3, 4, 255]), max_size=40).map(bytes))
@settings(max_examples=300)
def test_emulation_prevention(raw: bytes) -> None:
    """7.4.1.1: no 00 00 00, 00 00 01, 00 00 02 within a NAL unit, and none at its end."""
    laid = escaped(raw)
    assert not re.search(rb"\x00\x00[\x00-\x02]", laid)
    assert not laid.endswith(b"\x00\x00")
    assert unescaped(laid) == raw


def picture(index: int = 0, form: Format = FORM):
    source = Noise(board([1] * (index + 1), size=form.size))
    return yuv_from_rgb(source.frame(index), form.size)


def idr(form: Format = FORM, index: int = 0) -> tuple[bytes, bytes]:
    sets, packets = coded_pictures(form, [picture(index, form)])
    [unit] = [unit for unit in units(packets[0]) if nal_type(unit) == 5]
    return sets, unit


def decoded(sets: bytes, packets: list[bytes]) -> list[np.ndarray]:
    decoder = av.CodecContext.create("h264", "r")
    decoder.extradata = sets
    frames = [frame for packet in packets for frame in decoder.decode(av.Packet(packet))]
    return [frame.to_ndarray() for frame in [*frames, *decoder.decode(None)]]


@pytest.mark.parametrize("size", [(160, 96), (998, 666), (96, 160), (32, 32)])
def test_parameter_sets(size: tuple[int, int]) -> None:
    facts = parameter_sets(idr(Format(size, FORM.rate))[0])
    assert (facts.width_in_mbs, facts.height_in_mbs) == (-(-size[0] // 16), -(-size[1] // 16))
    assert facts.frame_num_bits == 4


def test_streams_that_the_writer_does_not_know_are_refused() -> None:
    with pytest.raises(InternalError, match=r"^the encoder wrote no parameter sets$"):
        parameter_sets(b"")
    sets, _ = coded_pictures(Format(FORM.size, FORM.rate, preset="ultrafast"), [picture()])
    wanted = r"^the encoder wrote profile_idc 77; the film writer needs 100$"
    with pytest.raises(InternalError, match=wanted):
        parameter_sets(sets)
    coder = av.CodecContext.create("libx264", "w")
    coder.width, coder.height, coder.pix_fmt = 160, 96, "yuv420p"
    coder.time_base = 1 / FORM.rate.fps
    coder.options = {"x264-params": "cabac=0:bframes=0:ref=1"}
    coder.flags |= 1 << 22
    coder.open()
    wanted = r"^the encoder wrote entropy_coding_mode_flag 0; the film writer needs 1$"
    with pytest.raises(InternalError, match=wanted):
        parameter_sets(coder.extradata or b"")


@pytest.mark.parametrize("value", [1, 0, 5, 300])
@pytest.mark.parametrize("index", range(6))
def test_another_idr_pic_id_changes_no_pixel(value: int, index: int) -> None:
    sets, unit = idr(index=index)
    facts = parameter_sets(sets)
    changed = with_idr_pic_id(unit, facts, value)
    assert read_header(changed, facts).idr_pic_id == value
    assert with_idr_pic_id(changed, facts, 0) == unit
    [before], [after] = (decoded(sets, [joined([one])]) for one in (unit, changed))
    assert np.array_equal(before, after)


def test_only_idr_pictures_have_an_idr_pic_id() -> None:
    template = make_template(FORM)
    [skip] = units(template.skips[0])
    with pytest.raises(InternalError, match=r"^only an IDR picture has an idr_pic_id$"):
        with_idr_pic_id(skip, parameter_sets(template.sets), 1)


def test_first_mb() -> None:
    sets, unit = idr()
    facts = parameter_sets(sets)
    changed = with_first_mb(unit, facts, 7680)
    assert read_header(changed, facts).first_mb == 7680
    assert with_first_mb(changed, facts, 0) == unit


def test_headers_as_another_parser_reads_them(tmp_path) -> None:
    """ffmpeg's trace_headers names every syntax element of the stream."""
    template = make_template(FORM)
    facts = parameter_sets(template.sets)
    sets, unit = idr()
    stream = [with_idr_pic_id(unit, facts, 1), *(next(units(skip)) for skip in template.skips)]
    path = tmp_path / "stream.h264"
    path.write_bytes(sets + joined(stream))
    trace = ffmpeg("-i", path, "-c", "copy", "-bsf:v", "trace_headers", "-f", "null", "-").stderr

    def values(name: str) -> list[int]:
        rows = re.findall(rf"\b{name} +[01]+ = (-?\d+)", trace.decode())
        return [int(value) for value in rows]

    headers = [read_header(one, facts) for one in stream]
    assert values("frame_num") == [header.frame_num for header in headers]
    assert values("idr_pic_id") == [1]
    assert values("first_mb_in_slice") == [0] * 17
    assert values("pic_order_cnt_type")[0] == 2
    assert values("pic_width_in_mbs_minus1")[0] == facts.width_in_mbs - 1
