"""The elements of MusicXML that change what is played, one a line.

Source: MusicXML 4.0 (W3C Music Notation Community Group, 2021); the name is that of
the element.  A bar of notes is written by `bar_of`: pitches of quarter notes.
"""

from __future__ import annotations

from tests.edges.scores.score_samples import (
    direction,
    grace,
    metronome,
    words,
    xml_note,
)


def bar_of(*pitches: str) -> str:
    """Write quarter notes; ``""`` is a rest."""
    return "".join(xml_note(pitch) for pitch in pitches)


def with_sign(notations: str, *, more: str = "") -> str:
    """Write a bar whose second note has a sign."""
    return xml_note("C3") + xml_note("D3", 36, notations=notations, more=more)


def barline(content: str, place: str = "right") -> str:
    """Write a bar line."""
    return f'<barline location="{place}">{content}</barline>'


def sound(attributes: str) -> str:
    """Write a direction that is heard and not seen."""
    return f"<sound {attributes}/>"


def attributes(content: str) -> str:
    """Write attributes."""
    return f"<attributes>{content}</attributes>"


def technical(name: str) -> str:
    """Write a technical sign."""
    return f"<technical><{name}/></technical>"


def articulation(name: str) -> str:
    """Write an articulation."""
    return f"<articulations><{name}/></articulations>"


def ornament(content: str) -> str:
    """Write an ornament."""
    return f"<ornaments>{content}</ornaments>"


CDEF = bar_of("C3", "D3", "E3", "F3")
WHOLE_C, WHOLE_D, WHOLE_E, WHOLE_F = (xml_note(p, 48) for p in ("C3", "D3", "E3", "F3"))
REPEAT = barline('<repeat direction="backward"/>')
OPEN = barline('<repeat direction="forward"/>', "left")
C, D, E, F = "C3*4", "D3*4", "E3*4", "F3*4"
BACK = "<backup><duration>{}</duration></backup>"
CUE = xml_note("G3", 48, more="<cue/>")
UNPITCHED = (
    "<note><unpitched><display-step>E</display-step><display-octave>4"
    "</display-octave></unpitched><duration>48</duration></note>"
)


def ending(number: str, content: str, *, closes: bool = True) -> str:
    """Write a bar under an ending."""
    start = f'<ending number="{number}" type="start"/>'
    stop = f'<ending number="{number}" type="stop"/>'
    back = '<repeat direction="backward"/>' if closes else ""
    return barline(start, "left") + content + barline(stop + back)


