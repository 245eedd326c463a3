"""The sound stage: cues to samples. It never meets the picture before the film."""

from animatic.sound.buses import stem_blocks
from animatic.sound.decode import Sound, decode, open_sound, sound_length
from animatic.sound.loudness import Loudness, Meter, measure_loudness
from animatic.sound.mix import mix_blocks, mix_to_array
from animatic.sound.programme import Programme, find_programme, programme_stems

__all__ = [
    "Loudness",
    "Meter",
    "Programme",
    "Sound",
    "decode",
    "find_programme",
    "measure_loudness",
    "mix_blocks",
    "mix_to_array",
    "open_sound",
    "programme_stems",
    "sound_length",
    "stem_blocks",
]
