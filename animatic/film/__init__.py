"""The film: segments coded once, stitched into one MP4, and read back."""

from animatic.film.cache import Cache
from animatic.film.heard import film_programme
from animatic.film.images import write_images, write_still
from animatic.film.report import FilmReport, Progress
from animatic.film.share import write_gif, write_webm
from animatic.film.writer import write_film

__all__ = [
    "Cache",
    "FilmReport",
    "Progress",
    "film_programme",
    "write_film",
    "write_gif",
    "write_images",
    "write_still",
    "write_webm",
]
