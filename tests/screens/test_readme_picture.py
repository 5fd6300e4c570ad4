"""The picture in the README is one of the screens as they are."""

from __future__ import annotations

import re
from html import unescape

from tests.readme_picture import PICTURE, ROOT, draw

TEXT = re.compile(r'<text [^>]*y="([\d.]+)"[^>]*>([^<]*)</text>')


def rows_of(svg: str) -> list[list[str]]:
    """Give what stands in each row of a picture, in words."""
    rows: dict[float, list[str]] = {}
    for y, text in TEXT.findall(svg):
        rows.setdefault(float(y), []).extend(unescape(text).split())
    return [rows[y] for y in sorted(rows)]


async def test_the_picture_in_the_readme_is_of_the_screen_as_it_is() -> None:
    """Plans change and pictures age; what stands where must be the same."""
    kept = PICTURE.read_text(encoding="utf-8")
    mine, theirs = rows_of(await draw()), rows_of(kept)
    told = "draw it anew: uv run python -m tests.readme_picture"
    assert len(mine) == len(theirs), told
    assert (mine[0], mine[1][:2], mine[-1]) == (theirs[0], theirs[1][:2], theirs[-1]), (
        told
    )
    for word in ("half", "next", "pos.", "left"):
        assert any(word in row for row in theirs), told
        assert any(word in row for row in mine)


def test_it_asks_for_nothing_from_elsewhere_and_the_readme_shows_it() -> None:
    links = re.findall(r'https?://[^"\s)]+', PICTURE.read_text(encoding="utf-8"))
    assert [link for link in links if "www.w3.org" not in link] == []
    name = PICTURE.relative_to(ROOT).as_posix()
    assert f"]({name})" in (ROOT / "README.md").read_text(encoding="utf-8")
