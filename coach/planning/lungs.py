"""A player's capacity, measured or predicted, and flow, calibrated by long tones.

A published equation predicts the vital capacity of a healthy person from sex,
height and age.  It is a starting guess: healthy people differ by a fifth either
way, which the lower limit of normal shows.  A measured value goes before it.

How much air a note takes differs between players by half as much again.  A long
tone from a full breath, held until nothing more comes, tells how much.

References
----------
Bowerman et al. 2023, *Am J Respir Crit Care Med* 207:768-774 (GLI Global 2022).
Hankinson, Odencrantz & Fedan 1999, *Am J Respir Crit Care Med* 159:179-187
(NHANES III).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

from coach.errors import ConfigError

if TYPE_CHECKING:
    from coach.planning.air import AirSettings

Sex = Literal["male", "female"]

FIFTH_CENTILE = -1.645
"""Standard deviations below the median, where 5 % of healthy people lie."""


@dataclass(frozen=True, slots=True)
class Player:
    """What the planner knows of the person."""

    capacity_l: float
    """Vital capacity, in litres."""

    capacity_from: str
    """Where that comes from, in words: measured, or the equation's name."""

    lower_l: float
    """Lower limit of normal for a prediction; the capacity itself if measured."""

    flow_scale: float = 1.0
    """This player's flow against the model's; 1 until calibrated or learned."""


class CapacityEquation(Protocol):
    """An equation for one sex."""

    @property
    def name(self) -> str:
        """Its name, for the player."""
        ...

    @property
    def lowest_age_years(self) -> float:
        """Youngest age that it holds for."""
        ...

    @property
    def highest_age_years(self) -> float:
        """Oldest age that it holds for."""
        ...

    def median_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that half of healthy people exceed, in litres."""
        ...

    def lower_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that all but 5 % of healthy people exceed, in litres."""
        ...


@dataclass(frozen=True, slots=True)
class GliEquation:
    """The form of the Global Lung Function Initiative; keys of ``lungs.toml``."""

    name: str
    """Its name, for the player."""

    lowest_age_years: float
    """Youngest age that it holds for."""

    highest_age_years: float
    """Oldest age that it holds for."""

    log_median_l: float
    """Logarithm of the median at 1 cm and 1 year, in litres."""

    height_power: float
    """The median grows with height to this power."""

    age_power: float
    """The median grows with age to this power, besides the spline."""

    log_spread_share: float
    """Logarithm of the spread at 1 year, as a share of the median."""

    spread_age_power: float
    """The spread grows with age to this power, besides the spline."""

    skew_power: float
    """Box-Cox power of the distribution; not 0."""

    knots_years: tuple[float, ...]
    """Ages of the spline's knots, increasing."""

    median_log_share: tuple[float, ...]
    """At each knot, what is added to the logarithm of the median."""

    spread_log_share: tuple[float, ...]
    """At each knot, what is added to the logarithm of the spread."""

    def median_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that half of healthy people exceed, in litres."""
        return math.exp(
            self.log_median_l
            + self.height_power * math.log(height_cm)
            + self.age_power * math.log(age)
            + _between(self.knots_years, self.median_log_share, age)
        )

    def lower_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that all but 5 % of healthy people exceed, in litres."""
        spread = math.exp(
            self.log_spread_share
            + self.spread_age_power * math.log(age)
            + _between(self.knots_years, self.spread_log_share, age)
        )
        skewed = math.log1p(FIFTH_CENTILE * self.skew_power * spread)
        return self.median_l(height_cm, age) * math.exp(skewed / self.skew_power)


@dataclass(frozen=True, slots=True)
class NhanesEquation:
    """The form of the third US health survey; keys of ``lungs.toml``."""

    name: str
    """Its name, for the player."""

    lowest_age_years: float
    """Youngest age that it holds for."""

    highest_age_years: float
    """Oldest age that it holds for."""

    grown_up_years: float
    """The adult curve holds from this age."""

    per_cm2_l: float
    """Litres for each square centimetre of height squared: the median."""

    lower_per_cm2_l: float
    """The same for the lower limit of normal."""

    child_base_l: float
    """Litres at no age and no height, for children."""

    child_per_year_l: float
    """Litres for each year, for children."""

    child_per_year2_l: float
    """Litres for each year squared, for children."""

    adult_base_l: float
    """Litres at no age and no height, for adults."""

    adult_per_year_l: float
    """Litres for each year, for adults."""

    adult_per_year2_l: float
    """Litres for each year squared, for adults."""

    def median_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that half of healthy people exceed, in litres."""
        return self._by_age_l(age) + self.per_cm2_l * height_cm**2

    def lower_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that all but 5 % of healthy people exceed, in litres."""
        return self._by_age_l(age) + self.lower_per_cm2_l * height_cm**2

    def _by_age_l(self, age: float) -> float:
        """Give the part that age decides, in litres."""
        if age < self.grown_up_years:
            base, once = self.child_base_l, self.child_per_year_l
            squared = self.child_per_year2_l
        else:
            base, once = self.adult_base_l, self.adult_per_year_l
            squared = self.adult_per_year2_l
        return base + once * age + squared * age**2


@dataclass(frozen=True, slots=True)
class LungLimits:
    """What is taken for a typing mistake; keys of ``lungs.toml``."""

    lowest_height_cm: float
    """Shortest person."""

    highest_height_cm: float
    """Tallest person."""

    lowest_capacity_l: float
    """Smallest capacity."""

    highest_capacity_l: float
    """Largest capacity."""


@dataclass(frozen=True, slots=True)
class CapacityEquations:
    """What predicts a capacity."""

    male: CapacityEquation
    """For men and boys."""

    female: CapacityEquation
    """For women and girls."""

    limits: LungLimits
    """What is taken for a typing mistake."""


