"""What the shelf, the log and the typing of an etude need from outside."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from coach.config import player_name
from coach.errors import CoachError
from coach.wiring.open_rehearsal import wall_time
from coach.wiring.studio.studio_open import StudioOpen

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable, Sequence

    from coach.edges.scores.typed_etude import TypedReader
    from coach.rehearsal.ahead.today import Today
    from coach.rehearsal.run.run import Run, SetAside
    from coach.score.abc.typed_tune import TypedTune
    from coach.score.etude_key import EtudeKey
    from coach.screens.shelf.import_screen import ImportNeeds
    from coach.screens.shelf.log_screen import LogNeeds
    from coach.screens.shelf.shelf_needs import Etude, Folder, ShelfNeeds, Twin
    from coach.screens.shelf.today_screen import TodayNeeds
    from coach.screens.write.write_needs import OwnText, WriteNeeds


if TYPE_CHECKING:

    class ShelfFloor(
        StudioOpen,
        ImportNeeds,
        LogNeeds,
        ShelfNeeds,
        TodayNeeds,
        WriteNeeds,
    ):
        """What the screens are promised; loaded by the type checker alone."""

else:
    ShelfFloor = StudioOpen


class StudioShelf(ShelfFloor):
    """Etudes to choose from, own ones to type, and the runs of all of them."""

    def __init__(self, arguments: argparse.Namespace) -> None:
        super().__init__(arguments)
        self._typed: TypedReader | None = None

    def list_etudes(self) -> Iterable[Etude]:
        """List the shelf, what was rehearsed last first."""
        from coach.rehearsal.review.etude_tally import Tallies
        from coach.wiring.real_shelf import list_etudes, tell_hardest

        try:
            hardest = tell_hardest(self.log, self.planner.instrument.name)
            tallies = self.log.tally(player_name())
        except CoachError:
            # What was rehearsed is not known then; what there is to rehearse is.
            yield from list_etudes(Tallies())
            raise
        yield from list_etudes(tallies, hardest=hardest)

    def find_twin(self, path: str) -> Twin | None:
        """Find the etude that a score would share its runs with."""
        from coach.wiring.taking_in import find_twin

        return find_twin(Path(path).expanduser(), self.log.tally(player_name()))

    def is_on_shelf(self, path: str) -> bool:
        """Tell whether the very same file is on the shelf already."""
        from coach.wiring.taking_in import is_there

        return is_there(Path(path).expanduser())

    def import_file(self, path: str, *, replaces: str = "", title: str = "") -> Etude:
        """Put a file on the shelf."""
        from coach.wiring.moved_etudes import open_moved
        from coach.wiring.real_shelf import describe
        from coach.wiring.taking_in import put_on_shelf

        file = Path(path).expanduser()
        kept = put_on_shelf(file, replaces=replaces, title=title)
        return describe(kept, open_moved(kept), self.log.tally(player_name()))

    def list_folder(self, path: str) -> Folder:
        """Look into a folder; an empty path is the player's home."""
        from coach.wiring.real_shelf import look_into

        return look_into(path)

    def rename_etude(self, etude: Etude, name: str) -> str:
        """Give an own etude another name; give its file."""
        from coach.wiring.own_writing import rename

        has_runs = etude.last_run is not None
        return str(rename(Path(etude.path), name, has_runs=has_runs))

    def throw_away(self, path: str) -> str:
        """Take an own etude off the shelf; give the file where it lies now."""
        from coach.edges.scores.own_etudes import throw_away

        return str(throw_away(Path(path)))

    def put_back(self, kept: str, path: str) -> None:
        """Put what was thrown away back where it was."""
        from coach.edges.scores.own_etudes import put_back

        put_back(Path(kept), Path(path))

    def open_own(self, name: str) -> OwnText:
        """Open an own etude, or begin one for the player's instrument."""
        from coach.wiring.own_writing import open_text

        return open_text(name, self.planner.instrument)

    def save_own(self, own: OwnText) -> None:
        """Write an own etude."""
        from coach.wiring.own_writing import save_text

        save_text(own)

    def read_typed(self, path: str, text: str) -> TypedTune:
        """Read what was typed, by a child that stays until the typing ends."""
        from coach.edges.scores.typed_etude import TypedReader

        if self._typed is None:
            self._typed = TypedReader()
        return self._typed.read(Path(path), text)

    def end_typing(self) -> None:
        """Let the child go that reads what is typed."""
        if self._typed is not None:
            self._typed.end()

    def plan_today(self, minutes: float | None) -> Today:
        """Lay out what to play in so many minutes; None for the usual time."""
        from coach.wiring.player_planner import PlayerPlanner
        from coach.wiring.todays_work import plan_today

        planner = PlayerPlanner(self._instrument, self.log)
        return plan_today(self.log, planner, wall_time(), minutes)

    def list_runs(self, etude: EtudeKey | None, most: int) -> tuple[Sequence[Run], int]:
        """List the newest runs, oldest first, and tell how many more are older."""
        from coach.edges.log.which_runs import Which

        named = getattr(self._arguments, "player", None)
        return self.log.list_of_player(named and player_name(), Which(etude), most)

    def say_later(self, run: Run, *, is_clean: bool) -> None:
        """Keep the player's word on a run that is over."""
        if run.id is not None:
            self.log.say_later(run.id, is_clean=is_clean)

    def set_aside(self, run: Run, why: SetAside | None) -> None:
        """Let a run count for nothing from now on, or with None count again."""
        if run.id is not None:
            self.log.set_aside(run.id, why)