# fmt: off
# Element, bars, and what is played.
PLAYED: list[tuple[str, list[str], str]] = [
    ("pitch", [CDEF], "1: C3 D3 E3 F3"),
    ("alter", [bar_of("Bb2", "F#3", "Bbb2", "F##3")], "1: Bb2 F#3 Bbb2 F##3"),
    ("rest", [bar_of("C3", "", "E3", "")], "1: C3 z E3 z"),
    ("rest measure", [WHOLE_C, '<note><rest measure="yes"/><duration>48</duration></note>', WHOLE_D], f"1: {C} | 2: z*4 | 3: {D}"),
    ("multiple-rest", [WHOLE_C, attributes("<measure-style><multiple-rest>2</multiple-rest></measure-style>") + xml_note("", 48), xml_note("", 48), WHOLE_D], f"1: {C} | 2: z*4 | 3: z*4 | 4: {D}"),
    ("dot", [xml_note("C3", 18, more="<type>quarter</type><dot/>") + xml_note("D3", 30)], "1: C3*3/2 D3*5/2"),
    ("tie", [xml_note("C3", 48, more='<tie type="start"/>', notations='<tied type="start"/>'), xml_note("C3", 48, more='<tie type="stop"/>', notations='<tied type="stop"/>')], "1: C3*8 | 2: "),
    ("slur", [xml_note("C3", notations='<slur type="start" number="1"/>') + xml_note("D3") + xml_note("E3", notations='<slur type="stop" number="1"/>') + xml_note("F3")], "1: C3 ~D3 ~E3 F3"),
    ("time-modification", [xml_note("C3", 8, more="<type>quarter</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>") * 3 + xml_note("D3", 24)], "1: C3*2/3 C3*2/3 C3*2/3 D3*2"),
    ("grace", [grace("D3") + WHOLE_C], "1: D3*1/2 C3*7/2"),
    ("grace slash", [xml_note("C3", 24) + grace("D3", "yes") + xml_note("E3", 24)], "1: C3*15/8 D3*1/8 E3*2"),
    ("chord", [xml_note("C3", 48) + xml_note("E3", 48, more="<chord/>")], f"1: {E}"),
    ("backup", [WHOLE_C.replace("</note>", "<voice>1</voice></note>") + "<backup><duration>48</duration></backup>" + WHOLE_E.replace("</note>", "<voice>2</voice></note>")], f"1: {C}"),
    ("forward", [xml_note("C3") + "<forward><duration>24</duration></forward>" + xml_note("D3")], "1: C3 z*2 D3"),
    ("repeat", [WHOLE_C, WHOLE_D + REPEAT], f"1: {C} | 2: {D} | 1: {C} | 2: {D}"),
    ("repeat forward", [WHOLE_C, OPEN + WHOLE_D + REPEAT, WHOLE_E], f"1: {C} | 2: {D} | 2: {D} | 3: {E}"),
    ("repeat times", [WHOLE_C + barline('<repeat direction="backward" times="3"/>')], f"1: {C} | 1: {C} | 1: {C}"),
    ("ending", [WHOLE_C, ending("1", WHOLE_D), ending("2", WHOLE_E, closes=False), WHOLE_F], f"1: {C} | 2: {D} | 1: {C} | 3: {E} | 4: {F}"),
    ("ending without a number", [WHOLE_C, ending("", WHOLE_D), ending("2", WHOLE_E, closes=False), WHOLE_F], f"1: {C} | 2: {D} | 1: {C} | 3: {E} | 4: {F}"),
    ("ending list", [WHOLE_C, ending("1, 2", WHOLE_D), ending("3", WHOLE_E, closes=False)], f"1: {C} | 2: {D} | 1: {C} | 2: {D} | 1: {C} | 3: {E}"),
    ("ending list without spaces", [WHOLE_C, ending("1,3", WHOLE_D), ending("2", WHOLE_E), ending("4", WHOLE_F, closes=False)], f"1: {C} | 2: {D} | 1: {C} | 3: {E} | 1: {C} | 2: {D} | 1: {C} | 4: {F}"),
    ("words D.C. al Fine", [WHOLE_C, WHOLE_D + words("Fine"), WHOLE_E + words("D.C. al Fine")], f"1: {C} | 2: {D} | 3: {E} | 1: {C} | 2: {D}"),
    ("segno", [WHOLE_C, direction("<segno/>") + WHOLE_D, WHOLE_E + words("D.S.")], f"1: {C} | 2: {D} | 3: {E} | 2: {D} | 3: {E}"),
    ("coda", [WHOLE_C, WHOLE_D + direction("<coda/>"), WHOLE_E + words("D.C. al Coda"), direction("<coda/>") + WHOLE_F], f"1: {C} | 2: {D} | 3: {E} | 1: {C} | 2: {D} | 4: {F}"),
    ("sound dacapo", [WHOLE_C, WHOLE_D + sound('fine="yes"'), WHOLE_E + sound('dacapo="yes"')], f"1: {C} | 2: {D} | 3: {E} | 1: {C} | 2: {D}"),
    ("sound dalsegno", [WHOLE_C, sound('segno="a"') + WHOLE_D, WHOLE_E + sound('dalsegno="a"')], f"1: {C} | 2: {D} | 3: {E} | 2: {D} | 3: {E}"),
    ("sound tocoda", [WHOLE_C, WHOLE_D + sound('tocoda="b"'), WHOLE_E + sound('dacapo="yes"'), sound('coda="b"') + WHOLE_F], f"1: {C} | 2: {D} | 3: {E} | 1: {C} | 2: {D} | 4: {F}"),
    ("sound beside words", [WHOLE_C, WHOLE_D + words("Fine") + sound('fine="yes"'), WHOLE_E + words("D.C.") + sound('dacapo="yes"')], f"1: {C} | 2: {D} | 3: {E} | 1: {C} | 2: {D}"),
    ("barline segno and coda", [WHOLE_C, barline("<segno/>", "left") + WHOLE_D, WHOLE_E + words("D.S.")], f"1: {C} | 2: {D} | 3: {E} | 2: {D} | 3: {E}"),
    ("time", [WHOLE_C, attributes("<time><beats>3</beats><beat-type>4</beat-type></time>") + xml_note("D3", 36), xml_note("E3", 36)], f"1: {C} | 2: D3*3 | 3: E3*3"),
    ("time beats 3+2", [WHOLE_C, attributes("<time><beats>3+2</beats><beat-type>8</beat-type></time>") + xml_note("D3", 30), xml_note("E3", 30)], f"1: {C} | 2: D3*5/2 | 3: E3*5/2"),
    ("time senza-misura", [attributes("<time><senza-misura/></time>") + xml_note("D3", 60), xml_note("E3", 36)], "1: D3*5 | 2: E3*3"),
    ("key", [WHOLE_C, attributes("<key><fifths>2</fifths></key>") + xml_note("F#3", 48)], f"1: {C} | 2: F#3*4"),
    ("transpose without steps", [attributes("<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>") + WHOLE_C], "1: C2*4"),
    ("transpose by semitones", [attributes("<transpose><chromatic>-3</chromatic></transpose>") + WHOLE_C], "1: A2*4"),
    ("transpose", [attributes("<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>") + WHOLE_C], "1: Bb2*4"),
    ("octave-shift", [direction('<octave-shift type="down" size="8"/>') + WHOLE_C + direction('<octave-shift type="stop" size="8"/>'), WHOLE_D], f"1: {C} | 2: {D}"),
    ("clef-octave-change", [attributes("<clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef>") + WHOLE_C], f"1: {C}"),
    ("measure-repeat", [CDEF, attributes('<measure-style><measure-repeat type="start">1</measure-repeat></measure-style>') + xml_note("", 48), attributes('<measure-style><measure-repeat type="stop"/></measure-style>') + WHOLE_E], f"1: C3 D3 E3 F3 | 2: C3 D3 E3 F3 | 3: {E}"),
    ("measure-repeat of two", [WHOLE_C, WHOLE_D, attributes('<measure-style><measure-repeat type="start">2</measure-repeat></measure-style>') + xml_note("", 48), xml_note("", 48), attributes('<measure-style><measure-repeat type="stop"/></measure-style>') + WHOLE_E], f"1: {C} | 2: {D} | 3: {C} | 4: {D} | 5: {E}"),
    ("cue", [WHOLE_C, CUE, WHOLE_D], f"1: {C} | 2: z*4 | 3: {D}"),
    ("unpitched", [WHOLE_C, UNPITCHED, WHOLE_D], f"1: {C} | 2: z*4 | 3: {D}"),
    ("measure implicit", [xml_note("C3", 12), CDEF], "0: C3 | 1: C3 D3 E3 F3"),
]

