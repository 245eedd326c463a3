"""What the film-maker wrote: the board file, read strictly, with the place of every value."""

from animatic.board.keys.durations import Duration, parse_duration
from animatic.board.read import Board, find_board, read_board

__all__ = ["Board", "Duration", "find_board", "parse_duration", "read_board"]
