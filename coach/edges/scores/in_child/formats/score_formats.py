"""Find out by its content what kind of score a file is, and unwrap it."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import PurePath
from xml.etree import ElementTree as ET

from coach.edges.scores.in_child.formats.score_xml import scan_xml
from coach.edges.scores.score_limits import ScoreLimits, unreadable
from coach.score.plain_text import plain_words

MUSICXML_HINT = "Export the score as MusicXML and open that."
CONTAINER = "META-INF/container.xml"
SCORE_IN_ARCHIVE = re.compile(r"(?!META-INF/|__MACOSX/).+\.(?:xml|musicxml)", re.I)
PICTURE_HINT = (
    "The coach reads no pictures: type the etude with coach write NAME, take the "
    "MusicXML that free programs for reading printed music export (and check it), or "
    "ask your teacher for a file."
)
PICTURES = (
    (b"%PDF", "is a PDF, a picture of a score"),
    (b"\x89PNG", "is a picture"),
    (b"\xff\xd8\xff", "is a picture"),
    (b"GIF8", "is a picture"),
    (b"II*\0", "is a picture"),
    (b"MM\0*", "is a picture"),
)
PICTURE_ENDINGS = {
    *(".pdf", ".png", ".jpg", ".jpeg", ".gif", ".bmp", ".tif", ".tiff", ".webp"),
    *(".heic", ".heif", ".avif", ".djvu", ".svg", ".ps", ".eps"),
}
RECORDINGS = (b"fLaC", b"OggS", b"ID3", b"RIFF")
PLAIN_COMPRESSION = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
HEAD_BYTES = 4096
BLOCK_BYTES = 65536


class ScoreFormat(StrEnum):
    """The formats that are read; each value is music21's name for it."""

    MUSICXML = "musicxml"
    MIDI = "midi"
    ABC = "abc"
    KERN = "humdrum"
    MEI = "mei"


@dataclass(frozen=True, slots=True)
class ScoreData:
    """A score's content, out of any wrapping."""

    kind: ScoreFormat
    """What it is."""

    content: bytes
    """Its bytes; XML keeps the encoding that it declares."""

    @property
    def text(self) -> str:
        """Read it as text: by its byte order mark, as UTF-8, else as Latin-1."""
        return _decode(self.content)


def find_score(content: bytes, name: str, limits: ScoreLimits) -> ScoreData:
    """Tell what a file holds; raise ScoreError if it is no score."""
    if not content.strip():
        raise unreadable(name, "is empty", "Choose another file, or export it again.")
    if content.startswith(b"PK"):
        content = _unpack(content, name, limits)
        if not _is_xml(content):
            raise unreadable(name, "holds no MusicXML", MUSICXML_HINT)
    if content.startswith(b"RIFF") and content[8:12] == b"RMID":
        content = content[content.find(b"MThd") :]
    if content.startswith(b"MThd"):
        return ScoreData(ScoreFormat.MIDI, content)
    if _is_xml(content) and not _is_drawing(content):
        return ScoreData(_xml_kind(content, name, limits), content)
    _refuse_others(content, name)
    kind = _text_kind(_decode(content[: limits.file_bytes]))
    if kind is None:
        raise unreadable(name, "is in no format that the coach reads", MUSICXML_HINT)
    return ScoreData(kind, content)


def _refuse_others(content: bytes, name: str) -> None:
    """Refuse pictures and recordings by what they are, pictures by their ending too."""
    for start, what in PICTURES:
        if content.startswith(start):
            raise unreadable(name, what, PICTURE_HINT)
    is_web = content.startswith(b"RIFF") and content[8:12] == b"WEBP"
    if (
        is_web
        or _is_drawing(content)
        or PurePath(name).suffix.lower() in PICTURE_ENDINGS
    ):
        raise unreadable(name, "is a picture", PICTURE_HINT)
    if content.startswith(RECORDINGS):
        raise unreadable(name, "is a sound recording", MUSICXML_HINT)


def _is_drawing(content: bytes) -> bool:
    """Tell a drawing in SVG from a score."""
    return "<svg" in _decode(content[:HEAD_BYTES])


def _decode(content: bytes) -> str:
    """Turn bytes into text; Latin-1 takes any byte, so this cannot fail."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def _is_xml(content: bytes) -> bool:
    """Tell whether a file begins as XML does."""
    head = _decode(content[:HEAD_BYTES]).lstrip("\ufeff \t\r\n")
    return bool(re.match(r"<[?!A-Za-z]", head))


def _text_kind(text: str) -> ScoreFormat | None:
    """Tell kern and ABC by the lines that each must have."""
    if re.search(r"^\*\*(kern|\S+\t(.*\t)?\*\*kern)\b", text, re.M):
        return ScoreFormat.KERN
    if re.search(r"^X:\s*\S", text, re.M) or re.search(r"^K:", text, re.M):
        return ScoreFormat.ABC
    return None


def _xml_kind(content: bytes, name: str, limits: ScoreLimits) -> ScoreFormat:
    """Tell MusicXML and MEI by their first element."""
    root = scan_xml(content, name, limits)
    if root in ("score-partwise", "score-timewise"):
        return ScoreFormat.MUSICXML
    if root == "mei":
        return ScoreFormat.MEI
    holds = plain_words(root)
    raise unreadable(name, f"is XML, but no score (it holds “{holds}”)", MUSICXML_HINT)


def _unpack(content: bytes, name: str, limits: ScoreLimits) -> bytes:
    """Take the score out of a compressed MusicXML file, as its container says."""
    broken = unreadable(name, "is a broken compressed file", "Export it again.")
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = archive.namelist()
            if CONTAINER in names:
                container = _read_member(archive, CONTAINER, name, limits)
                scan_xml(container, name, limits)
                path = _root_file(container)
            else:
                path = _only_score(names, name)
            if path not in names:
                raise broken
            return _read_member(archive, path, name, limits)
    except (
        *(zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, EOFError, OSError),
        *(RuntimeError, NotImplementedError, ET.ParseError, ValueError, KeyError),
    ) as error:
        raise broken from error


def _only_score(names: Sequence[str], name: str) -> str:
    """Find the score of an archive that has no container: the only one there."""
    found = [path for path in names if SCORE_IN_ARCHIVE.fullmatch(path)]
    if len(found) != 1:
        raise unreadable(name, "is a zip archive without a score", MUSICXML_HINT)
    return found[0]


def _read_member(
    archive: zipfile.ZipFile, path: str, name: str, limits: ScoreLimits
) -> bytes:
    """Read one file of an archive, and stop where it grows too large."""
    if archive.getinfo(path).compress_type not in PLAIN_COMPRESSION:
        raise zipfile.BadZipFile
    blocks: list[bytes] = []
    size = 0
    with archive.open(path) as member:
        while block := member.read(BLOCK_BYTES):
            blocks.append(block)
            size += len(block)
            if size > limits.file_bytes:
                raise unreadable(
                    name,
                    f"unpacks to more than {limits.file_bytes // 1_000_000} MB",
                    "Choose a shorter score.",
                )
    return b"".join(blocks)


def _root_file(container: bytes) -> str:
    """Give the path of the MusicXML file that a container names first."""
    fallback = ""
    for element in ET.fromstring(container).iter():
        if element.tag.rpartition("}")[2] == "rootfile":
            path = element.get("full-path", "")
            kind = element.get("media-type", "")
            if "musicxml" in kind or not kind:
                return path
            fallback = fallback or path
    return fallback