# Element, a bar, and what becomes of its second note (an attribute and its value).
KEPT: list[tuple[str, str, str]] = [
    ("staccato", with_sign(articulation("staccato")), "staccato"),
    ("staccatissimo", with_sign(articulation("staccatissimo")), "staccatissimo"),
    ("tenuto", with_sign(articulation("tenuto")), "tenuto"),
    ("detached-legato", with_sign(articulation("detached-legato")), "detached-legato"),
    ("accent", with_sign(articulation("accent")), "accent"),
    ("strong-accent", with_sign(articulation("strong-accent")), "strong-accent"),
    ("stress", with_sign(articulation("stress")), "stress"),
    ("unstress", with_sign(articulation("unstress")), "unstress"),
    ("spiccato", with_sign(articulation("spiccato")), "spiccato"),
    ("scoop", with_sign(articulation("scoop")), "scoop"),
    ("plop", with_sign(articulation("plop")), "plop"),
    ("doit", with_sign(articulation("doit")), "doit"),
    ("falloff", with_sign(articulation("falloff")), "falloff"),
    ("double-tongue", with_sign(technical("double-tongue")), "double-tongue"),
    ("triple-tongue", with_sign(technical("triple-tongue")), "triple-tongue"),
    ("stopped", with_sign(technical("stopped")), "stopped"),
    ("trill-mark", with_sign(ornament("<trill-mark/>")), "trill-mark"),
    ("turn", with_sign(ornament("<turn/>")), "turn"),
    ("inverted-turn", with_sign(ornament("<inverted-turn/>")), "inverted-turn"),
    ("mordent", with_sign(ornament("<mordent/>")), "mordent"),
    ("inverted-mordent", with_sign(ornament("<inverted-mordent/>")), "inverted-mordent"),
    ("tremolo", with_sign(ornament('<tremolo type="single">2</tremolo>')), "tremolo"),
    ("breath-mark", with_sign(articulation("breath-mark")), "breath"),
    ("caesura", with_sign(articulation("caesura")), "caesura"),
    ("fermata", with_sign("<fermata/>"), "fermata"),
    ("glissando", xml_note("C3") + xml_note("D3", notations='<glissando type="start" number="1"/>') + xml_note("G3", 24, notations='<glissando type="stop" number="1"/>'), "glissando"),
    ("slide", xml_note("C3") + xml_note("D3", notations='<slide type="start" number="1"/>') + xml_note("G3", 24, notations='<slide type="stop" number="1"/>'), "glissando"),
    ("fingering", with_sign("<technical><fingering>4</fingering></technical>"), "4"),
]

