"""The gear of a rehearsal, opened: run log, click player, conductor."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from coach.config import home, player_name
from coach.edges.system_clock import SystemClock
from coach.errors import CoachError

if TYPE_CHECKING:
    import argparse
    from collections.abc import Mapping
    from typing import Any

    from coach.conductor import Conductor
    from coach.edges.log.run_log import RunLogFile
    from coach.rehearsal.gear.gear import ClickPlayer, Clock, Fact
    from coach.rehearsal.gear.listener import Listener
    from coach.rehearsal.outside import Outside
    from coach.rehearsal.rehearsal import Rehearsal
    from coach.rehearsal.stand.wishes import RunWishes
    from coach.score.phrase import Part
    from coach.wiring.player_planner import PlayerPlanner

LOG_FILE = "runs.sqlite3"


def _is_heard(asked: Mapping[str, Any]) -> bool:
    """Tell whether the player wants to be heard: by a word, or by a setting."""
    from coach.edges.hearing.take_settings import read_take_settings

    begins = (asked.get("start_by") or "off") != "off"
    wants = asked.get("listen", False) or begins
    is_silent = asked.get("silent", False) or asked.get("fast", False)
    if wants and is_silent:
        raise CoachError(
            "Without the click engine no microphone is opened.",
            "Leave out --listen and --start-by, or --silent and --fast.",
        )
    return bool(wants or (read_take_settings().listens and not is_silent))


def open_log(
    tell: Callable[[str], None] | None = None, *, to_play: bool = False
) -> RunLogFile:
    """Open the run log, making it where there is none.

    What is to be known of the file is told in a sentence: to `tell`, or else beside
    the output.  Who wants to play, or to plan, can do so where it cannot be written or
    made, too.
    """
    from coach.edges.log.run_log import RunLogFile

    path = home() / LOG_FILE
    return RunLogFile(path, tell or _say_beside, player_name(), goes_on=to_play)


def _say_beside(sentence: str) -> None:
    """Say something that is no part of what was asked for."""
    sys.stderr.write(f"coach: {sentence}\n")


def open_player(clock: Clock | None = None, *, is_silent: bool) -> ClickPlayer:
    """Open what sounds the click: the engine, or nothing but the time."""
    if is_silent:
        from coach.edges.engine.silent_player import SilentPlayer

        return SilentPlayer(clock or SystemClock())
    from coach.edges.engine.engine_link import EngineLink
    from coach.edges.gear_file import keep_pedal, read_choice, read_pedals

    link = EngineLink(read_choice(), read_pedals())

    def keep(fact: Fact) -> None:
        with suppress(CoachError):  # it means this at least until we end
            pedals = keep_pedal(fact)
            if pedals is not None:
                link.choose(read_choice(), pedals)

    link.listen(keep)
    return link


def open_ear(player: ClickPlayer) -> Listener:
    """Open what listens to runs: the engine's microphone, or nobody."""
    from coach.edges.engine.engine_link import EngineLink
    from coach.edges.hearing.run_ear import RunEar
    from coach.edges.hearing.take_settings import read_take_settings
    from coach.rehearsal.gear.listener import NoListener

    if not isinstance(player, EngineLink):
        return NoListener()
    return RunEar(player, read_take_settings())


def open_conductor(
    part: Part,
    planner: PlayerPlanner,
    outside: Outside,
    wishes: RunWishes,
    *,
    is_attended: bool = True,
) -> Conductor:
    """Make the conductor of a rehearsal that somebody attends, or nobody."""
    # Here and below, so that the shelf need not wait for all that a run needs.
    from coach.conductor import Conductor
    from coach.wiring.rehearsal_numbers import read_rehearsal_settings

    planner.hear_whole(part)
    return Conductor(
        part,
        planner,
        outside,
        wishes,
        read_rehearsal_settings(),
        is_attended=is_attended,
    )


def open_rehearsal(
    part: Part,
    planner: PlayerPlanner,
    log: RunLogFile,
    wishes: RunWishes,
    wall: Callable[[], datetime] | None = None,
) -> Rehearsal:
    """Make a rehearsal that plays nothing: for what the log says, now or at a time."""
    from coach.rehearsal.rehearsal import Rehearsal
    from coach.wiring.rehearsal_numbers import read_rehearsal_settings

    planner.hear_whole(part)
    settings = read_rehearsal_settings()
    return Rehearsal(part, planner, log, wall or wall_time, wishes, settings)


def wall_time() -> datetime:
    """Tell the date and time with the zone of this place."""
    return datetime.now().astimezone()


def wishes_of(part: Part, arguments: argparse.Namespace | None = None) -> RunWishes:
    """Give the wishes that a rehearsal begins with: as asked for, or the whole."""
    from coach.edges.hearing.follow_choice import read_follow_wishes
    from coach.rehearsal.click.click_wishes import ClickWishes
    from coach.rehearsal.run.playing import A_BEAT, HALF_A_BEAT
    from coach.rehearsal.stand.wishes import RunWishes
    from coach.score.tempo import Seconds

    asked = vars(arguments) if arguments else {}
    from_bar, to_bar = _bars_of(part, *(asked.get("bars") or (None, None)))
    return RunWishes(
        bpm=asked.get("tempo") or part.tempo.bpm,
        from_bar=from_bar,
        to_bar=to_bar,
        click=ClickWishes(
            count_in_bars=asked.get("count_in", 1),
            cues=True,
            is_sounding=not asked.get("silent", False),
        ),
        runs_in_a_row=asked.get("runs", 1),
        rest=Seconds(0.0),
        room_beats={"beat": A_BEAT, "half": HALF_A_BEAT}.get(
            asked.get("room") or "", 0.0
        ),
        is_open=_left_open(asked),
        is_from_end=asked.get("from_end", False),
        listens=_is_heard(asked),
        following=read_follow_wishes(asked.get("start_by") or ""),
        word=" ".join(asked.get("word", "").split()),
    )


def _bars_of(part: Part, first: int | None, last: int | None) -> tuple[int, int]:
    """Give the bars that are asked for; an end that is left open is the page's."""
    from coach.score.page_facts import span_of

    begin, end = span_of(part)
    return begin if first is None else first, end if last is None else last


def _left_open(asked: Mapping[str, object]) -> frozenset[Literal["bars", "tempo"]]:
    """Tell what nobody has asked for; whoever asks for a tempo means these bars."""
    if asked.get("tempo"):
        return frozenset()
    return frozenset({"tempo"} if asked.get("bars") else {"bars", "tempo"})
