"""What a player types of themselves: litres, height, age and sex."""

from __future__ import annotations

import re
from dataclasses import replace

from coach.errors import ConfigError
from coach.planning.player_facts import PlayerFacts

MOST_LITRES = 20.0
"""A number alone that is larger is no volume of lungs but a height; our own choice."""

CM_PER_INCH = 2.54
"""By definition: international yard and pound agreement, 1959."""

INCHES_PER_FOOT = 12

FEET = re.compile(r"(\d)\s*(?:'|’|ft)\s*(?:(1[01]|\d)(?!\d)\s*(?:\"|”|''|in)?)?")
METRES = re.compile(r"\b([12][.,]\d{1,2})\s*m(?:et(?:er|re)s?)?\b")
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
SEXES = {"f": "female", "female": "female", "m": "male", "male": "male"}
UNITS = {"l", "litre", "litres", "cm", "year", "years"}
FACT_FIELDS = {"height": "height_cm", "age": "age", "capacity": "capacity_l"}
FACT_HINTS = {
    "height": "Type centimetres (172), or feet and inches (5'8\").",
    "age": "Type years (30).",
    "capacity": "Type litres (4.8).",
}
CM_PER_M = 100

LEAST_CM = 3.0
"""A number this small is a height in metres: our own choice."""

SEX_HINT = "Height and age tell no capacity alone: put f or m behind them (172 30 f)."
HINT = "Type litres (4.8), or height in cm, age and f or m (172 30 f)."


def read_lungs(text: str, facts: PlayerFacts) -> PlayerFacts:
    """Take down what was typed; nothing typed leaves everything as it was.

    Raises
    ------
    ConfigError
        If it is neither litres nor a height with an age, or if it is not said for
        whom: without that no capacity follows from them.

    Examples
    --------
    `4.8`, `4,8 l`, `172 30 f`, `172 cm, 30 years`, `1.72 m 30 f`, `5'8" 30 m`.
    """
    typed = text.strip().casefold()
    if not typed:
        return facts
    numbers: list[float] = []

    def take_feet(found: re.Match[str]) -> str:
        numbers.append(_centimetres(found))
        return " "

    def take_metres(found: re.Match[str]) -> str:
        numbers.append(round(float(found[1].replace(",", ".")) * CM_PER_M))
        return " "

    def take_number(found: re.Match[str]) -> str:
        numbers.append(float(found[0].replace(",", ".")))
        return " "

    without_height = METRES.sub(take_metres, FEET.sub(take_feet, typed))
    words = re.findall(r"[^\s,;]+", NUMBER.sub(take_number, without_height))
    sexes = [SEXES[word] for word in words if word in SEXES]
    unknown = [word for word in words if word not in SEXES and word not in UNITS]
    match numbers, sexes:
        case [litres], [] if not unknown and 0.0 < litres <= MOST_LITRES:
            return replace(facts, capacity_l=litres)
        case [height, age], ([] | [_]) if not unknown and height > MOST_LITRES:
            sex = sexes[0] if sexes else facts.sex
            if not sex:
                raise ConfigError(f"“{text.strip()}” says neither f nor m.", SEX_HINT)
            if age:
                return replace(facts, height_cm=height, age=age, sex=sex)
    raise ConfigError(f"“{text.strip()}” says no litres, nor height and age.", HINT)


def read_fact(name: str, text: str, facts: PlayerFacts) -> PlayerFacts:
    """Take down one number: `height`, `age` or `capacity`.

    Raises
    ------
    ConfigError
        If it is no number, or 0.

    Examples
    --------
    `172`, `1.72 m`, `5'8"` and `5 ft 8` are heights.
    """
    value = read_height(text) if name == "height" else _read_number(name, text)[0]
    if not value:
        raise ConfigError(f"“{text.strip()}” is no {name}.", FACT_HINTS[name])
    return replace(facts, **{FACT_FIELDS[name]: value})  # type: ignore[arg-type]


def read_height(text: str) -> float:
    """Read a height, in centimetres, metres, or feet and inches; give centimetres."""
    feet = FEET.fullmatch(text.strip().casefold())
    if feet is not None:
        return _centimetres(feet)
    value, unit = _read_number("height", text)
    return value * CM_PER_M if unit == "m" or value < LEAST_CM else value


def _read_number(name: str, text: str) -> tuple[float, str]:
    """Read a number and the unit behind it, which may be left out."""
    typed = text.strip().casefold()
    number = NUMBER.match(typed)
    unit = typed[number.end() :].strip() if number else typed
    if number is None or unit not in {"", *UNITS, "m"}:
        raise ConfigError(f"“{text.strip()}” is no number.", FACT_HINTS[name])
    return float(number[0].replace(",", ".")), unit


def _centimetres(found: re.Match[str]) -> float:
    """Give the height that was typed in feet and inches."""
    inches = int(found[1]) * INCHES_PER_FOOT + int(found[2] or 0)
    return round(inches * CM_PER_INCH)