# Element, a bar, and what is said of it.
NAMED: list[tuple[str, str, str]] = [
    ("glissando", xml_note("C3", notations='<glissando type="start" number="1"/>') + xml_note("G3", 36, notations='<glissando type="stop" number="1"/>'), "glissando"),
    ("slide", xml_note("C3", notations='<slide type="start" number="1"/>') + xml_note("G3", 36, notations='<slide type="stop" number="1"/>'), "glissando"),
    ("trill-mark", with_sign(ornament("<trill-mark/>")), "trill"),
    ("wavy-line", with_sign(ornament('<wavy-line type="start"/>')), "trill"),
    ("tremolo", with_sign(ornament('<tremolo type="single">2</tremolo>')), "tremolo"),
    ("turn", with_sign(ornament("<turn/>")), "ornament"),
    ("schleifer", with_sign(ornament("<schleifer/>")), "ornament"),
    ("haydn", with_sign(ornament("<haydn/>")), "ornament"),
    ("cue", CUE.replace("48", "24") + xml_note("C3", 24), "cue notes"),
    ("unpitched", UNPITCHED.replace("48", "24") + xml_note("C3", 24), "percussion"),
    ("chord", xml_note("C3", 48) + xml_note("E3", 48, more="<chord/>"), "Chords"),
    ("harmony", "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>" + WHOLE_C, "chord symbols"),
    ("figured-bass", "<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>" + WHOLE_C, "chord symbols"),
    ("fermata on a rest", xml_note("C3", 24) + xml_note("", 24, notations="<fermata/>"), "fermata on a rest"),
    ("fermata on a bar line", WHOLE_C + barline("<fermata/>"), "fermata on a rest or bar line"),
    ("pedal", direction('<pedal type="start"/>') + WHOLE_C, "pedal"),
    ("notehead slash", xml_note("C3", 48, more="<notehead>slash</notehead>"), "noteheads"),
    ("notehead x", xml_note("C3", 48, more="<notehead>x</notehead>"), "noteheads"),
    ("slash", attributes('<measure-style><slash type="start"/></measure-style>') + WHOLE_C, "slashes"),
    ("alter of a quarter tone", "<note><pitch><step>C</step><alter>0.5</alter><octave>3</octave></pitch><duration>48</duration></note>", "quarter tone"),
    ("soft-accent", with_sign(articulation("soft-accent")), "soft accent"),
    ("beat-repeat", attributes('<measure-style><beat-repeat type="start"/></measure-style>') + WHOLE_C, "repeat a beat"),
    ("harmonic", with_sign("<technical><harmonic/></technical>"), "harmonic"),
    ("bend", with_sign("<technical><bend><bend-alter>-1</bend-alter></bend></technical>"), "bend"),
    ("scoop", with_sign(articulation("scoop")), "bend"),
    ("arpeggiate", with_sign("<arpeggiate/>"), "arpeggio"),
    ("octave-shift", direction('<octave-shift type="down" size="8"/>') + WHOLE_C, "octave line"),
    ("backup over a note", bar_of("C3", "D3") + BACK.format(12) + bar_of("E3", "F3", "G3"), "over each other"),
    ("backup out of the bar", bar_of("C3", "D3") + BACK.format(36) + bar_of("E3", "F3", "G3", "A3", "B3"), "over each other"),
    ("print-object", WHOLE_C.replace("<note>", '<note print-object="no">'), "hidden"),
]

# Element, a bar, quarter notes a minute at its start and at its end.
SPEEDS: list[tuple[str, str, float, float]] = [
    ("metronome", metronome("96") + WHOLE_C, 96, 96),
    ("metronome dotted", metronome("60", dots=1) + WHOLE_C, 90, 90),
    ("metronome half", metronome("60", "half") + WHOLE_C, 120, 120),
    ("sound tempo", sound('tempo="100"') + WHOLE_C, 100, 100),
    ("words Allegro", words("Allegro") + WHOLE_C, 126, 126),
    ("metric modulation", metronome("60") + xml_note("C3", 24) + direction("<metronome><beat-unit>quarter</beat-unit><beat-unit>half</beat-unit></metronome>") + xml_note("C3", 24), 60, 120),
    ("words and number", direction("<words>Allegro</words>") + metronome("132") + WHOLE_C, 132, 132),
]
