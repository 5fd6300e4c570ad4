"""Open files that are broken, huge or meant to harm, and measure what they cost.

Run by hand: ``uv run python -m tests.benchmarks.bad_files``.  Each file is opened by
a fresh process, as a player's would be; printed are wall time, the most memory of
that process and its child, and the sentence.  A file fails when it takes longer than
35 s or more than 1.5 GB, or ends in anything but one ScoreError.

The tests open those files that are small, and check the same.
"""

from __future__ import annotations

import io
import json
import random
import struct
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

MOST_S = 35.0
MOST_BYTES = 1_500_000_000

CONTAINER = (
    '<?xml version="1.0"?><container><rootfiles>'
    '<rootfile full-path="{}"/></rootfiles></container>'
)

NOTE = (
    "<note><pitch><step>C</step><octave>3</octave></pitch>"
    "<duration>1</duration><type>quarter</type></note>"
)


def musicxml(
    measures: str, *, title: str = "Bad", before: str = "", divisions: str = "1"
) -> bytes:
    """Make a MusicXML score of one part."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{before}<score-partwise version="4.0">'
        f"<movement-title>{title}</movement-title><part-list>"
        '<score-part id="P1"><part-name>Trombone</part-name></score-part></part-list>'
        f'<part id="P1"><measure number="1"><attributes><divisions>{divisions}'
        "</divisions><time><beats>4</beats><beat-type>4</beat-type></time><clef>"
        "<sign>F</sign><line>4</line></clef></attributes>"
        f"{measures}</measure></part></score-partwise>"
    ).encode()


def note(
    step: str = "C", octave: str = "3", duration: str = "1", more: str = ""
) -> str:
    """Make a MusicXML note."""
    return (
        f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        f"<duration>{duration}</duration><type>quarter</type>{more}</note>"
    )


def metronome(per_minute: str) -> str:
    """Make a MusicXML metronome mark."""
    return (
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
        f"<per-minute>{per_minute}</per-minute></metronome></direction-type></direction>"
    )


def midi(track: bytes, *, division: int = 480, form: int = 0, tracks: int = 1) -> bytes:
    """Make a MIDI file of one track (Standard MIDI Files 1.0)."""
    head = b"MThd" + struct.pack(">IHHH", 6, form, tracks, division)
    return head + b"MTrk" + struct.pack(">I", len(track)) + track


def zipped(files: dict[str, bytes]) -> bytes:
    """Make a compressed file."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def mxl(score: bytes) -> bytes:
    """Make a compressed MusicXML file."""
    container = CONTAINER.format("score.xml").encode()
    return zipped({"META-INF/container.xml": container, "score.xml": score})


def entities(levels: int, width: int) -> bytes:
    """Make a score whose title is an entity of entities."""
    lines = ['<!ENTITY a0 "lol">']
    lines += [f'<!ENTITY a{k} "{f"&a{k - 1};" * width}">' for k in range(1, levels + 1)]
    before = f"<!DOCTYPE score-partwise [{''.join(lines)}]>"
    return musicxml(NOTE, title=f"&a{levels};", before=before)


def mei(section: str, *, defs: str = 'meter.count="4" meter.unit="4"') -> bytes:
    """Make an MEI score of one staff."""
    return (
        '<?xml version="1.0"?><mei xmlns="http://www.music-encoding.org/ns/mei">'
        f"<music><body><mdiv><score><scoreDef {defs}><staffGrp><staffDef n="
        '"1" lines="5" clef.shape="F" clef.line="4"/></staffGrp></scoreDef><section>'
        f"{section}</section></score></mdiv></body></music></mei>"
    ).encode()


def mei_bar(layer: str) -> str:
    """Make an MEI bar."""
    return f'<measure n="1"><staff n="1"><layer n="1">{layer}</layer></staff></measure>'


RANDOM = random.Random(7)
ON_OFF = b"\x00\x90\x30\x50\x83\x60\x80\x30\x00"
END = b"\x00\xff\x2f\x00"

