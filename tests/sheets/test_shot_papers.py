"""The complete shot list on paper, in a workbook and as a page: the same numbers as the rows."""

from __future__ import annotations

import re
import shutil
import subprocess
from base64 import b64decode
from dataclasses import replace
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook
from PIL import Image
from pypdf import PdfReader

from animatic.board.keys.schema import SetupEntry
from animatic.sheets import FORMATS, exposurepdf, page, shotpdf, xlsx
from animatic.sheets.pdfpage import Page
from animatic.sheets.rows import COLUMNS, row, text, total, with_setups
from animatic.timeline.model import Shot, Timeline
from tests.boards import HEAD, BoardFolder, panels
from tests.sheets.drawn import noted
from tests.sheets.timelines import low_water

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

SETUPS = {
    "quay-day": SetupEntry(
        place="Quay",
        camera="=low",
        lens="35 mm",
        lights=["sun", "<card>"],
        opened=["wall"],
        note="It gets hot.",
    )
}
ADDED = ("place", "camera", "lens", "lights", "opened", "setup_note")


def test_the_complete_list_is_the_list_and_what_is_rigged() -> None:
    columns = with_setups(SETUPS)
    assert [c for c in columns if c.key not in ADDED] == list(COLUMNS)
    assert [column.key for column in columns][3:10] == ["setup", *ADDED]
    timeline = low_water()
    first, second = (row(timeline, shot, columns) for shot in timeline.shots[:2])
    assert [first[key] for key in ADDED] == [
        "Quay",
        "=low",
        "35 mm",
        "sun, <card>",
        "wall",
        "It gets hot.",
    ]
    # The second shot's setup is not described in the board.
    assert [second[key] for key in ADDED] == [""] * 6
    assert {k: v for k, v in first.items() if k not in ADDED} == row(timeline, timeline.shots[0])


BOARD = HEAD + (
    "title: Ἅλς & <ebb>\nhandles: 8f\nrate: 29.97\nstart: 01:00:00;00\n"
    "setups:\n  κάβος: {place: Мыс, lights: [Ёлка, '<b>&amp;'], camera: low, lens: 35 mm}\n"
)
ROWS = "\n".join(
    f"- {{shot: Жук {n}, photo: a.jpg, setup: κάβος, size: CU, duration: {20 + n}f}}"
    for n in range(1, 25)
)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> tuple[Timeline, dict[str, SetupEntry]]:
    folder = BoardFolder(tmp_path_factory.mktemp("papers"))
    folder.photo(colour=(10, 200, 30))
    text = panels(ROWS, BOARD)
    return folder.lay_out(text), folder.read(text).content.setups


