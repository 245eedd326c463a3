"""The exact grid: a board laid on whole frames and samples, and what there is to find in it."""

from animatic.timeline.layout import lay_out
from animatic.timeline.model import Timeline
from animatic.timeline.spans import layers_at, spans

__all__ = ["Timeline", "lay_out", "layers_at", "spans"]
