"""Cards and contact sheet, read back by pypdf; thumbnails against the film's own pictures."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from math import ceil
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from animatic.errors import MediaError
from animatic.picture import PictureMaker
from animatic.sheets.cards import PAPERS, crowded, crowded_contacts, write
from animatic.sheets.thumbs import thumbnail
from animatic.timeline import Timeline
from tests.boards import HEAD, BoardFolder, panels

LONG = "It will rise when it has rested, and not a minute before, whatever the bell says. " * 12
BOARD = panels(
    f"""
    - shot: 10
      photo: a.jpg
      size: WS
      setup: quay
      duration: 36f
      dialogue: [{{who: Odd, line: "Where is <the> tide & why?"}}]
    - {{photo: b.jpg, duration: 12f}}
    - {{shot: 20, photo: b.jpg, duration: 24f, dialogue: [{{who: Pim, line: "{LONG}"}}]}}
    """,
    "board: 1\npicture: {size: 160x90}\nsetups: {quay: {place: Quay}}\n",
)


@pytest.fixture
def film(tmp_path: Path) -> Timeline:
    board = BoardFolder(tmp_path)
    board.photo("a.jpg", (200, 40, 40))
    board.photo("b.jpg", (40, 40, 200))
    return board.lay_out(BOARD)


def pages(content: bytes) -> list[str]:
    texts = [page.extract_text() for page in PdfReader(BytesIO(content)).pages]
    return [re.sub(r"[ \n]+", " ", text).strip() for text in texts]


def test_each_panel_has_a_card_with_what_the_timeline_says(film: Timeline) -> None:
    first, second, third, contact = pages(write(film, per_page=1))
    assert first.startswith("1 shot 10, 1 of 2 · WS 36 frames · 1.500 s setup quay")
    assert "Odd: Where is <the> tide & why?" in first
    assert second.startswith("2 shot 10, 2 of 2 · WS 12 frames · 0.500 s setup quay")
    assert third.startswith("3 shot 20 24 frames · 1.000 s Pim: It will rise")
    assert "page 3 of 3" in third
    assert "2 shots, 72 frames at 24, 0:03.000" in contact
    assert [int(n) for n in re.findall(r"(\d+) shot [12]0", contact)] == [1, 2, 3]


def test_words_that_do_not_fit_a_small_card_end_with_an_ellipsis(film: Timeline) -> None:
    page = pages(write(film, per_page=24))[0]
    assert "…" in page
    assert page.count("It will rise") < 12
    assert crowded(film, per_page=24) == [3]
    assert crowded(film, per_page=1) == []
    assert "…" not in " ".join(pages(write(film, per_page=1)))


@pytest.mark.parametrize("per_page", [1, 2, 3, 5, 6, 7, 9, 12, 24])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_all_cards_lie_on_the_paper(film: Timeline, per_page: int, paper: str) -> None:
    reader = PdfReader(BytesIO(write(film, per_page, PAPERS[paper])))
    assert len(reader.pages) == -(-3 // per_page) + 1
    # A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in (ANSI/ASME Y14.1); 72 points an inch.
    short, long = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}[paper]
    for page in reader.pages:
        sides = sorted((float(page.mediabox.width), float(page.mediabox.height)))
        assert sides == pytest.approx([short, long], abs=0.01)
        places: list[list[float]] = []
        page.extract_text(visitor_text=lambda t, cm, tm, f, s: t.strip() and places.append(tm[4:6]))  # noqa: B023
        width, height = float(page.mediabox.width), float(page.mediabox.height)
        assert [p for p in places if not (0 <= p[0] < width and 0 <= p[1] < height)] == []


@pytest.fixture(scope="module")
def run_of_24(tmp_path_factory: pytest.TempPathFactory) -> Timeline:
    board = BoardFolder(tmp_path_factory.mktemp("cards"))
    board.photo()
    rows = "\n".join(f"- {{shot: {n}, photo: a.jpg, setup: q, duration: 9f}}" for n in range(24))
    return board.lay_out(panels(rows, f"{HEAD}setups: {{q: {{place: Quay}}}}\n"))


@pytest.mark.parametrize("per_page", range(1, 25))
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_words_lie_midway_between_the_picture_and_the_end_of_the_card(
    run_of_24: Timeline, per_page: int, paper: str
) -> None:
    page = PdfReader(BytesIO(write(run_of_24, per_page, PAPERS[paper]))).pages[0]
    placed = re.findall(
        rb"q\s+([\d.]+) 0 0 ([\d.]+) ([\d.]+) ([\d.]+) cm\s+/\S+ Do", page.get_contents().get_data()
    )
    pictures = [tuple(map(float, numbers)) for numbers in placed]
    assert len(pictures) == per_page
    margin = 72 / 2.54
    width, height = float(page.mediabox.width), float(page.mediabox.height)
    rows = sorted({round(y, 2) for *_, y in pictures}, reverse=True)
    columns = {round(x, 2) for _, _, x, _ in pictures}
    # The last row of cards may be short of the paper's end: the grid may have more places.
    tall = (height - 2 * margin) if len(rows) == 1 else rows[0] - rows[1]
    said: list[tuple[float, float, float]] = []

    def note(words: str, _: object, at: list[float], __: object, size: float) -> None:
        if words.strip().startswith(("shot", "setup")):
            said.append((at[4], at[5], size))

    page.extract_text(visitor_text=note)
    across = (width - 2 * margin) / len(columns)
    pad = 0.05 * min(across, tall)
    for _, high, x, y in pictures:
        end = y + high + pad - tall
        lines = [
            (low, size) for at, low, size in said if x - pad < at < x + across and end < low < y
        ]
        (first, size), (last, _) = max(lines), min(lines)
        above, below = y - (first + 0.73 * size), last - end
        assert above > 0
        assert below > 0
        assert abs(above - below) <= 0.1 * tall
        assert size >= 6
        assert first - last > 1.5 * size


def contact_of(tmp_path: Path, rows: str) -> tuple[Timeline, str]:
    """Return a film of upright pictures, and what its contact sheet says on one line."""
    board = BoardFolder(tmp_path)
    board.photo()
    film = board.lay_out(panels(rows, "board: 1\npicture: {size: 180x320}\n"))
    return film, " ".join(pages(write(film, 24))[ceil(len(film.panels) / 24) :])


@pytest.mark.parametrize("seconds", [1, 100, 1234, 86_399])
def test_the_contact_sheet_shows_all_of_a_length(tmp_path: Path, seconds: int) -> None:
    """Behind three digits of a number as well; whole seconds are counted at 24 by hand."""
    short = "- {shot: 1, photo: a.jpg, duration: 1f}\n" + "- {photo: a.jpg, duration: 1f}\n" * 99
    long = f"- {{shot: 2, photo: a.jpg, duration: {seconds}s}}"
    film, said = contact_of(tmp_path, short + long)
    assert f"{24 * seconds} frames · {seconds}.000 s" in said
    assert "…" not in said
    assert crowded_contacts(film) == []


@pytest.mark.parametrize("name", ["W" * 40, "mw" * 20, "S130-LONGSHOTNAME-130"])
def test_the_contact_sheet_shows_all_of_a_name(tmp_path: Path, name: str) -> None:
    film, said = contact_of(
        tmp_path, f"- {{shot: {name}, photo: a.jpg, size: MS OTS, duration: 9s}}"
    )
    assert f"1 shot {name} MS OTS 216 frames · 9.000 s".replace(" ", "") in said.replace(" ", "")
    assert crowded_contacts(film) == []


def test_a_card_that_is_cut_short_on_the_contact_sheet_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # With letters as wide as those of a broad font.
    monkeypatch.setattr("animatic.sheets.cards._CONTACT_LENGTHS", (9.0,))
    rows = "- {shot: 1, photo: a.jpg, duration: 1f}\n- {photo: a.jpg, duration: 100s}"
    film, said = contact_of(tmp_path, rows)
    assert said.count("…") == 1
    assert crowded_contacts(film) == [2]


def test_the_same_film_gives_the_same_bytes(film: Timeline) -> None:
    assert write(film) == write(film)


def test_pictures_are_stored_as_jpeg_and_show_the_photo(film: Timeline) -> None:
    page = PdfReader(BytesIO(write(film, per_page=1))).pages[0]
    (image,) = page.images
    pixels = np.asarray(image.image.convert("RGB"))
    assert np.abs(pixels.astype(int) - (200, 40, 40)).max() <= 6
    assert abs(pixels.shape[1] / pixels.shape[0] - 16 / 9) < 0.01


@pytest.mark.parametrize("turn", range(1, 9))
def test_a_thumbnail_is_framed_as_the_film_frames_it(tmp_path: Path, turn: int) -> None:
    board = BoardFolder(tmp_path)
    ramp = np.zeros((300, 400, 3), np.uint8)
    ramp[..., 0] = np.linspace(0, 255, 400)
    ramp[..., 1] = np.linspace(0, 255, 300)[:, None]
    exif = Image.Exif()
    exif[0x0112] = turn
    Image.fromarray(ramp).save(board.path("a.jpg"), exif=exif, quality=95)
    crop = "{left: 0.2, top: 0.1, width: 0.7, height: 0.6}"
    for fit in ("cover", "contain"):
        text = f"- {{shot: 1, photo: a.jpg, duration: 24f, fit: {fit}, crop: {crop}}}"
        film = board.lay_out(panels(text))
        made = PictureMaker(film).panel(film.panels[0])
        small = np.asarray(thumbnail(film.panels[0], film.size, 160))
        assert np.abs(small.astype(int) - made).mean() < 1.5
        assert np.abs(small.astype(int) - made).max() < 40


def test_a_photo_that_is_gone_is_named(film: Timeline) -> None:
    photo = film.panels[0].photo
    photo.unlink()
    with pytest.raises(MediaError) as fault:
        write(film)
    assert str(fault.value) == f"{photo}: there is no such photo; check the name"


@pytest.mark.parametrize("per_page", [6, 12, 24])
def test_the_foot_has_the_whole_title_where_the_page_has_room(
    film: Timeline, per_page: int
) -> None:
    titled = replace(film, title="The Café Door: a story of one night")
    page = pages(write(titled, per_page))[0]
    assert "The Café Door: a story of one night" in page
    assert "cards, page 1 of 1" in page
