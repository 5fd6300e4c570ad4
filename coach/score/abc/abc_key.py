"""Read a key, a clef and what they do to the notes.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from coach.score.abc.abc_faults import WrongWords

SHARPS = "FCGDAEB"
MODES = {
    "maj": 0,
    "ion": 0,
    "mix": -1,
    "dor": -2,
    "min": -3,
    "aeo": -3,
    "phr": -4,
    "loc": -5,
    "lyd": 1,
    "m": -3,
    "": 0,
}
NAMES = {
    "maj": "major",
    "ion": "ionian",
    "mix": "mixolydian",
    "dor": "dorian",
    "min": "minor",
    "aeo": "aeolian",
    "phr": "phrygian",
    "loc": "locrian",
    "lyd": "lydian",
    "m": "minor",
    "": "major",
}
MOST_SIGNS = 7
TONIC = re.compile(r"(?P<letter>[A-G])(?P<sign>[#b]?)\s*(?P<mode>[A-Za-z]*)")
SIGN = re.compile(r"(?P<sign>\^{1,2}|_{1,2}|=)(?P<letter>[A-Ga-g])")
SIGN_STEPS = {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}
WORD = re.compile(r"(?:([\w-]+)=)?(\"[^\"]*\"|\S+)")
CLEF = re.compile(
    r"(?P<name>treble|alto|tenor|bass|perc|none|[GCF](?=\d|$))"
    r"(?P<line>[1-5]?)(?:(?P<octave>[+-]8)(?:va|vb)?)?"
)
OCTAVE = re.compile(r"[+-]8(?:va|vb)?")
CLEFS = {"treble": ("G", 2), "alto": ("C", 3), "tenor": ("C", 4), "bass": ("F", 4)}
NAMED = {sign: name for name, sign in CLEFS.items()}
USUAL_LINES = {"G": 2, "C": 3, "F": 4}
MIDDLES = {"treble": ("B", "b"), "alto": ("C", "c"), "tenor": ("A,",), "bass": ("D,",)}
DRAWN_ONLY = {
    "stafflines",
    "staffscale",
    "name",
    "nm",
    "subname",
    "snm",
    "sname",
    "stem",
}
"""Words of a key or voice that change how it looks, not how it sounds."""


@dataclass(frozen=True, slots=True)
class AbcKey:
    """A key signature."""

    alters: dict[str, int] = field(default_factory=dict)
    """Letters that it changes, and by how many semitones."""

    fifths: int = 0
    """Sharps, or flats if negative, of the nearest usual signature."""

    name: str = ""
    """In words; empty for no key."""


@dataclass(frozen=True, slots=True)
class AbcStaff:
    """How the notes of a voice are meant."""

    clef: str = "treble"
    """As in `coach.score.phrase.Bar`."""

    octave: int = 0
    """Octaves that ``octave=`` moves all notes."""

    transpose: int = 0
    """Semitones from what is written to what sounds."""

    @property
    def moved(self) -> int:
        """Octaves from a note's letter to its pitch: clefs with an 8 move it too."""
        if self.clef.endswith("+8"):
            return self.octave + 1
        return self.octave - (1 if self.clef.endswith("-8") else 0)


def read_key(text: str, before: AbcKey, staff: AbcStaff) -> tuple[AbcKey, AbcStaff]:
    """Read ``K:``: a key, a clef, or both (3.1.14, 4.6)."""
    tonic = TONIC.match(text.strip())
    rest = text.strip()
    key = before
    if rest.split(" ")[0] in ("none", "Hp", "HP"):
        word, _, rest = rest.partition(" ")
        if word == "HP":
            raise WrongWords(
                "“K:HP” leaves the key to the bagpipe", "Write the key, as K:D or K:A."
            )
        key = _signature(2, "") if word == "Hp" else AbcKey()
    elif not rest:
        key = AbcKey()
    elif tonic and _is_tonic(tonic):
        key, rest = _tonic_key(tonic, rest)
    elif not _is_words(rest):
        raise WrongWords(
            f"“K:{rest}” is no key", "Write one as K:Bb, K:Gm or K:C clef=bass."
        )
    key, rest = _signs(key, rest)
    return key, read_staff(rest, staff)


def _is_tonic(found: re.Match[str]) -> bool:
    """Tell a key from what only begins like one; a clef may stand behind it."""
    mode = found["mode"][:3].lower()
    if found["mode"] == "m" or mode in MODES or mode in ("exp", "cle"):
        return True
    behind = found.string[found.end("sign") :]
    return behind[:1].isspace() and _is_words(behind.strip())


