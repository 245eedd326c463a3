"""Speaks one line with espeak-ng's library, in a process of its own.

    python -I -S speaking_worker.py LIBRARY DATA VOICE PITCH SPEED  <  text  >  samples

Text is UTF-8; samples are 16-bit mono of the machine's byte order, behind the sample rate as
four bytes. One line a process: a second line in the same process would sound a little
different each time. It imports nothing of the package, so that it starts at once.

Source of the numbers: espeak-ng's speak_lib.h.
"""

from __future__ import annotations

import ctypes
import sys

_SYNCHRONOUS = 2
_DO_NOT_EXIT = 0x8000
"""Without it a wrong path would end the process without a word."""
_UTF8 = 1
_SPEED, _PITCH = 1, 3
_BUFFER_MS = 0


def _speak(library: str, data: str, voice: str, pitch: int, speed: int, text: str) -> bytes:
    """Return the rate and the samples; SystemExit says what the library refused."""
    lib = ctypes.CDLL(library)
    rate = lib.espeak_Initialize(_SYNCHRONOUS, _BUFFER_MS, data.encode(), _DO_NOT_EXIT)
    if rate <= 0:
        raise SystemExit(f"espeak-ng could not start with its data in {data}")
    heard: list[bytes] = []
    kind = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)

    def take(samples: int | None, count: int, events: int | None) -> int:
        if samples and count > 0:
            heard.append(ctypes.string_at(samples, count * 2))
        return 0

    callback = kind(take)
    lib.espeak_SetSynthCallback(callback)
    if lib.espeak_SetVoiceByName(voice.encode()) != 0:
        raise SystemExit(f"there is no voice {voice}")
    lib.espeak_SetParameter(_PITCH, pitch, 0)
    lib.espeak_SetParameter(_SPEED, speed, 0)
    words = text.encode() + b"\0"
    size = ctypes.c_size_t(len(words))
    if lib.espeak_Synth(words, size, 0, 1, 0, _UTF8, None, None) != 0:
        raise SystemExit("espeak-ng could not speak the line")
    lib.espeak_Synchronize()
    return int(rate).to_bytes(4, "little") + b"".join(heard)


if __name__ == "__main__":
    _library, _data, _voice, _pitch, _speed = sys.argv[1:]
    _text = sys.stdin.buffer.read().decode("utf-8")
    sys.stdout.buffer.write(_speak(_library, _data, _voice, int(_pitch), int(_speed), _text))
