"""Write out bars of MEI that stand for others: rests of many bars, repeated bars.

music21 gives a rest of many bars no length, and a repeated bar no notes.  The signs
are those of the MEI Guidelines, version 4, module CMN.
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from xml.etree.ElementTree import Element

MEI = "{http://www.music-encoding.org/ns/mei}"
ID = "{http://www.w3.org/XML/1998/namespace}id"
MOST_BARS = 5_000
"""Bars of a score with its rests written out; our own choice."""


def write_out_bars(root: Element) -> None:
    """Give rests of many bars their bars, and repeated bars their notes.

    Raises
    ------
    ValueError
        If there are more bars than any score has.
    """
    total = 0
    for parent in list(root.iter()):
        if any(child.tag == f"{MEI}measure" for child in parent):
            children: list[Element] = []
            for child in list(parent):
                total += _bars_of(child)
                if total > MOST_BARS:
                    raise ValueError(f"more than {MOST_BARS} bars")
                children += _written_out(child)
            parent[:] = children
    _repeat_bars(root)


def _bars_of(element: Element) -> int:
    """Tell for how many bars a measure stands; 1 for anything else."""
    counts = [rest.get("num", "") for rest in element.iter(f"{MEI}multiRest")]
    return max([1, *(int(count[:4]) for count in counts if count.isdecimal())])


def _written_out(measure: Element) -> Iterator[Element]:
    """Give the bars that a measure stands for, each with a rest of one bar."""
    count = _bars_of(measure)
    if count == 1:
        yield measure
        return
    number = measure.get("n", "")
    for k in range(count):
        bar = deepcopy(measure)
        for rest in bar.iter(f"{MEI}multiRest"):
            rest.tag = f"{MEI}mRest"
        if k:
            bar[:] = [child for child in bar if child.tag == f"{MEI}staff"]
            bar.attrib.pop("left", None)
            _without_names(bar)
        if k + 1 < count:
            bar.attrib.pop("right", None)
        if number.isdecimal():
            bar.set("n", str(int(number) + k))
        yield bar


def _repeat_bars(root: Element) -> None:
    """Give bars that repeat the one before its notes."""
    before: dict[tuple[str, str], Element] = {}
    for measure in root.iter(f"{MEI}measure"):
        for staff in measure.iterfind(f"{MEI}staff"):
            for layer in staff.iterfind(f"{MEI}layer"):
                place = (staff.get("n", ""), layer.get("n", ""))
                if layer.find(f"{MEI}mRpt") is not None and place in before:
                    layer[:] = [deepcopy(child) for child in before[place]]
                    _without_names(layer)
                before[place] = layer


def _without_names(element: Element) -> None:
    """Take the names out of a copy: a name belongs to one element."""
    for child in element.iter():
        child.attrib.pop(ID, None)
