"""Whole parts on pages, by the real process; and a process that does not answer."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest
import verovio

from coach.config import shipped
from coach.edges.engraving import page_engraver
from coach.edges.engraving.engraving_settings import read_engraving_limits
from coach.edges.engraving.in_child import engraver_child
from coach.edges.engraving.page_engraver import engrave_pages
from coach.errors import CoachError
from coach.plain.paper.marked_page import MUSIC_SIZE
from coach.screens.staff.engraved.mei_marks import write_marked_mei
from tests.dry_music import unbroken
from tests.hand_rehearsal import HandRehearsal
from tests.screens.staff.engraved.test_mei_marks import plan_of

ETUDES = sorted(shipped("etudes").glob("*.musicxml"))


@pytest.mark.usefixtures("read_etudes")
@pytest.mark.parametrize("etude", ETUDES, ids=lambda path: path.stem)
def test_every_marked_etude_is_engraved_whole_without_a_warning(
    etude: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    mei = write_marked_mei(plan_of(etude))
    engraver_child.toolkit()
    verovio.enableLog(verovio.LOG_WARNING)
    try:
        pages = engraver_child.engrave_pages(mei, *MUSIC_SIZE)
    finally:
        verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""
    for mei_sign, drawn in (
        ("<note ", 'class="note"'),
        ("<fing ", 'class="fing"'),
        ("<breath ", 'class="breath"'),
        ("<dir ", 'class="dir"'),
    ):
        assert sum(page.count(drawn) for page in pages) == mei.count(mei_sign)


def test_the_process_gives_a_page_after_the_other() -> None:
    plan = HandRehearsal(unbroken()).conductor.plan
    mei = write_marked_mei(plan)
    one = engrave_pages(mei, MUSIC_SIZE)
    assert len(one) == 1
    low = engrave_pages(mei, (MUSIC_SIZE[0], MUSIC_SIZE[1] // 4))
    assert len(low) > 1
    for pages in (one, low):
        assert all(page.startswith("<svg") for page in pages)
        assert "".join(pages).count('class="note"') == len(plan.part.notes)


@pytest.mark.parametrize("code", ["raise SystemExit(1)", "print('{}')", "print('no')"])
def test_a_process_that_gives_no_pages_is_told_in_words(code: str) -> None:
    with pytest.raises(CoachError, match="cannot be engraved here"):
        engrave_pages("", MUSIC_SIZE, (sys.executable, "-c", code))


def test_nobody_waits_for_a_process_that_hangs(monkeypatch: pytest.MonkeyPatch) -> None:
    soon = replace(read_engraving_limits(), start_s=0.2)
    monkeypatch.setattr(page_engraver, "read_engraving_limits", lambda: soon)
    hangs = (sys.executable, "-c", "import time; time.sleep(60)")
    with pytest.raises(CoachError, match="takes too long to engrave"):
        engrave_pages("", MUSIC_SIZE, hangs)