def _is_words(text: str) -> bool:
    """Tell whether what stands there may be a clef or signs."""
    return bool(
        SIGN.match(text) or "=" in text.split(" ")[0] or CLEF.match(text.split(" ")[0])
    )


def _tonic_key(found: re.Match[str], text: str) -> tuple[AbcKey, str]:
    """Read tonic and mode; give what stands behind them too."""
    word = found["mode"]
    mode = "m" if word == "m" else word[:3].lower()
    end = found.end()
    if mode not in MODES:
        end, mode = found.start("mode"), "exp" if mode == "exp" else ""
    letter, sign = found["letter"], found["sign"]
    if mode == "exp":
        return AbcKey(), text[found.end() :]
    fifths = SHARPS.index(letter) - 1 + {"#": 7, "b": -7, "": 0}[sign] + MODES[mode]
    if abs(fifths) > MOST_SIGNS:
        raise WrongWords(
            f"“K:{text}” has more than {MOST_SIGNS} sharps or flats",
            "Write the same notes in another key.",
        )
    spelled = letter + {"#": " sharp", "b": " flat", "": ""}[sign]
    return _signature(fifths, f"{spelled} {NAMES[mode]}"), text[end:]


def _signature(fifths: int, name: str) -> AbcKey:
    """Make a usual signature."""
    if fifths >= 0:
        alters = dict.fromkeys(SHARPS[:fifths], 1)
    else:
        alters = dict.fromkeys(SHARPS[fifths:], -1)
    return AbcKey(alters, fifths, name)


def _signs(key: AbcKey, text: str) -> tuple[AbcKey, str]:
    """Add the accidentals that are written behind a key."""
    alters, text = dict(key.alters), text.strip()
    if text.startswith("exp"):
        alters, text = {}, text[len("exp") :].strip()
    while found := SIGN.match(text):
        alters[found["letter"].upper()] = SIGN_STEPS[found["sign"]]
        text = text[found.end() :].strip()
    if alters == key.alters:
        return key, text
    fifths = sum(1 if alter > 0 else -1 for alter in alters.values() if alter)
    return AbcKey(alters, fifths, key.name), text


def read_staff(text: str, staff: AbcStaff) -> AbcStaff:
    """Read what a key or a voice says of clef, octave and transposition (4.6, 7.1)."""
    middle = ""
    for name, value in WORD.findall(text):
        if name == "octave":
            staff = replace(staff, octave=_number(name, value, 4))
        elif name == "transpose":
            staff = replace(staff, transpose=_number(name, value, 36))
        elif name == "middle":
            middle = value
        elif not name and OCTAVE.fullmatch(value):
            clef = staff.clef.removesuffix("+8").removesuffix("-8")
            staff = replace(staff, clef=clef + value[:2])
        elif name == "clef" or (not name and CLEF.fullmatch(value)):
            staff = replace(staff, clef=_clef(value))
        elif name not in DRAWN_ONLY and not (not name and value in ("up", "down")):
            raise WrongWords(
                f"“{name + '=' if name else ''}{value}” means nothing here",
                "Known are clef=, octave=, transpose= and name=.",
            )
    if middle and middle not in MIDDLES.get(staff.clef, ()):
        raise WrongWords(
            f"“middle={middle}” is not the middle line of this clef",
            "Name the clef alone, and move the notes with octave=.",
        )
    return staff


def _number(name: str, value: str, most: int) -> int:
    """Read a whole number."""
    if re.fullmatch(r"[+-]?\d{1,3}", value) and abs(int(value)) <= most:
        return int(value)
    raise WrongWords(
        f"“{name}={value}” is no number from {-most} to {most}", f"Write {name}=-1."
    )


def _clef(value: str) -> str:
    """Name a clef as `coach.score.phrase.Bar` does."""
    found = CLEF.fullmatch(value.strip('"'))
    if not found:
        raise WrongWords(
            f"“{value}” is no clef", "Write clef=bass, tenor, alto or treble."
        )
    if found["name"] == "perc":
        raise WrongWords(
            "A percussion clef has no pitches", "Write clef=bass, tenor or treble."
        )
    if found["name"] == "none":
        return "treble"
    sign, line = CLEFS.get(
        found["name"], (found["name"], USUAL_LINES.get(found["name"], 2))
    )
    line = int(found["line"] or line)
    return NAMED.get((sign, line), f"{sign}{line}") + (found["octave"] or "")
