"""What a file is, its content says."""

from __future__ import annotations

import struct

import pytest

from coach.edges.scores.in_child.formats.score_formats import ScoreFormat, find_score
from coach.edges.scores.score_limits import read_score_limits
from coach.errors import ScoreError
from tests.benchmarks.bad_files import CONTAINER, mxl, zipped
from tests.edges.scores.score_samples import (
    ABC,
    KERN,
    MEI,
    WHOLE,
    keys,
    midi_file,
    page,
    read,
)

STUDY = page(WHOLE)
MIDI = midi_file(keys((48, 480)))


def kind(content: bytes) -> ScoreFormat:
    return find_score(content, "x", read_score_limits()).kind


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (STUDY.encode(), ScoreFormat.MUSICXML),
        (b"\xef\xbb\xbf" + STUDY.encode(), ScoreFormat.MUSICXML),
        (mxl(STUDY.encode()), ScoreFormat.MUSICXML),
        (MIDI, ScoreFormat.MIDI),
        (
            b"RIFF" + struct.pack("<I", 99) + b"RMIDdata" + bytes(4) + MIDI,
            ScoreFormat.MIDI,
        ),
        (ABC.encode(), ScoreFormat.ABC),
        (b"% a comment\n" + ABC.encode(), ScoreFormat.ABC),
        (ABC.replace("\n", "\r\n").encode(), ScoreFormat.ABC),
        (KERN.encode(), ScoreFormat.KERN),
        (b"**dynam\t**kern\n.\t4c\n*-\t*-\n", ScoreFormat.KERN),
        (MEI.encode(), ScoreFormat.MEI),
    ],
)
def test_a_format_is_known_by_its_content(
    content: bytes, expected: ScoreFormat
) -> None:
    assert kind(content) is expected


def test_scores_in_other_encodings_are_read() -> None:
    wide = STUDY.replace("UTF-8", "UTF-16").encode("utf-16")
    assert len(read(wide).notes) == 1
    assert read(ABC.replace("Abc study", "Étude").encode("latin-1")).title == "Étude"
    assert read(ABC.encode("utf-16")).title == "Abc study"
    latin = STUDY.replace("UTF-8", "ISO-8859-1").replace(
        "<part-list>", "<movement-title>Étude</movement-title><part-list>"
    )
    assert read(latin.encode("latin-1")).title == "Étude"


def test_the_only_score_of_an_archive_without_a_container_is_read() -> None:
    files = {"__MACOSX/._a.xml": b"junk", "my piece.XML": STUDY.encode(), "a.txt": b"a"}
    assert kind(zipped(files)) is ScoreFormat.MUSICXML
    with pytest.raises(ScoreError, match="zip archive without a score"):
        kind(zipped({**files, "other.musicxml": STUDY.encode()}))


def test_the_container_says_which_file_of_an_archive_is_the_score() -> None:
    """The first XML file of this archive is another one."""
    decoy = page(WHOLE * 4)
    archive = zipped(
        {
            "a.xml": decoy.encode(),
            "META-INF/container.xml": CONTAINER.format("music/b.xml").encode(),
            "music/b.xml": STUDY.encode(),
        }
    )
    assert len(read(archive).notes) == 1


def test_of_several_root_files_the_musicxml_is_taken() -> None:
    container = (
        '<container><rootfiles><rootfile full-path="p.pdf" media-type="application/pdf"'
        '/><rootfile full-path="s.xml" media-type='
        '"application/x-musicxml+xml"/></rootfiles></container>'
    )
    files = {"META-INF/container.xml": container.encode(), "s.xml": STUDY.encode()}
    assert kind(zipped({**files, "p.pdf": b"%PDF"})) is ScoreFormat.MUSICXML


def test_a_root_file_of_another_kind_is_no_score() -> None:
    container = '<rootfiles><rootfile full-path="p" media-type="text/x"/></rootfiles>'
    files = {"META-INF/container.xml": container.encode(), "p": b"hello"}
    with pytest.raises(ScoreError, match="holds no MusicXML"):
        kind(zipped(files))


def test_unusual_compression_is_refused() -> None:
    import io
    import zipfile

    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("META-INF/container.xml", CONTAINER.format("s.xml"))
        archive.writestr("s.xml", STUDY)
    with pytest.raises(ScoreError, match="broken compressed file"):
        kind(buffer.getvalue())


def test_an_archive_that_unpacks_too_far_is_refused() -> None:
    most = read_score_limits().file_bytes
    with pytest.raises(ScoreError, match="unpacks to more than 20 MB"):
        kind(mxl(b"<a>" + b" " * most))


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"%PDF-1.7", "x"),
        (b"\x89PNG\r\n", "x"),
        (b"\xff\xd8\xff\xe0", "x.abc"),
        (b"RIFF1234WEBPVP8 ", "x"),
        (b"II*\0", "x"),
        (b"\0\0\0\x18ftypheic", "x.HEIC"),
        (b"nothing known", "x.pdf"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "x.svg"),
        (b"<?xml version='1.0'?><svg/>", "x"),
    ],
)
def test_a_picture_is_named_with_the_ways_there_are(content: bytes, name: str) -> None:
    with pytest.raises(ScoreError, match=r"picture.*coach write NAME.*teacher"):
        find_score(content, name, read_score_limits())


def test_a_recording_is_named_as_one() -> None:
    for content in (b"fLaC" + bytes(100), b"RIFF1234WAVEfmt "):
        with pytest.raises(ScoreError, match="sound recording"):
            kind(content)
