"""Small scores of every format, written by hand, for the tests of reading."""

from __future__ import annotations

import io

import mido

from coach.edges.scores.in_child.score_child import answer
from coach.edges.scores.score_columns import part_from_columns
from coach.edges.scores.score_limits import read_score_limits
from coach.edges.scores.score_request import Request
from coach.errors import ScoreError
from coach.score.note import Note
from coach.score.phrase import Part

HEAD = (
    "<divisions>12</divisions><key><fifths>-2</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time>"
)
BASS = "<clef><sign>F</sign><line>4</line></clef>"


def read(content: str | bytes, *, part: str | None = None, name: str = "x") -> Part:
    """Read a score in this process, as the child does in its own."""
    data = content.encode() if isinstance(content, str) else content
    found = answer(Request(name, part), data, read_score_limits())
    if "error" in found:
        raise ScoreError(*found["error"][1:])
    return part_from_columns(found["part"])


def spelled(part: Part) -> str:
    """Spell what sounds, in order."""
    return " ".join(str(note.sounding) for note in part.notes)


def lengths(part: Part) -> list[object]:
    """Give each length."""
    return [note.length for note in part.notes]


def at_bar(part: Part, number: int) -> list[Note]:
    """Give the notes of a bar of the page."""
    return [note for note in part.notes if note.bar == number]


def xml_note(
    pitch: str = "C3", duration: int = 12, *, more: str = "", notations: str = ""
) -> str:
    """Make a MusicXML note of ``Bb2`` or a rest of ``""``; 12 is a quarter."""
    if pitch:
        alter = pitch.count("#") - pitch.count("b")
        head = (
            f"<pitch><step>{pitch[0]}</step><alter>{alter}</alter>"
            f"<octave>{pitch[-1]}</octave></pitch>"
        )
    else:
        head = "<rest/>"
    signs = f"<notations>{notations}</notations>" if notations else ""
    grace = "<grace" in more
    time = "" if grace else f"<duration>{duration}</duration>"
    before, after = (
        (more, "")
        if grace or "<chord" in more or "<cue" in more
        else (
            "",
            more,
        )
    )
    return f"<note>{before}{head}{time}{after}{signs}</note>"


def grace(pitch: str, slash: str | None = None) -> str:
    """Make a MusicXML grace note, an eighth."""
    sign = f' slash="{slash}"' if slash else ""
    return xml_note(pitch, more=f"<grace{sign}/>").replace(
        "</note>", "<type>eighth</type></note>"
    )


def direction(content: str) -> str:
    """Make a MusicXML direction."""
    return f"<direction><direction-type>{content}</direction-type></direction>"


def words(text: str) -> str:
    """Make words above the staff."""
    return direction(f"<words>{text}</words>")


def metronome(number: str, unit: str = "quarter", dots: int = 0) -> str:
    """Make a metronome mark."""
    return direction(
        f"<metronome><beat-unit>{unit}</beat-unit>{'<beat-unit-dot/>' * dots}"
        f"<per-minute>{number}</per-minute></metronome>"
    )


def measures(*bars: str, head: str = HEAD + BASS, first: int = 1) -> str:
    """Make MusicXML measures, the first one with attributes."""
    return "".join(
        f'<measure number="{number}">'
        + (f"<attributes>{head}</attributes>" if number == first else "")
        + f"{content}</measure>"
        for number, content in enumerate(bars, first)
    )


def score(*parts: str, names: tuple[str, ...] = ("Trombone",), title: str = "") -> str:
    """Make a partwise MusicXML score of parts made with `measures`."""
    listed = "".join(
        f'<score-part id="P{k}"><part-name>{name}</part-name></score-part>'
        for k, name in enumerate(names, 1)
    )
    content = "".join(
        f'<part id="P{k}">{part}</part>' for k, part in enumerate(parts, 1)
    )
    movement = f"<movement-title>{title}</movement-title>" if title else ""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<!DOCTYPE score-partwise PUBLIC "-//Example//DTD MusicXML 4.0 Partwise//EN"'
        ' "http://www.musicxml.org/dtds/partwise.dtd">'
        f'<score-partwise version="4.0">{movement}<part-list>{listed}</part-list>'
        f"{content}</score-partwise>"
    )