@pytest.mark.parametrize(("paper", "count"), [("a4", 3), ("letter", 3)])
def test_the_pdf_names_every_shot_once(
    film: tuple[Timeline, dict[str, SetupEntry]], paper: str, count: int
) -> None:
    timeline, setups = film
    data = shotpdf.write(timeline, setups, paper)
    assert data == shotpdf.write(timeline, setups, paper)
    pages = [page.extract_text().split("\n") for page in PdfReader(BytesIO(data)).pages]
    assert len(pages) == count
    lines = [line for page in pages for line in page]
    assert [line for line in lines if line.startswith("Жук ")] == [
        shot.name for shot in timeline.shots
    ]
    for number, found in enumerate(pages, 1):
        assert "Ἅλς & <ebb>" in found
        assert f"shot list, page {number} of {count}" in found
    assert lines.count("κάβος, Мыс") == 24
    assert lines.count("01:00:00;00") == 1
    for word in ("in", "out"):
        labels = [lines[at + 1] for at, line in enumerate(lines) if line == word]
        assert labels == [row(timeline, shot)[word] for shot in timeline.shots]
    poses = sum(shot.poses for shot in timeline.shots)
    frames = sum(shot.frames_to_shoot for shot in timeline.shots)
    assert f"24 shots · {frames} frames to shoot · {poses} poses" in " ".join(pages[-1])
    at_heads = [int(lines[i - 1]) for i, line in enumerate(lines) if line == "poses"]
    assert sum(at_heads) == poses


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("count", range(1, 25))
def test_the_sums_never_stand_alone(
    film: tuple[Timeline, dict[str, SetupEntry]], paper: str, count: int
) -> None:
    timeline = replace(film[0], shots=film[0].shots[:count])
    data = shotpdf.write(timeline, film[1], paper)
    pages = [page.extract_text().split("\n") for page in PdfReader(BytesIO(data)).pages]
    names = [[line for line in page if line.startswith("Жук ")] for page in pages]
    assert all(names)
    assert [name for page in names for name in page] == [shot.name for shot in timeline.shots]
    assert [any("frames to shoot ·" in line for line in page) for page in pages] == [
        *[False] * (len(pages) - 1),
        True,
    ]
    low: dict[str, float] = {}

    def note(words: str, _: object, at: list[float], *__: object) -> None:
        low[words.strip()] = at[5]

    PdfReader(BytesIO(data)).pages[-1].extract_text(visitor_text=note)
    sums = next(y for words, y in low.items() if " frames to shoot ·" in words)
    foot = next(y for words, y in low.items() if words.startswith("Film frames count from 0"))
    assert sums > foot + 11


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("count", [20, 105, 180])
def test_a_long_title_is_whole_on_the_pdf(
    film: tuple[Timeline, dict[str, SetupEntry]],
    monkeypatch: pytest.MonkeyPatch,
    paper: str,
    count: int,
) -> None:
    title = ("The long tale of the bell and the tide " * 5)[:count].strip()
    found = noted(monkeypatch, shotpdf)
    shotpdf.write(replace(film[0], title=title), film[1], paper)
    for sheet in found:
        assert title in " ".join(text.what for text in sheet.texts)
        assert sheet.overprinted() == []