SMALL: dict[str, bytes] = {
    "empty.musicxml": b"",
    "empty.mid": b"",
    "empty.abc": b"",
    "empty.krn": b"",
    "empty.mei": b"",
    "empty.mxl": b"",
    "blank.musicxml": b" \n\t\n",
    "truncated.musicxml": musicxml(NOTE * 8)[:-180],
    "truncated-tag.musicxml": musicxml(NOTE * 8)[:-211],
    "truncated.mxl": mxl(musicxml(NOTE))[:200],
    "truncated.mid": midi(ON_OFF * 4 + END)[:40],
    "truncated.mei": mei(mei_bar('<note pname="c" oct="3" dur="1"/>'))[:-60],
    "header-only.mid": b"MThd\x00\x00",
    "noise.musicxml": RANDOM.randbytes(5000),
    "noise.mid": b"MThd" + RANDOM.randbytes(500),
    "noise.mxl": b"PK\x03\x04" + RANDOM.randbytes(500),
    "a-pdf.musicxml": b"%PDF-1.7\n" + RANDOM.randbytes(200),
    "a-picture.mxl": b"\x89PNG\r\n\x1a\n" + RANDOM.randbytes(200),
    "a-recording.mid": b"RIFF\x24\x00\x00\x00WAVEfmt " + bytes(32),
    "a-web-page.xml": b"<!DOCTYPE html><html><head><title>x</title></head></html>",
    "a-letter.abc": b"Dear player,\n\nI send you no music today.\n",
    "an-archive.mxl": zipped({"readme.txt": b"no score here"}),
    "container-to-nothing.mxl": zipped(
        {"META-INF/container.xml": CONTAINER.format("gone.xml").encode()}
    ),
    "container-upwards.mxl": zipped(
        {"META-INF/container.xml": CONTAINER.format("../../etc/passwd").encode()}
    ),
    "container-bomb.mxl": zipped({"META-INF/container.xml": entities(9, 10)}),
    "encoding.musicxml": b'<?xml version="1.0" encoding="nothing"?><score-partwise/>',
    "billion-laughs.musicxml": entities(9, 10),
    "quadratic.musicxml": musicxml(
        NOTE,
        title="&a;" * 5000,
        before=f'<!DOCTYPE score-partwise [<!ENTITY a "{"x" * 50_000}">]>',
    ),
    "outside-entity.musicxml": musicxml(
        NOTE,
        title="&a;",
        before='<!DOCTYPE score-partwise [<!ENTITY a SYSTEM "file:///etc/passwd">]>',
    ),
    "unknown-entity.musicxml": musicxml(NOTE, title="&nothing;"),
    "deep.musicxml": b"<score-partwise>" + b"<a>" * 200_000,
    "no-parts.musicxml": b"<score-partwise><part-list/></score-partwise>",
    "no-notes.musicxml": musicxml(""),
    "rests-only.musicxml": musicxml("<note><rest/><duration>4</duration></note>"),
    "drums-only.musicxml": musicxml(
        "<note><unpitched><display-step>C</display-step><display-octave>4"
        "</display-octave></unpitched><duration>4</duration></note>"
    ),
    "divisions-0.musicxml": musicxml(NOTE * 4, divisions="0"),
    "divisions-word.musicxml": musicxml(NOTE * 4, divisions="many"),
    "negative.musicxml": musicxml(note(duration="-4")),
    "no-length.musicxml": musicxml(note(duration="0")),
    "endless-note.musicxml": musicxml(note(duration="1000000000")),
    "step-h.musicxml": musicxml(note(step="H")),
    "octave-99.musicxml": musicxml(note(octave="99")),
    "octave-word.musicxml": musicxml(note(octave="high")),
    "tempo-0.musicxml": musicxml(metronome("0") + NOTE * 4),
    "tempo-million.musicxml": musicxml(metronome("1000000") + NOTE * 4),
    "time-0-4.musicxml": musicxml(NOTE * 4).replace(
        b"<beats>4</beats>", b"<beats>0</beats>"
    ),
    "time-4-0.musicxml": musicxml(NOTE * 4).replace(
        b"<beat-type>4</beat-type>", b"<beat-type>0</beat-type>"
    ),
    "tuplet-0.musicxml": musicxml(
        note(
            more="<time-modification><actual-notes>0</actual-notes>"
            "<normal-notes>0</normal-notes></time-modification>"
        )
    ),
    "million-repeats.musicxml": musicxml(
        NOTE
        * 4
        + '<barline location="right"><repeat direction="backward" times="1000000"/>'
        "</barline>"
    ),
    "division-0.mid": midi(ON_OFF + END, division=0),
    "film-frames.mid": midi(ON_OFF + END, division=0xE728),
    "huge-delta.mid": midi(ON_OFF + b"\xff\xff\xff\x7f\x90\x30\x50" + ON_OFF + END),
    "no-notes.mid": midi(END),
    "stuck-note.mid": midi(b"\x00\x90\x30\x50" + END),
    "event-past-its-track.mid": midi(b"\x00\xff\x01\x7f" + END),
    "status-first.mid": midi(b"\x00\x30\x50" + END),
    "several-pieces.mid": midi(ON_OFF + END, form=2),
    "endless-note.abc": b"X:1\nT:x\nM:4/4\nL:1/4\nK:C\nC1000000000 | C4 |\n",
    "no-notes.abc": b"X:1\nT:x\nM:4/4\nK:C\n| z4 |\n",
    "no-spines.krn": b"**kern\n4c\t4d\t4e\nx\ty\n*-\n",
    "nonsense.krn": b"**kern\n*M0/0\n=1\n0000000%0qqc\n*-\n",
    "no-notes.krn": b"**kern\n*M4/4\n=1\n1r\n==\n*-\n",
    "no-music.mei": b'<mei xmlns="http://www.music-encoding.org/ns/mei"/>',
    "no-notes.mei": mei(mei_bar("<mRest/>")),
    "pitch-x.mei": mei(mei_bar('<note pname="x" oct="3" dur="1"/>')),
}
"""Files that are small and quickly refused, by name."""


