"""The film: segments coded once, stitched into one MP4, and read back."""

from animatic.film.writer import FilmReport, Progress, write_film

__all__ = ["FilmReport", "Progress", "write_film"]
