r"""Words of a tune: accents written with a backslash or as HTML names (section 8.2)."""

from __future__ import annotations

import html
import re
import unicodedata

COMBINING = {
    "`": "\u0300",
    "'": "\u0301",
    "^": "\u0302",
    "~": "\u0303",
    '"': "\u0308",
    "c": "\u0327",
    "v": "\u030c",
    "u": "\u0306",
    "H": "\u030b",
    "=": "\u0304",
    ";": "\u0328",
    ".": "\u0307",
}
LETTERS = {
    "ss": "ß",
    "ae": "æ",
    "AE": "Æ",
    "oe": "œ",
    "OE": "Œ",
    "aa": "å",
    "AA": "Å",
    "/o": "ø",
    "/O": "Ø",
    "/d": "đ",
    "/D": "Đ",
    "/l": "ł",
    "/L": "Ł",
    "dh": "ð",
    "DH": "Ð",
    "th": "þ",
    "TH": "Þ",
    "%": "%",
    "&": "&",
    "\\": "\\",
}
MNEMONIC = re.compile(
    r"\\(?:u(?P<code>[0-9A-Fa-f]{4})"
    r"|(?P<letter>ss|ae|AE|oe|OE|aa|AA|/[oOdDlL]|dh|DH|th|TH|[%&\\])"
    r"|(?P<accent>[`'^~\"cvuH=;.])(?P<base>[A-Za-z]))"
)


def abc_words(text: str) -> str:
    r"""Write accents out.

    Examples
    --------
    >>> abc_words(r"\'Etude f\"ur B\oe &amp; \u00e9")
    'Étude für Bœ & é'
    """
    return html.unescape(MNEMONIC.sub(_sign, text)).strip()


def _sign(found: re.Match[str]) -> str:
    """Give the sign that a mnemonic stands for."""
    if found["code"]:
        return chr(int(found["code"], 16))
    if found["letter"]:
        return LETTERS[found["letter"]]
    both = found["base"] + COMBINING[found["accent"]]
    return unicodedata.normalize("NFC", both)