class Table(HTMLParser):
    """The text of each cell, row by row, and the pictures."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.pictures: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")
        elif tag == "img":
            self.pictures.append(dict(attrs)["src"] or "")

    def handle_data(self, data: str) -> None:
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def test_the_page_is_whole_in_itself(film: tuple[Timeline, dict[str, SetupEntry]]) -> None:
    timeline, setups = film
    written = page.write(timeline, setups)
    table = Table()
    table.feed(written)
    columns = with_setups(setups)
    for shot, cells in zip(timeline.shots, table.rows[1:-1], strict=True):
        shown = [cell.rstrip("\n") for cell in cells[1:]]
        assert shown == [text(value) for value in row(timeline, shot, columns).values()]
    assert table.rows[-1][1] == "24 shots"
    assert [re.match("[a-z0-9:;/]+,", src)[0] for src in table.pictures] == (
        ["data:image/jpeg;base64,"] * 24
    )
    with Image.open(BytesIO(b64decode(table.pictures[0].split(",")[1]))) as picture:
        red, green, blue = picture.convert("RGB").getpixel((180, 100))
    assert max(abs(red - 10), abs(green - 200), abs(blue - 30)) < 6
    assert "http" not in written


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not on this machine")
@pytest.mark.parametrize("count", [6, 15, 18])
def test_the_sums_of_the_page_are_printed_once(
    film: tuple[Timeline, dict[str, SetupEntry]], tmp_path: Path, count: int
) -> None:
    timeline = replace(film[0], shots=film[0].shots[:count])
    file, printed = tmp_path / "shots.html", tmp_path / "printed.pdf"
    file.write_text(page.write(timeline, film[1]), encoding="utf-8")
    options = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run")
    profile = f"--user-data-dir={tmp_path / 'profile'}"
    subprocess.run(
        [str(CHROMIUM), *options, profile, f"--print-to-pdf={printed}", file.as_uri()],
        check=True,
        capture_output=True,
        timeout=120,
    )
    pages = [" ".join(each.extract_text().split()) for each in PdfReader(printed).pages]
    assert len(pages) > (count > 6)
    # The heads stand on every page, the sums under the last shot alone.
    assert all("Frames to shoot" in words for words in pages)
    sums = [f"{count} shots" in words for words in pages]
    assert sums == [False] * (len(pages) - 1) + [True]
    assert pages[-1].index(f"{count} shots") > pages[-1].rindex(timeline.shots[-1].name)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sums_of_the_pdf_are_whole(
    film: tuple[Timeline, dict[str, SetupEntry]], paper: str
) -> None:
    timeline, setups = film
    # Twenty times as many frames have longer numbers.
    long = replace(timeline, shots=tuple(map(_twentyfold, timeline.shots)))
    data = shotpdf.write(long, setups, paper)
    last = PdfReader(BytesIO(data)).pages[-1].extract_text().split("\n")
    [sums] = [line for line in last if " frames to shoot · " in line]
    assert sums.endswith(f"{text(total(long)['feet'])} feet")


def _twentyfold(shot: Shot) -> Shot:
    panels_of = tuple(
        replace(panel, start=20 * panel.start, end=20 * panel.end) for panel in shot.panels
    )
    return replace(shot, panels=panels_of)


@pytest.mark.parametrize("form", ["pdf", "html", "xlsx", "exposure"])
def test_the_note_of_a_setup_is_where_the_setup_is(tmp_path: Path, form: str) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    setups = "setups:\n  shed: {note: The bulb gets hot. Switch it off.}\n"
    rows = "- {shot: 10, photo: a.jpg, setup: shed, note: lantern}\n- {shot: 20, photo: a.jpg}"
    text = panels(rows, HEAD + setups)
    timeline, rigged = folder.lay_out(text), folder.read(text).content.setups
    note = "The bulb gets hot. Switch it off."
    if form == "html":
        written = page.write(timeline, rigged)
        note = f'<td class="setup_note">{note}</td>'
    elif form == "xlsx":
        sheet = load_workbook(BytesIO(xlsx.write(timeline, rigged))).active
        [at] = [cell.column for cell in sheet[3] if cell.value == "Setup note"]
        assert sheet.cell(xlsx.FIRST_ROW + 1, at).value in ("", None)
        written = sheet.cell(xlsx.FIRST_ROW, at).value
    else:
        data = (
            shotpdf.write(timeline, rigged)
            if form == "pdf"
            else exposurepdf.write(timeline, timeline.shots, rigged, {})
        )
        pages = [each.extract_text() for each in PdfReader(BytesIO(data)).pages]
        written = " ".join("\n".join(pages).split())
        # Before the camera and the lights, and apart from the note of a panel.
        assert re.search(r"shed setup note:? The bulb gets hot. Switch it off. notes?:? l", written)
    assert str(written).count(note) == 1


@pytest.mark.parametrize("form", ["pdf", "html", "xlsx", "csv", "json", "md", "table"])
def test_the_notes_of_panels_are_in_every_format(tmp_path: Path, form: str) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    rows = (
        "- {shot: 10, photo: a.jpg, duration: 20f, note: lantern lit}\n"
        "- {photo: a.jpg, duration: 20f, note: rope wet}"
    )
    timeline = folder.lay_out(panels(rows))
    written: str | bytes
    if form == "pdf":
        written = PdfReader(BytesIO(shotpdf.write(timeline, {}))).pages[0].extract_text()
    elif form == "xlsx":
        sheet = load_workbook(BytesIO(xlsx.write(timeline, {}))).active
        written = str([cell.value for cell in sheet[xlsx.FIRST_ROW]])
    else:
        written = page.write(timeline, {}) if form == "html" else FORMATS[form](timeline)
    assert "lantern lit / rope wet" in str(written)


def test_what_is_lettered_smaller_to_fit_is_not_cut() -> None:
    """Over many widths: some scaled sizes come out a hair wider than asked for."""
    sheet = Page("a4", "Fit")
    for width in range(60, 110):
        sheet.text(10, 20, "shot 3 of 16 · INSERT", 10, width=width, least=5)
    words = PdfReader(BytesIO(sheet.finished())).pages[0].extract_text()
    assert words.count("INSERT") == 50
