"""The page for looking, as text: whole in itself, labelled, and with enough contrast."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
import wcag_contrast_ratio
from boards import BoardFolder, panels

from animatic.cli import run
from animatic.review.page import look_page
from animatic.timeline import lay_out
from animatic.timeline.findings import findings

BOARD = panels(
    """
    - {shot: "1 <b>", photo: a.jpg, duration: 3f, size: WS}
    - {shot: 2, photo: a.jpg, duration: 24f, dialogue: [{who: Odd, line: "a </script> & b"}]}
    """,
    "board: 1\npicture: {size: 160x90}\ntitle: Low </script><i> & Water\n",
)


class Seen(HTMLParser):
    """Collects every tag with its attributes, and the words inside buttons."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.inside = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.inside = tag if tag in ("button", "h1") else self.inside
        if tag == "button":
            self.words.append("")

    def handle_data(self, data: str) -> None:
        if self.inside == "button":
            self.words[-1] += data

    def handle_endtag(self, tag: str) -> None:
        self.inside = "" if tag == self.inside else self.inside

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.tags if name == tag]


@pytest.fixture
def page(tmp_path: Path) -> str:
    board = BoardFolder(tmp_path)
    board.photo("a.jpg")
    read = board.read(BOARD)
    timeline = lay_out(read)
    found = findings(read, timeline)
    return look_page(read, timeline, b"film", found, "b0a2d", "Caution: it may flash.")


def test_nothing_is_asked_of_a_network(page: str) -> None:
    seen = Seen(page)
    for _, attributes in seen.tags:
        for key in ("src", "href", "action", "poster", "data"):
            value = attributes.get(key)
            assert value is None or value.startswith(("data:", "#")), value
    assert "url(" not in page.split("</style>")[0]
    assert "@import" not in page
    policy = [tag["content"] for tag in seen.all("meta") if "http-equiv" in tag]
    assert policy == [
        "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline';"
        " img-src data:; media-src blob: data:"
    ]


def test_words_of_the_board_stay_words(page: str) -> None:
    seen = Seen(page)
    assert len(seen.all("script")) == 3
    assert seen.all("b") == []
    assert seen.all("i") == []
    assert '<h1 dir="auto">Low &lt;/script&gt;&lt;i&gt; &amp; Water</h1>' in page
    assert "Odd: a &lt;/script&gt; &amp; b" in page


def test_everything_has_a_name_for_a_screen_reader(page: str) -> None:
    seen = Seen(page)
    assert all(tag.get("alt") is not None for tag in seen.all("img"))
    assert all(words.strip() for words in seen.words)
    labels = {tag.get("for") for tag in seen.all("label")}
    assert {tag["id"] for tag in (*seen.all("input"), *seen.all("textarea"))} <= labels
    assert seen.all("html") == [{"lang": "en"}]
    ids = [tag["id"] for _, tag in seen.tags if "id" in tag]
    assert len(ids) == len(set(ids))
    for _, tag in seen.tags:
        for key in ("aria-labelledby", "for"):
            assert tag.get(key) is None or tag[key] in ids


def test_the_caution_stands_on_the_page(page: str) -> None:
    assert '<p class="caution">Caution: it may flash.</p>' in page


# Least contrast by WCAG 2.2 (W3C, 2023): 4.5 for text (SC 1.4.3), 3 for edges (SC 1.4.11).
PAIRS = [
    ("ink", "paper", 4.5),
    ("ink", "card", 4.5),
    ("ink", "here", 4.5),
    ("quiet", "card", 4.5),
    ("on-deed", "deed", 4.5),
    ("edge", "card", 3),
    ("edge", "paper", 3),
    ("deed", "card", 3),
]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("one", "other", "least"), PAIRS)
def test_colours_have_contrast(page: str, scheme: str, one: str, other: str, least: float) -> None:
    light, dark = re.findall(r":root \{(.*?)\}", page, re.DOTALL)[:2]
    colours = dict(
        re.findall(r"--([\w-]+): #([0-9a-f]{6})", {"light": light, "dark": dark}[scheme])
    )

    def rgb(name: str) -> tuple[float, float, float]:
        red, green, blue = (int(colours[name][at : at + 2], 16) / 255 for at in (0, 2, 4))
        return red, green, blue

    assert wcag_contrast_ratio.rgb(rgb(one), rgb(other)) >= least


def test_the_command_writes_the_page_beside_the_board(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = BoardFolder(tmp_path)
    board.photo("a.jpg")
    board.write(BOARD)
    assert run(["look", str(tmp_path)]) == 0
    file = tmp_path / "out" / "look.html"
    assert capsys.readouterr().out == (
        f"{file}\nnotes stay in the browser that they are typed in; save them there as a file\n"
    )
    first = file.read_bytes()
    assert run(["look", str(tmp_path)]) == 0
    assert file.read_bytes() == first


def test_the_page_finds_what_check_finds_though_it_is_smaller(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    board = BoardFolder(tmp_path)
    board.photo("a.jpg", size=(240, 135))
    board.write(BOARD.replace("160x90", "320x180"))
    assert run(["check", str(tmp_path)]) == 0
    assert "is enlarged 1.33 times" in capsys.readouterr().out
    assert run(["look", str(tmp_path)]) == 0
    assert "is enlarged 1.33 times" in (tmp_path / "out" / "look.html").read_text("utf-8")
