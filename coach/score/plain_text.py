"""Words from a file, made fit to show: no control signs, no markup.

A title may hold anything: terminal escapes, signs that turn the writing direction,
markup of a screen library or of the web.  None of it may reach a terminal.
"""

from __future__ import annotations

import re
import unicodedata
from shlex import quote

LONGEST = 160
"""Signs that are kept of a title or a name; our own choice: two lines of 80."""

# Control Sequences and Operating System Commands of ECMA-48, with 7-bit or 8-bit
# introducers; what is left of a broken one goes with the control signs below.
ESCAPES = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]"
    r"|(?:\x1b\]|\x9d)[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)?"
    r"|\x1b[ -/]*[0-~]"
)

# Text-level elements of the HTML Living Standard, section 4.5, and those that it has
# replaced, section 16.2 (both from memory): in a title they only form its letters.
# Those that break a line stand between two words.  Any other word in such brackets is
# the title's own.
FORMING = re.compile(
    r"</?(?:a|abbr|b|bdi|bdo|big|center|cite|code|em|font|i|mark|nobr|q|s|small|span"
    r"|strike|strong|sub|sup|tt|u)(?:\s[^<>]*)?/?>",
    re.IGNORECASE,
)
LINE_BREAKING = re.compile(r"</?(?:br|div|h[1-6]|p)(?:\s[^<>]*)?/?>", re.IGNORECASE)
TAGS = re.compile(r"<(/?[A-Za-z][^<>]*)>")
BRACKETS = str.maketrans("[]", "()")
QUOTED = "\\'"
SPACES = ("Zs", "Zl", "Zp")


def one_line(text: str) -> str:
    r"""Take control signs out of what somebody typed, so that it is only shown.

    Returns
    -------
    str
        One line of at most `LONGEST` signs; empty when nothing is left.

    Examples
    --------
    >>> one_line("lips \x1b[31mtired\n[sic]")
    'lips tired [sic]'
    """
    line = all_on_one_line(text)
    return line if len(line) <= LONGEST else line[: LONGEST - 1].rstrip() + "…"


def all_on_one_line(text: str) -> str:
    """Take control signs out of words of any length, and lose nothing else of them."""
    kept = "".join(_plain_sign(sign) for sign in ESCAPES.sub("", text))
    return " ".join(kept.split())


def plain_words(text: str) -> str:
    r"""Take control signs and markup out of words from a file.

    Returns
    -------
    str
        One line of at most `LONGEST` signs; square brackets, which are markup on
        a screen, become round ones, and so do those of a tag that does not only form
        letters; empty when nothing is left.

    Examples
    --------
    >>> plain_words("\x1b[31mThe [b]long[/b]\nriver")
    'The (b)long(/b) river'
    >>> plain_words("The <b>long</b><br>and <Low> river")
    'The long and (Low) river'
    """
    formed = FORMING.sub("", LINE_BREAKING.sub(" ", ESCAPES.sub("", text)))
    return one_line(TAGS.sub(r"(\1)", formed).translate(BRACKETS))


def bare_words(text: str) -> str:
    """Give letters and figures alone, to tell whether two names are the same.

    Returns
    -------
    str
        Words in small letters without accents, a space between them.

    Examples
    --------
    >>> bare_words("Übung  Nº 7") == bare_words("ubung-no_7")
    True
    """
    signs = unicodedata.normalize("NFKD", text).casefold()
    plain = (sign for sign in signs if not unicodedata.combining(sign))
    return " ".join("".join(s if s.isalnum() else " " for s in plain).split())


def copied(command: str, etude: str, options: str = "") -> str:
    r"""Write a command as a shell takes it, whatever the etude is called.

    Parameters
    ----------
    etude : str
        Its name; one that begins with a dash is no option, and signs that would
        command the terminal are spelled out.

    Examples
    --------
    >>> copied("rehearse", "low road"), copied("plan", "-dash", "--check")
    ("coach rehearse 'low road'", 'coach plan --check -- -dash')
    """
    name = quote(etude) if etude.isprintable() else _spelled_out(etude)
    is_dashed = etude.startswith("-")
    words = (options, "--", name) if is_dashed else (name, options)
    return " ".join(filter(None, ("coach", command, *words)))


def as_player(name: str) -> str:
    """Give the option that lets a command be one player's.

    Parameters
    ----------
    name : str
        Who plays; empty for whoever the laptop belongs to, who needs no option.

    Examples
    --------
    >>> as_player("Ann B"), as_player("")
    ("--as 'Ann B'", '')
    """
    return f"--as {quote(name)}" if name else ""


def of_player(name: str, options: str) -> str:
    """Write a command about a player as that player types it.

    Examples
    --------
    >>> of_player("Ann", "--age 9"), of_player("", "--age 9")
    ('coach player --as Ann --age 9', 'coach player --age 9')
    """
    return " ".join(filter(None, ("coach player", as_player(name), options)))


def _spelled_out(name: str) -> str:
    """Write a name in the quotes that know escapes."""
    signs = (
        sign if sign.isprintable() and sign not in QUOTED else f"\\U{ord(sign):08x}"
        for sign in name
    )
    return f"$'{''.join(signs)}'"


def _plain_sign(sign: str) -> str:
    """Give a sign back if it can be shown, a space for a space, nothing else."""
    if sign in "\t\n\r":
        return " "
    category = unicodedata.category(sign)
    if category in SPACES:
        return " "
    return "" if category.startswith("C") else sign
