"""What the log has taught of a player's air, learned day by day and kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from hashlib import sha256
from typing import TYPE_CHECKING

from coach import __version__
from coach.config import (
    player_home,
    player_path,
    read_player_file,
    read_settings,
    write_player_file,
)
from coach.edges.learned_file import LearnedDays, read_learned, write_learned
from coach.errors import ConfigError
from coach.planning.air.winds import BRASS
from coach.rehearsal.learning.air_choice import (
    AirChoice,
    PlannedAir,
    choose_air,
)
from coach.rehearsal.learning.candidates import LearningSettings
from coach.rehearsal.learning.learning import (
    AirEstimate,
    TimedTone,
    begin_learning,
    begin_study,
    learn_day,
    see,
    see_long_tone,
    sum_up,
)
from coach.rehearsal.learning.level_band import LevelBand, lay_level_band
from coach.rehearsal.learning.replaying import Whom
from coach.rehearsal.learning.sights import Sight
from coach.rehearsal.run.playing import Like
from coach.wiring.player_file import list_tones, make_player, read_air

if TYPE_CHECKING:
    from coach.edges.log.run_log import RunLogFile
    from coach.planning.air.long_tones import LongTone
    from coach.planning.plan import Plan
    from coach.planning.player_facts import PlayerFacts
    from coach.rehearsal.run.run import PlayedRun

TABLE = "learning"
CHOICE = "choice"
FLOW_FROM = ("learned", "table", "pinned")
LEAST_PINNED, MOST_PINNED = 0.2, 5.0


def read_choice_of_air() -> AirChoice:
    """Read for whose air the player wants plans to be made."""
    return _checked(read_settings(AirChoice, "learning", "choice"))


def write_choice_of_air(**changes: str | float) -> None:
    """Keep what the player chooses about their air, once it can be meant."""
    _checked(replace(read_settings(AirChoice, "learning", "choice"), **changes))  # type: ignore[arg-type]
    file = read_player_file()
    learning = dict(file.get(TABLE, {}))
    learning[CHOICE] = {**learning.get(CHOICE, {}), **changes}
    write_player_file({**file, TABLE: learning})


def _checked(choice: AirChoice) -> AirChoice:
    """Refuse a choice that nobody can mean."""
    if choice.flow_from not in FLOW_FROM:
        raise ConfigError(
            f"flow_from is “{choice.flow_from}”.",
            f"Say {', '.join(FLOW_FROM[:-1])} or {FLOW_FROM[-1]}.",
        )
    if not LEAST_PINNED <= choice.pinned_factor <= MOST_PINNED:
        raise ConfigError(
            f"Nobody blows {choice.pinned_factor:g} times the model's flow.",
            f"Pin it between {LEAST_PINNED:g} and {MOST_PINNED:g}; 1 is the model's.",
        )
    for name in ("since", "tones_on"):
        with _naming(name, getattr(choice, name)):
            datetime.fromisoformat(getattr(choice, name) or "2000-01-01")
    return choice


@contextmanager
def _naming(name: str, word: str) -> Iterator[None]:
    """Say which word is no date."""
    try:
        yield
    except ValueError as error:
        raise ConfigError(
            f"{name} is “{word}”, which is no date.", "Write it as 2026-03-31."
        ) from error


class PlayersAir:
    """What is known of a player's air.

    Parameters
    ----------
    facts : PlayerFacts
        What the player has told.
    instrument : str
        Name of the instrument's file.
    log : RunLogFile, optional
        What there is to learn from; left out, long tones alone.
    wind : str
        The family whose law the player is held against.
    """

    def __init__(
        self,
        facts: PlayerFacts,
        instrument: str,
        log: RunLogFile | None,
        wind: str = BRASS,
    ) -> None:
        self._table = Whom(make_player(facts, wind), read_air(facts, wind))
        self._choice = read_choice_of_air()
        self._study = begin_study(
            self._table,
            read_settings(LearningSettings, "learning"),
        )
        self._like = Like(self._table.player.name, instrument)
        # A loud one has told the step of dynamics, which the table has already.
        tones = self._tones(list_tones(facts, wind)[:1])
        late = log.count_late_words() if log else 0  # they change finished days
        told = (__version__, self._study, tones, self._choice.since, instrument, late)
        self._key = sha256(repr(told).encode()).hexdigest()
        self._path = player_home() / "cache" / "learned-air.json"
        self._tone_sights = [see_long_tone(self._study, timed) for timed in tones]
        self.estimate = self._learn(log)

    @property
    def planned(self) -> PlannedAir:
        """The air that plans are made for."""
        return choose_air(self._choice, self._table, self.estimate)

    def band_of(self, plan: Plan) -> LevelBand | None:
        """Lay out a plan's air for either end of the band, where plans follow it."""
        is_learned = self.estimate.ran_out + self.estimate.completed > 0
        if self._choice.flow_from != "learned" or not is_learned:
            return None
        return lay_level_band(plan, self.estimate, self._table)

    def _learn(self, log: RunLogFile | None) -> AirEstimate:
        """Go on from what was learned up to the last finished day, and keep more."""
        days, played = self._what_is_fresh(log)
        learned = days.learned
        sights: dict[date, list[Sight]] = {}
        for sight in self._tone_sights:
            if learned.belief.day is None or sight.day > learned.belief.day:
                sights.setdefault(sight.day, []).append(sight)
        runs: dict[date, list[PlayedRun]] = {}
        for run in played:
            day = run.run.started.date()
            runs.setdefault(day, []).append(run)
            seen = see(self._study, run)
            if seen is not None:
                sights.setdefault(day, []).append(seen)
        through = days.runs
        newest = max(runs, default=None)
        for day in sorted({*runs, *sights}):
            if day == newest and through != days.runs:
                write_learned(self._path, self._key, LearnedDays(learned, through))
            if day in sights:
                learned = learn_day(self._study, learned, sights[day])
            through = (*through, *(run.run.id or 0 for run in runs.get(day, ())))
        return sum_up(self._study, learned, datetime.now().astimezone().date())

    def _what_is_fresh(
        self, log: RunLogFile | None
    ) -> tuple[LearnedDays, Sequence[PlayedRun]]:
        """Give what was kept, and the runs that it does not know of."""
        nothing = LearnedDays(begin_learning(self._study), ())
        if log is None:
            return nothing, ()
        most = self._study.settings.most_runs_count
        since = self._choice.since
        after = datetime.fromisoformat(since).astimezone() if since else None
        days = read_learned(self._path, self._key)
        if days and _goes_on(days.runs, log.list_played_ids(most, self._like, after)):
            finished = days.learned.belief.day or date.min
            played = log.list_played(most, self._like, after, frozenset(days.runs))
            if all(run.run.started.date() > finished for run in played):
                return days, played
        return nothing, log.list_played(most, self._like, after)

    def _tones(self, tones: Sequence[LongTone]) -> tuple[TimedTone, ...]:
        """Give the long tones with their day, or with that of the player's file."""
        on, path = self._choice.tones_on, player_path()
        written = datetime.now().astimezone()
        if path.exists():
            written = datetime.fromtimestamp(path.stat().st_mtime).astimezone()
        day = datetime.fromisoformat(on).date() if on else written.date()
        return tuple(TimedTone(tone, day) for tone in tones)


def _goes_on(learned: Sequence[int], now: Sequence[int]) -> bool:
    """Tell whether the runs of now go on from those that were learned from.

    Older ones may have gone from the front; all others must still be there.
    """
    if not now or now[0] not in learned:
        return False
    still = learned[learned.index(now[0]) :]
    return list(now[: len(still)]) == list(still)
