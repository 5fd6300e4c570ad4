"""Lay open what MEI wraps notes in, and find what is not played as it is written.

music21 passes over tremolos, editors' readings and everything else that it does not
know, with the notes inside.  The elements are those of the MEI Guidelines, version 5.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from coach.edges.scores.in_child.formats.mei_bars import MEI
from coach.edges.scores.in_child.sign_sentences import (
    ARPEGGIO,
    BEND,
    CHORD_SYMBOLS,
    CUES,
    GLISSANDO,
    HARMONIC,
    NOTEHEADS,
    OCTAVE_LINE,
    ORNAMENT,
    PEDAL,
    PERCUSSION_PART,
    QUARTER_TONE,
    REPEATED_BEATS,
    TREMOLO,
    TRILL,
)
from coach.score.played.repeats import route_word_in

Found = list[tuple[int, str]]

NAMED = {
    "trill": TRILL,
    **dict.fromkeys(("turn", "mordent", "ornam"), ORNAMENT),
    **dict.fromkeys(("bTrem", "fTrem"), TREMOLO),
    "gliss": GLISSANDO,
    "bend": BEND,
    "arpeg": ARPEGGIO,
    "harm": CHORD_SYMBOLS,
    "pedal": PEDAL,
    "octave": OCTAVE_LINE,
    **dict.fromkeys(("beatRpt", "halfmRpt", "mRpt2", "multiRpt"), REPEATED_BEATS),
}
"""Elements of a bar, and what is said of them."""

ALL_INSIDE = (
    *("bTrem", "graceGrp", "ligature", "supplied", "unclear", "add", "damage"),
    *("corr", "reg", "lem", "expan"),
)
"""What is wrapped around notes that are all played."""

FIRST_INSIDE = ("fTrem",)
"""What holds notes of which the first one stands for all."""

ONE_OF = ("choice", "app", "subst")
"""What holds several readings, of which one is played."""

OTHER_READINGS = {f"{MEI}{kind}" for kind in ("sic", "orig", "abbr", "rdg", "del")}
"""What is played only where there is nothing better."""

QUARTER_TONES = {"1qs": "n", "3qs": "s", "1qf": "f", "3qf": "ff"}
"""Quarter tones and the semitone below each."""

HEADS = ("quarter", "half", "whole", "filled", "void")
JUMPS = {
    "coda": "coda",
    "segno": "segno",
    "fine": "fine",
    "daCapo": "da capo",
    "dalSegno": "dal segno",
}
"""What a ``repeatMark`` says, and the words of `RepeatSigns`."""


def lay_open(measures: Sequence[Element], root: Element) -> Found:
    """Make all notes plain children of their layer; say what is played otherwise."""
    found: Found = []
    for k, measure in enumerate(measures):
        found += [(k, what) for what in _named(measure)]
        _unwrap(measure)
        for note in list(measure.iter(f"{MEI}note")):
            # Under an octave line MEI writes where a note stands and where it sounds.
            note.set("oct", note.get("oct.ges", note.get("oct", "")))
            for name in ("accid", "accid.ges"):
                if note.get(name) in QUARTER_TONES:
                    note.set(name, QUARTER_TONES[note.get(name, "")])
                    found.append((k, QUARTER_TONE))
        for sign in measure.iter(f"{MEI}accid"):
            if sign.get("accid") in QUARTER_TONES:
                sign.set("accid", QUARTER_TONES[sign.get("accid", "")])
                found.append((k, QUARTER_TONE))
        found += [(k, CUES)] * _silence_cues(measure)
    clefs = [*root.iter(f"{MEI}staffDef"), *root.iter(f"{MEI}clef")]
    if any("perc" in (clef.get("clef.shape"), clef.get("shape")) for clef in clefs):
        found.append((0, PERCUSSION_PART))
    return found


def words_in(measure: Element) -> Iterator[tuple[Element, str, str]]:
    """Give each text above a bar, and the word of the way that it stands for."""
    for sign in measure:
        if sign.tag == f"{MEI}dir":
            text = " ".join("".join(sign.itertext()).split())
            yield sign, text, route_word_in(text)
        elif sign.tag == f"{MEI}repeatMark":
            yield sign, "", JUMPS.get(sign.get("func", ""), "")


def _named(measure: Element) -> Iterator[str]:
    """Say what of a bar is not played as it is written."""
    for element in measure.iter():
        kind = element.tag.removeprefix(MEI)
        if kind in NAMED:
            yield NAMED[kind]
        if kind in ("note", "chord"):
            if element.get("stem.mod", "").endswith("slash") and not element.get(
                "grace"
            ):
                yield TREMOLO
            if element.get("head.shape", HEADS[0]) not in HEADS:
                yield NOTEHEADS
            if "harm" in element.get("artic", "").split():
                yield HARMONIC


def _unwrap(parent: Element) -> None:
    """Put what is inside of wrappings in their place."""
    children: list[Element] = []
    for child in list(parent):
        _unwrap(child)
        kind = child.tag.removeprefix(MEI)
        if kind == "graceGrp":
            for note in child.iter(f"{MEI}note"):
                note.attrib.setdefault("grace", child.get("grace", "acc"))
        if kind in ALL_INSIDE:
            children += list(child)
        elif kind in FIRST_INSIDE:
            children += list(child)[:1]
        elif kind in ONE_OF:
            children += _chosen(child)
        else:
            children.append(child)
    parent[:] = children


def _chosen(readings: Element) -> list[Element]:
    """Give the notes of one of several readings.

    Those that are all played are laid open already, so what is left are the others.
    """
    best = [child for child in readings if child.tag not in OTHER_READINGS]
    return best or [note for reading in list(readings)[:1] for note in reading]


def _silence_cues(measure: Element) -> int:
    """Make rests of cue notes; say how many there were."""
    cues = [
        note
        for kind in ("note", "chord")
        for note in measure.iter(f"{MEI}{kind}")
        if note.get("cue") == "true"
    ]
    for note in cues:
        kept = {name: note.get(name, "") for name in ("dur", "dots") if note.get(name)}
        note.tag = f"{MEI}rest"
        note.clear()
        note.attrib.update(kept)
    return len(cues)