def page(*bars: str, head: str = HEAD + BASS, first: int = 1) -> str:
    """Make a MusicXML score of one part."""
    return score(measures(*bars, head=head, first=first))


WHOLE = xml_note("F3", 48)


def midi_file(
    *tracks: list[mido.Message | mido.MetaMessage], ticks: int = 480
) -> bytes:
    """Make a MIDI file."""
    file = mido.MidiFile(ticks_per_beat=ticks)
    for track in tracks:
        file.tracks.append(mido.MidiTrack(track))
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def keys(*notes: tuple[int, int], gap: int = 0) -> list[mido.Message]:
    """Play key numbers one after another for some ticks each."""
    track: list[mido.Message] = []
    for key, ticks in notes:
        track.append(mido.Message("note_on", note=key, velocity=80, time=gap))
        track.append(mido.Message("note_off", note=key, time=ticks - gap))
    return track


KERN = """!!!OTL: Kern study
**kern\t**dynam
*clefF4\t*
*k[b-e-]\t*
*M4/4\t*
*MM96\t*
4FF\tmf
=1!|:\t=1!|:
(4BB-\t<
4C\t(
4D)\t[
8E-L'\tf
8F^J\t.
=2\t=2
4G,\t>
qA\t.
2G\t]
4r\tp
=3:|!\t=3:|!
2.B-;\t.
6c\t.
12d\t.
==\t==
*-\t*-
"""

ABC = """X:1
T:Abc study
M:4/4
L:1/8
Q:1/4=96
K:Bb clef=bass
F,2 |: !mf!B,,2 (C,2 D,2) .E,F, | !<(!G,2-G,2 !<)!{A,}B,2 !f!!breath!z2 |1
!fermata!B,8 :|2 {/c}B,4 (3CDE !>!F2 | !4!B,8 |]
"""

MEI = """<?xml version="1.0" encoding="UTF-8"?>
<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="4.0.1">
<meiHead><fileDesc><titleStmt><title>Mei study</title></titleStmt><pubStmt/>
</fileDesc></meiHead><music><body><mdiv><score>
<scoreDef meter.count="4" meter.unit="4" key.sig="2f"><staffGrp><staffDef n="1"
lines="5" clef.shape="F" clef.line="4"><label>Trombone</label></staffDef></staffGrp>
</scoreDef><section>
<measure n="0"><staff n="1"><layer n="1"><note pname="f" oct="2" dur="4"/></layer>
</staff><tempo tstamp="1" staff="1" mm="96" mm.unit="4">Allegro</tempo></measure>
<measure n="1" left="rptstart"><staff n="1"><layer n="1"><note xml:id="n1" pname="b"
oct="2" dur="4"><accid accid.ges="f"/></note><note xml:id="n2" pname="c" oct="3"
dur="4" artic="stacc"/><note xml:id="n3" pname="d" oct="3" dur="2" tie="i"/></layer>
</staff><slur startid="#n1" endid="#n2"/><dynam startid="#n1">p</dynam>
<hairpin form="cres" tstamp="1" tstamp2="0m+3" staff="1"/><breath startid="#n2"/>
</measure>
<ending n="1"><measure n="2" right="rptend"><staff n="1"><layer n="1">
<note pname="d" oct="3" dur="4" tie="t"/><note grace="unacc" pname="f" oct="3"
dur="8"/><note xml:id="n5" pname="e" oct="3" dur="2" accid.ges="f" dots="1"/></layer>
</staff><fermata startid="#n5"/></measure></ending>
<ending n="2"><measure n="3" right="end"><staff n="1"><layer n="1">
<tuplet num="3" numbase="2"><note pname="c" oct="3" dur="8"/><note pname="d" oct="3"
dur="8"/><note pname="c" oct="3" dur="8"/></tuplet><note xml:id="n7" pname="b" oct="2"
dur="2" accid.ges="f" dots="1"/></layer></staff><reh tstamp="1">B</reh>
<caesura startid="#n7"/><dynam tstamp="2">ff</dynam><fing startid="#n7">1</fing>
</measure></ending></section></score></mdiv></body></music></mei>
"""
