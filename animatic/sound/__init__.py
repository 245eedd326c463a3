"""The sound stage: cues to samples. It never meets the picture before the film."""

from animatic.sound.decode import Sound, decode, open_sound, sound_length
from animatic.sound.loudness import Loudness, Meter, measure_loudness
from animatic.sound.mix import mix_blocks, mix_to_array, peak_gain, stem_blocks

__all__ = [
    "Loudness",
    "Meter",
    "Sound",
    "decode",
    "measure_loudness",
    "mix_blocks",
    "mix_to_array",
    "open_sound",
    "peak_gain",
    "sound_length",
    "stem_blocks",
]
