"""What the log has taught of a player's air, learned day by day and kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from hashlib import sha256
from typing import TYPE_CHECKING

from coach import __version__
from coach.config import home, read_player_file, read_settings, write_player_file
from coach.edges.learned_file import LearnedDays, read_learned, write_learned
from coach.errors import ConfigError
from coach.planning.air.air import AirSettings
from coach.rehearsal.learning.air_choice import (
    AirChoice,
    PlannedAir,
    choose_air,
)
from coach.rehearsal.learning.candidates import LearningSettings
from coach.rehearsal.learning.learning import (
    AirEstimate,
    Study,
    TimedTone,
    begin_learning,
    begin_study,
    learn_day,
    see,
    see_long_tone,
    sum_up,
)
from coach.rehearsal.learning.replaying import Whom
from coach.rehearsal.learning.sights import Sight
from coach.wiring.player_file import list_tones, make_player, read_air

if TYPE_CHECKING:
    from coach.edges.log.run_log import RunLogFile
    from coach.planning.player_facts import PlayerFacts
    from coach.rehearsal.run.run import PlayedRun

TABLE = "learning"
CHOICE = "choice"
FLOW_FROM = ("learned", "table", "pinned")
LEAST_PINNED, MOST_PINNED = 0.2, 5.0


def read_choice_of_air() -> AirChoice:
    """Read for whose air the player wants plans to be made."""
    return _checked(read_settings(AirChoice, TABLE, CHOICE))


def write_choice_of_air(**changes: str | float) -> None:
    """Keep what the player chooses about their air, once it can be meant."""
    _checked(replace(read_settings(AirChoice, TABLE, CHOICE), **changes))  # type: ignore[arg-type]
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
    """

    def __init__(
        self, facts: PlayerFacts, instrument: str, log: RunLogFile | None
    ) -> None:
        self._table = Whom(make_player(facts), read_air(facts))
        self._model = read_settings(AirSettings, "air")
        self._choice = read_choice_of_air()
        self._study = begin_study(
            Whom(self._table.player, self._model),
            read_settings(LearningSettings, TABLE),
        )
        played = _since(log, self._study, self._choice) if log else ()
        tones = self._tones(facts, played)
        told = (__version__, self._study, tones, self._choice.since, instrument)
        self._key = sha256(repr(told).encode()).hexdigest()
        self._path = home() / "cache" / "learned-air.json"
        self._tone_sights = [see_long_tone(self._study, timed) for timed in tones]
        self.estimate = self._learn(played)

    @property
    def planned(self) -> PlannedAir:
        """The air that plans are made for."""
        return choose_air(self._choice, self._table, self._model, self.estimate)

    def _learn(self, played: Sequence[PlayedRun]) -> AirEstimate:
        """Go on from what was learned up to the last finished day, and keep more."""
        days = read_learned(self._path, self._key)
        if days is None or not _goes_on(days, played):
            days = LearnedDays(begin_learning(self._study), ())
        learned, known = days.learned, set(days.runs)
        sights: dict[date, list[Sight]] = {}
        for sight in self._tone_sights:
            if learned.belief.day is None or sight.day > learned.belief.day:
                sights.setdefault(sight.day, []).append(sight)
        runs: dict[date, list[int]] = {}
        for run in played:
            if run.run.id is None or run.run.id in known:
                continue
            day = run.run.started.date()
            runs.setdefault(day, []).append(run.run.id)
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
            through = (*through, *runs.get(day, ()))
        return sum_up(self._study, learned, datetime.now().astimezone().date())

    def _tones(
        self, facts: PlayerFacts, played: Sequence[PlayedRun]
    ) -> tuple[TimedTone, ...]:
        """Give the long tones with their day; without one, that of the first run."""
        on = self._choice.tones_on
        first = played[0].run.started if played else datetime.now().astimezone()
        day = date.fromisoformat(on) if on else first.date()
        return tuple(TimedTone(tone, day) for tone in list_tones(facts))


def _since(log: RunLogFile, study: Study, choice: AirChoice) -> tuple[PlayedRun, ...]:
    """List the runs that are learned from, oldest first."""
    played = log.list_played(study.settings.most_runs_count)
    if not choice.since:
        return played
    since = datetime.fromisoformat(choice.since).astimezone()
    return tuple(one for one in played if one.run.started >= since)


def _goes_on(days: LearnedDays, played: Sequence[PlayedRun]) -> bool:
    """Tell whether the runs of now go on from those that were learned from.

    Older ones may have gone from the front; all others must be there, and no run may
    have come in between.
    """
    now = [one.run.id for one in played]
    if not now or now[0] not in days.runs:
        return False
    still = days.runs[days.runs.index(now[0]) :]
    finished = days.learned.belief.day
    return now[: len(still)] == list(still) and all(
        finished is None or one.run.started.date() > finished
        for one in played[len(still) :]
    )
