"""From a folder of photos to a first board: nothing is guessed that photos cannot tell."""

from animatic.start.draft import Draft, draft_board, more_panels
from animatic.start.look import Look, look_at_photos

__all__ = ["Draft", "Look", "draft_board", "look_at_photos", "more_panels"]