def entity_free_title() -> bytes:
    """Make a readable score whose title tries to command the terminal."""
    return musicxml(NOTE * 4, title="&#x9b;31m[@click=app.bell]&lt;b&gt;Red&lt;/b&gt;")


def bomb() -> bytes:
    """Make a compressed score of a few MB that unpacks to 2 GB."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        archive.writestr("META-INF/container.xml", CONTAINER.format("score.xml"))
        with archive.open("score.xml", "w", force_zip64=True) as member:
            member.write(b"<score-partwise>")
            for _ in range(2000):
                member.write(b" " * 1_000_000)
    return buffer.getvalue()


def many_tracks(count: int, tracks: int) -> bytes:
    """Make a MIDI file with as many notes in several tracks as are let in."""
    alone = midi(b"\x00\x90\x30\x50\x3c\x80\x30\x00" * count + END)
    track = alone[14:]
    head = b"MThd" + struct.pack(">IHHH", 6, 1, tracks, 480)
    return head + track * tracks


def abc_line(count: int) -> bytes:
    """Make one long ABC tune without a bar line."""
    return b"X:1\nT:x\nM:4/4\nL:1/16\nK:C\n" + b"CDEF" * (count // 4)


def bars(count: int, content: str) -> bytes:
    """Make a MusicXML score of many bars."""
    middle = "".join(
        f'</measure><measure number="{k}">{content}' for k in range(2, count)
    )
    return musicxml(content + middle)


CLOSING = '<barline location="right"><repeat direction="backward" times="8"/></barline>'

LARGE: dict[str, Callable[[], bytes]] = {
    "hundred-megabytes.musicxml": lambda: bars(75_000, NOTE * 12),
    "too-many-notes.musicxml": lambda: bars(1300, NOTE * 16),
    "too-many-elements.musicxml": lambda: musicxml("<a/>" * 4_500_000),
    "two-gigabytes.mxl": bomb,
    "nineteen-megabytes-of-noise.musicxml": lambda: RANDOM.randbytes(19_000_000),
    "wide-attribute.musicxml": lambda: musicxml(f'<note x="{"y" * 19_000_000}"/>'),
    "too-many-notes.mid": lambda: midi(ON_OFF * 20_100 + END),
    "too-many-notes.abc": lambda: abc_line(20_400),
    "too-many-notes.krn": lambda: b"**kern\n*M4/4\n" + b"16c\n" * 20_100 + b"*-\n",
    "too-many-notes.mei": lambda: mei(
        mei_bar('<note pname="c" oct="3" dur="16"/>') * 20_100
    ),
    "wide-kern.krn": lambda: b"\t".join([b"**kern"] * 20_000) + b"\n*-\n",
    "long-rests.mei": lambda: mei(mei_bar('<multiRest num="100000000"/>')),
    "slow.mid": lambda: many_tracks(19_000, 3),
    "slow.krn": lambda: (
        b"\t".join([b"**kern"] * 40)
        + b"\n"
        + (b"\t".join([b"16c"] * 40) + b"\n") * 19_000
        + b"\t".join([b"*-"] * 40)
    ),
    "endless-repeats.musicxml": lambda: bars(4_000, NOTE * 4 + CLOSING),
    "too-many-bars.musicxml": lambda: bars(6_000, NOTE * 2),
}
"""Files that are large, by name; each is made when it is needed."""

OPENER = """
import json, resource, sys
from pathlib import Path
from coach.edges.scores.score_files import read_part
from coach.errors import ScoreError
try:
    read_part(Path(sys.argv[1]))
    said = "READ"