@dataclass(frozen=True, slots=True)
class LongTone:
    """A tone held from a full breath until nothing more comes."""

    seconds: float
    """How long it lasted."""

    hertz: float
    """Its frequency."""

    loudness: float
    """Steps from mezzo-forte."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What long tones say about a player."""

    flow_scale: float
    """Flow at mezzo-forte against the model's."""

    loud_step_factor: float
    """Flow grows by this factor with each step of dynamics."""


def predict_capacity(
    sex: Sex, height_cm: float, age: float, equations: CapacityEquations
) -> Player:
    """Predict a player's capacity.

    Parameters
    ----------
    sex : {"male", "female"}
        Lungs differ by sex at the same height and age.
    height_cm : float
        Height without shoes, in centimetres.
    age : float
        Age in years.
    equations : CapacityEquations
        Which equations to use.

    Returns
    -------
    Player
        The median as capacity, with its lower limit of normal.

    Raises
    ------
    ConfigError
        If the age is outside what the equation holds for, or the height is no
        person's.
    """
    equation = equations.male if sex == "male" else equations.female
    low, high = equation.lowest_age_years, equation.highest_age_years
    if not low <= age <= high:
        raise ConfigError(
            f"{equation.name} holds from {low:g} to {high:g} years, not at {age:g}.",
            "Set a measured capacity instead.",
        )
    limits = equations.limits
    low, high = limits.lowest_height_cm, limits.highest_height_cm
    if not low <= height_cm <= high:
        raise ConfigError(
            f"A height of {height_cm:g} cm is not between {low:g} and {high:g} cm.",
            "Give the height in centimetres.",
        )
    return Player(
        capacity_l=equation.median_l(height_cm, age),
        capacity_from=f"predicted, {equation.name}",
        lower_l=equation.lower_l(height_cm, age),
    )


def measured(capacity_l: float, limits: LungLimits | None = None) -> Player:
    """Take a capacity that was measured.

    Parameters
    ----------
    capacity_l : float
        Vital capacity, in litres.
    limits : LungLimits, optional
        What is taken for a typing mistake; left out, anything above 0 is taken.

    Returns
    -------
    Player
        With that capacity.

    Raises
    ------
    ConfigError
        If it is no person's capacity.
    """
    low = limits.lowest_capacity_l if limits else math.ulp(0.0)
    high = limits.highest_capacity_l if limits else math.inf
    if not low <= capacity_l <= high:
        raise ConfigError(
            f"A capacity of {capacity_l:g} L is not between {low:g} and {high:g} L.",
            "Give the vital capacity in litres.",
        )
    return Player(capacity_l, "measured", capacity_l)


def flow_scale_from_long_tone(
    seconds: float, player: Player, settings: AirSettings
) -> float:
    """Tell a player's flow from one long tone: F3 at mezzo-forte.

    Parameters
    ----------
    seconds : float
        How long it lasted, from a full breath until nothing more came.
    player : Player
        Whose lungs.
    settings : AirSettings
        The air model.

    Returns
    -------
    float
        Flow against the model's: with it, the model runs out just then.

    Raises
    ------
    ConfigError
        If nobody holds a tone for so short or so long.
    """
    tone = LongTone(seconds, settings.reference_hz, 0.0)
    return calibrate([tone], player, settings).flow_scale


def calibrate(
    tones: Sequence[LongTone], player: Player, settings: AirSettings
) -> Calibration:
    """Tell a player's flow from one or two long tones.

    Parameters
    ----------
    tones : sequence of LongTone
        One tone sets the flow; two at different dynamics also set how much the
        flow grows with each step of dynamics.
    player : Player
        Whose lungs.
    settings : AirSettings
        The air model.

    Returns
    -------
    Calibration
        With it, the model runs out of each tone when the player did.

    Raises
    ------
    ConfigError
        If nobody holds a tone for so short or so long, or if two tones are too
        near in loudness, or the louder one took no more air.
    """
    flows = []
    for tone in tones:
        if not settings.shortest_tone_s <= tone.seconds <= settings.longest_tone_s:
            raise ConfigError(
                f"A long tone of {tone.seconds:g} s is not between "
                f"{settings.shortest_tone_s:g} and {settings.longest_tone_s:g} s.",
                "Breathe in fully and hold it until nothing more comes.",
            )
        blown = (settings.full_share - settings.empty_share) * player.capacity_l
        at_reference = (tone.hertz / settings.reference_hz) ** settings.pitch_power
        flows.append(blown / tone.seconds * at_reference)
    step = settings.loud_step_factor
    if len(tones) > 1:
        step = _step_factor(tones, flows, settings)
    scale = flows[0] / settings.flow_f3_mf_lps / step ** tones[0].loudness
    return Calibration(scale, step)


def _step_factor(
    tones: Sequence[LongTone], flows: Sequence[float], settings: AirSettings
) -> float:
    """Tell how much two tones' flows differ for each step of dynamics."""
    steps = tones[1].loudness - tones[0].loudness
    if abs(steps) < settings.least_loudness_apart_steps:
        raise ConfigError(
            "The two long tones are equally loud.",
            "Hold one at mezzo-forte and one at fortissimo.",
        )
    factor: float = (flows[1] / flows[0]) ** (1.0 / steps)
    if factor <= 1.0:
        raise ConfigError(
            "The louder long tone took no more air than the softer one.",
            "Hold both again, each from a full breath until nothing more comes.",
        )
    return factor


def _between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Read a table along straight lines; `x` lies inside it."""
    k = min(bisect_right(xs, x), len(xs) - 1)
    share = (x - xs[k - 1]) / (xs[k] - xs[k - 1])
    return ys[k - 1] + share * (ys[k] - ys[k - 1])
