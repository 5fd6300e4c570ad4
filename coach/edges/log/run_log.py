"""The run log: what the player rehearsed, written as it happens and never changed.

Every call is one transaction and is safe on the disk when it comes back.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container, Iterable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from coach.edges.log.edit_rows import (
    SavedEdits,
    add_edits,
    list_newest_edits,
    read_edits,
)
from coach.edges.log.log_file import LogFile
from coach.edges.log.log_rows import (
    count_late_words,
    read_evidence,
    read_played,
    read_players,
    read_runs,
)
from coach.edges.log.log_sums import add_up, add_word_and_run, read_tallies
from coach.edges.log.log_writing import (
    TakenIn,
    add_aside,
    add_end,
    add_later_word,
    add_mark,
    add_run,
    take_in,
)
from coach.edges.log.which_runs import (
    Which,
    count_which,
    read_newest,
    read_other_ways,
    read_played_ids,
    read_titles,
    read_which,
)
from coach.planning.edits import Edits
from coach.rehearsal.review.etude_tally import Tallies
from coach.rehearsal.run.evidence import Evidence
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import PlayedRun, Run, RunEnd, RunWord, SetAside
from coach.score.etude_key import EtudeKey

LARGEST_NUMBER = 2**63 - 1
"""SQLite counts no further (https://www.sqlite.org/datatype3.html, storage classes)."""

Travelled = tuple[Run, Evidence | None] | SavedEdits
"""What comes from another log: a run with what it asked of the lungs, or edits."""


def _say_nothing(_: str) -> None:
    """Leave out what is to be known of the file."""


class RunLogFile:
    """A run log in a file; close it, or use it in a ``with`` block.

    Parameters
    ----------
    tell : callable
        Is told in a sentence what a player must know of the file.
    player : str
        Whose edits are kept and read; empty for the one that the laptop belongs to.
    goes_on : bool
        Where the file cannot be written, a rehearsal goes on all the same: what it
        would keep is there until the log is closed.
    """

    def __init__(
        self,
        path: Path,
        tell: Callable[[str], None] = _say_nothing,
        player: str = "",
        *,
        goes_on: bool = False,
    ) -> None:
        self._file = LogFile(path, tell, goes_on=goes_on)
        self._player = player

    def __enter__(self) -> RunLogFile:
        """Give the log itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        """Close the file."""
        self.close()

    @property
    def is_kept(self) -> bool:
        """Tell whether what is written is there for good."""
        return self._file.is_kept

    def close(self) -> None:
        """Close the file; what was written is safe already."""
        self._file.close()

    def begin(self, run: Run) -> int:
        """Keep a run from its first click on; give its number."""
        with self._file.transaction() as database:
            return add_run(database, run)

    def add_mark(self, run_id: int, mark: Mark) -> None:
        """Keep a mark of a run that is under way or waits for a word."""
        with self._file.transaction() as database:
            add_mark(database, run_id, mark)

    def take_back_mark(self, run_id: int, which: int) -> None:
        """Let a mark no longer count: one of those that stand, from 0 as they came."""
        with self._file.transaction() as database:
            database.execute(
                """INSERT INTO marks_taken_back
                   SELECT id FROM standing_marks WHERE run = ?
                   ORDER BY id LIMIT 1 OFFSET ?""",
                (run_id, which),
            )

    def end(self, run_id: int, how: RunEnd) -> None:
        """Keep how a run came to its end."""
        with self._file.transaction() as database:
            add_end(database, run_id, how)

    def finish(self, run_id: int, word: RunWord) -> Run:
        """Keep the word on a run; from now on it never changes."""
        with self._file.transaction() as database:
            add_word_and_run(database, run_id, word)
            return read_runs(database, "WHERE runs.id = ?", (run_id,))[0]

    def take_in(self, told: Iterable[Travelled]) -> Counter[tuple[str, TakenIn]]:
        """Merge runs and edits of another log, all or none; count them by player."""
        counted: Counter[tuple[str, TakenIn]] = Counter()
        with self._file.transaction() as database:
            for one in told:
                if isinstance(one, SavedEdits):
                    taken: TakenIn = (
                        "edits" if add_edits(database, one) else "known edits"
                    )
                    counted[one.player, taken] += 1
                else:
                    run, evidence = one
                    counted[run.how.player, take_in(database, run, evidence)] += 1
            add_up(database)
        return counted

    def has_run(self, run_id: int) -> bool:
        """Tell whether there is a run of this number."""
        return abs(run_id) <= LARGEST_NUMBER and bool(
            self._file.read(
                lambda database: read_runs(database, "WHERE runs.id = ?", (run_id,))
            )
        )

    def list_players(self) -> list[str]:
        """Name everybody who has runs here, in order."""
        return self._file.read(read_players)

    def read_evidence(self, run_id: int) -> Evidence | None:
        """Give what a run asked of the lungs; None where that was not kept."""
        return self._file.read(lambda database: read_evidence(database, run_id))

    def set_aside(self, run_id: int, why: SetAside | None) -> None:
        """Let a run count for nothing from now on, or with None count again."""
        with self._file.transaction() as database:
            add_aside(database, run_id, why)
            add_up(database)

    def say_later(self, run_id: int, *, is_clean: bool) -> None:
        """Keep the player's word on a run that is over; it goes before any other."""
        with self._file.transaction() as database:
            add_later_word(database, run_id, is_clean=is_clean)
            add_up(database)

    def count_late_words(self) -> int:
        """Count the words that were said of a run on a day after it."""
        return self._file.read(count_late_words)

    def list_runs(
        self,
        etude: EtudeKey | None = None,
        since: datetime | None = None,
        like: Like | None = None,
        most: int | None = None,
    ) -> tuple[Run, ...]:
        """List runs, oldest first: all, or of an etude, since a moment, the newest.

        Of runs like others, those that are set aside are left out.
        """
        if etude is not None and like is not None and most is not None:
            return self._file.read(
                lambda database: read_newest(database, etude, like, most)
            )
        which = Which(etude, since, like)
        return self._file.read(lambda database: read_which(database, which, most))

    def list_of_player(
        self, player: str | None, which: Which, most: int | None
    ) -> tuple[tuple[Run, ...], int]:
        """List the newest runs of a player, or of all; tell how many more are older.

        Nothing but these runs is read, however many there are.
        """
        asked = replace(which, player=player)
        return self._file.read(
            lambda database: (
                runs := read_which(database, asked, most),
                count_which(database, asked) - len(runs),
            )
        )

    def list_other_ways(
        self, etude: EtudeKey, like: Like
    ) -> tuple[tuple[Like, int], ...]:
        """Count a player's runs of an etude that are unlike, by how they were played.

        What they have in common with the like ones is left empty.
        """
        return self._file.read(
            lambda database: tuple(read_other_ways(database, etude, like))
        )

    def list_titles(self, player: str, since: datetime) -> tuple[str, ...]:
        """Name what a player has rehearsed since a moment, the newest first."""
        return self._file.read(lambda database: read_titles(database, player, since))

    def list_played_ids(
        self, most: int, like: Like, since: datetime | None = None
    ) -> tuple[int, ...]:
        """Give the numbers of the newest like runs with evidence, oldest first."""
        return self._file.read(
            lambda database: read_played_ids(database, most, like, since)
        )

    def list_played(
        self,
        most: int,
        like: Like,
        since: datetime | None = None,
        known: Container[int] = (),
    ) -> tuple[PlayedRun, ...]:
        """List the newest like runs that have evidence and are not known yet."""
        ids = self.list_played_ids(most, like, since)
        fresh = [one for one in ids if one not in known]
        return self._file.read(lambda database: read_played(database, fresh))

    def tally(self, player: str = "") -> Tallies:
        """Give for the shelf what there is of every etude, as a player has it."""
        return self._file.read(lambda database: read_tallies(database, player))

    def save_edits(self, etude: EtudeKey, edits: Edits) -> None:
        """Keep what the player insists on in an etude."""
        saved = datetime.now(UTC).isoformat()
        with self._file.transaction() as database:
            add_edits(database, SavedEdits(etude, self._player, saved, edits))

    def read_edits(self, etude: EtudeKey) -> Edits:
        """Give what was kept last; nothing changed if nothing was."""
        return self._file.read(
            lambda database: read_edits(database, etude, self._player)
        )

    def list_newest_edits(self) -> tuple[SavedEdits, ...]:
        """List what each player kept last of each etude."""
        return self._file.read(lambda database: tuple(list_newest_edits(database)))