except ScoreError as error:
    said = str(error)
most = max(
    resource.getrusage(who).ru_maxrss
    for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
)
print(json.dumps([said, most * 1024]))
"""


def measure(path: Path) -> tuple[float, int, str]:
    """Open a file in a fresh process; give seconds, bytes and what was said."""
    began = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", OPENER, str(path)],
        capture_output=True,
        text=True,
        check=False,
    )
    seconds = time.perf_counter() - began
    if done.returncode != 0 or done.stderr:
        return seconds, 0, f"FAILED: {done.stderr.strip()[-300:]}"
    said, most = json.loads(done.stdout)
    return seconds, most, said


def make(name: str, path: Path) -> None:
    """Make one file."""
    path.write_bytes(SMALL[name] if name in SMALL else LARGE[name]())


def main() -> int:
    """Open every file; print a line for each and the worst of all."""
    failures = 0
    worst_s, worst_bytes = 0.0, 0
    names = [*SMALL, *LARGE]
    with TemporaryDirectory() as folder:
        for name in names:
            path = Path(folder) / name
            # In a process of its own: a large parent would be counted as the reader's.
            command = [sys.executable, "-m", __spec__.name, "--make", name, str(path)]
            subprocess.run(command, check=True)
            seconds, most, said = measure(path)
            path.unlink()
            is_bad = (
                seconds > MOST_S
                or most > MOST_BYTES
                or said == "READ"
                or said.startswith("FAILED")
            )
            failures += is_bad
            worst_s, worst_bytes = max(worst_s, seconds), max(worst_bytes, most)
            mark = "BAD " if is_bad else "    "
            figures = f"{mark}{seconds:6.2f} s {most / 1e6:7.0f} MB"
            print(f"{figures}  {name}: {said}", flush=True)
    print(f"{len(names)} files, {failures} failures")
    print(f"worst: {worst_s:.2f} s, {worst_bytes / 1e6:.0f} MB")
    return int(failures > 0)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--make"]:
        make(sys.argv[2], Path(sys.argv[3]))
    else:
        sys.exit(main())
