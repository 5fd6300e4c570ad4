"""A part with its marks as one HTML page for the stand: a browser shows and prints it.

Whatever comes from a score or a player is escaped; the pages hold no script and fetch
nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from coach.planning.naming import name_beat, say_place
from coach.planning.page_words import say_order
from coach.planning.plan import Plan
from coach.score.plain_text import one_line

MUSIC_SIZE = (1900, 2380)
"""Width and height of the music on a page of A4, in tenths of a millimetre."""

STYLE = """
@page { size: A4; margin: 0 }
body { margin: 0; color: black; background: white; font-family: serif }
section { width: 190mm; height: 276mm; padding: 10mm; break-after: page }
section:last-child { break-after: auto }
header { height: 20mm; text-align: center }
h1 { margin: 0; font-size: 7mm; font-weight: normal }
p { margin: 1mm 0 0; font-size: 3.5mm }
svg { display: block; width: 190mm; height: 238mm }
footer { height: 18mm; text-align: center }
@media screen { section { margin: 5mm auto; box-shadow: 0 0 2mm gray } }
"""
"""How it looks: sizes of A4, 210 by 297 mm (ISO 216)."""


def write_marked_page(plan: Plan, pages: Sequence[str], *, player: str = "") -> str:
    """Write the whole page.

    Parameters
    ----------
    pages : sequence of str
        The music of each page, as SVG.
    player : str
        Who plays; empty for whoever the laptop belongs to.
    """
    title = escape(one_line(plan.part.title))
    again = f"<p>{title}</p>"
    sections = "".join(
        f"<section><header>{_header(plan, title, player) if k == 0 else again}</header>"
        f"{music}<footer>{_footer(plan, k + 1, len(pages))}</footer></section>\n"
        for k, music in enumerate(pages)
    )
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f"<title>{title}</title><style>{STYLE}</style></head>"
        f"<body>\n{sections}</body></html>\n"
    )


def _header(plan: Plan, title: str, player: str) -> str:
    """Say what it is, and for whom it is marked."""
    part = plan.part
    lungs = f"{plan.player.capacity_l:.1f} L"
    words = [
        f"{name_beat(float(part.tempo.beat))} = {plan.bpm:g}",
        plan.instrument.title,
        f"marked for {one_line(player)}, {lungs}" if player else f"marked for {lungs}",
    ]
    order = say_order(part.bars)
    if order:
        words.append(f"written out as it is played: {order}")
    return f"<h1>{title}</h1><p>{escape(' · '.join(words))}</p>"


def _footer(plan: Plan, page: int, count: int) -> str:
    """Say what the signs mean and where air is lacking; and which page it is."""
    said = [*_signs(plan), *_lack(plan)] if page == 1 else []
    lines = [" · ".join(said), f"page {page} of {count}" if count > 1 else ""]
    return "".join(f"<p>{escape(line)}</p>" for line in lines if line)


def _signs(plan: Plan) -> Iterator[str]:
    """Explain the signs that are there."""
    breaths, slide = plan.breaths.breaths, plan.slide
    if any(breath.kind == "full" for breath in breaths):
        yield "V breathe full, or deep"
    if any(breath.kind != "full" for breath in breaths):
        yield "’ top off"
    if any(breath.is_optional for breath in breaths):
        yield "(V) (’) only if you need it"
    if any(breath.is_extra for breath in breaths):
        yield f"+V +’ only at {plan.bpm:g}: at {plan.part.tempo.bpm:g} you play through"
    if any(place.is_alternate for place in slide.placements):
        yield "(4) alternate"
    begun = zip(plan.part.notes, slide.articulations, strict=True)
    if any(how.is_slur and not note.is_slurred for note, how in begun):
        yield "dashed slur: the plan's, with no tongue"
    if plan.breaths.left_out:
        yield "note in brackets: left out to breathe"


def _lack(plan: Plan) -> Iterator[str]:
    """Say where the air runs out first, if it does."""
    if plan.breaths.runs_out is not None:
        place = plan.breaths.dry_place(plan.breaths.runs_out)
        yield f"the air runs out in {say_place(place.bar, place.beat)}"
