"""The run log: what is written stays, and is found by its etude."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.log_sums import add_up
from coach.edges.log.run_log import RunLogFile
from coach.edges.log.which_runs import Which
from coach.errors import RunLogError
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Like, Playing
from coach.rehearsal.run.run import PlayedRun, RunEnd, RunWord
from coach.rehearsal.run.run_words import say_outcome
from coach.score.etude_key import EtudeKey
from coach.score.tempo import Seconds
from tests.edges.log.kept_runs import (
    FIELD,
    HEARD,
    MINE,
    MORNING,
    OUT,
    PLAYED,
    RIVER,
    TO_THE_END,
    TROMBONE,
    finish,
    run,
)


@pytest.fixture
def log() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


def test_a_finished_run_is_read_as_it_was_written(log: RunLogFile) -> None:
    saved = finish(log, run(), OUT, HEARD, note="lips")
    assert saved == replace(
        run(),
        id=1,
        uid=saved.uid,
        is_completed=True,
        marks=(HEARD, OUT),  # in order of time
        note="lips",
        sent=64,
        worst_late=Seconds(0.0012),
        reached_bar=16,
        lasted=Seconds(40.0),
        loud=Seconds(12.5),
    )
    assert log.list_runs() == (saved,)
    assert saved.started.utcoffset() == timedelta(hours=1)


def test_evidence_is_listed_with_its_runs_the_newest_and_oldest_first(
    log: RunLogFile,
) -> None:
    later = finish(log, run(9), OUT, evidence=PLAYED)
    finish(log, run(1))  # nothing was played
    first = finish(log, run(2), evidence=replace(PLAYED, breaths=()))
    both = (PlayedRun(first, replace(PLAYED, breaths=())), PlayedRun(later, PLAYED))
    assert log.list_played(5, MINE) == both
    assert log.list_played(1, MINE) == both[1:]
    assert log.list_played(0, MINE) == ()


def test_a_run_is_what_the_player_says_and_without_a_word_what_is_marked(
    log: RunLogFile,
) -> None:
    breathed = replace(OUT, kind=MarkKind.BREATHED)
    assert finish(log, run()).is_clean is None
    assert finish(log, run(), breathed).is_clean is None
    assert finish(log, run(), OUT).is_clean is False
    assert finish(log, run(), OUT, is_clean=True).is_clean is True
    assert finish(log, run(), is_clean=True).is_clean is True
    assert finish(log, run(), is_clean=False).is_clean is False


def test_a_run_that_was_cut_off_is_kept_as_such_and_never_clean(
    log: RunLogFile,
) -> None:
    run_id = log.begin(run())
    log.end(run_id, RunEnd(is_completed=False, reached_bar=3))
    saved = log.finish(run_id, RunWord(is_clean=True))
    assert (saved.is_completed, saved.is_clean, saved.reached_bar) == (False, False, 3)
    assert say_outcome(saved) == "cut off in bar 3, clean so far"


def test_a_run_that_waits_for_a_word_counts_as_played(log: RunLogFile) -> None:
    run_id = log.begin(run())
    log.end(run_id, TO_THE_END)
    (waiting,) = log.list_runs()
    assert waiting.is_completed
    assert waiting.is_clean is None


def test_a_run_that_nobody_attended_is_known_by_its_word_or_marks(
    log: RunLogFile,
) -> None:
    alone = run(is_attended=False)
    breathed = replace(OUT, kind=MarkKind.BREATHED)
    for saved, is_clean, is_attended in (
        (finish(log, alone), None, False),
        (finish(log, alone, note="a trial"), None, False),
        (finish(log, alone, is_clean=True), True, True),
        (finish(log, alone, is_clean=False), False, True),
        (finish(log, alone, OUT), False, True),
        (finish(log, alone, breathed), None, True),
        (finish(log, run()), None, True),
    ):
        assert (saved.is_clean, saved.is_attended) == (is_clean, is_attended)
    waiting = log.begin(alone)
    log.end(waiting, TO_THE_END)
    assert not log.list_runs()[-1].is_clean
    log.add_mark(waiting, HEARD)
    log.take_back_mark(waiting, 0)
    assert not log.list_runs()[-1].is_attended


def test_a_run_without_a_word_is_no_best_tempo(log: RunLogFile) -> None:
    finish(log, run(0, bpm=80), is_clean=True)
    finish(log, run(1, bpm=120))
    river = log.tally().by_title["River"]
    assert (river.runs, river.clean_bpm) == (2, 80)


def test_a_count_in_that_was_stopped_is_no_run(log: RunLogFile) -> None:
    """With a mark, a note or a word it is one; so is one that nobody ended."""
    stopped = RunEnd(is_completed=False, reached_bar=None)

    def stop(word: RunWord, *marks: Mark) -> int:
        run_id = log.begin(run())
        for mark in marks:
            log.add_mark(run_id, mark)
        log.end(run_id, stopped)
        assert log.finish(run_id, word).id == run_id
        return run_id

    ids = [stop(RunWord())]
    assert log.list_runs() == log.list_runs(RIVER, like=MINE, most=5) == ()
    assert log.list_of_player("", Which(), 5) == ((), 0)
    assert log.list_titles("", MORNING) == ()
    assert log.tally().of(RIVER) is None
    told = [stop(RunWord(), OUT), stop(RunWord(note="lips")), stop(RunWord(False))]
    told.append(log.begin(run()))
    assert [one.id for one in log.list_runs()] == told
    assert [one.id for one in log.list_runs(RIVER, like=MINE, most=5)] == told
    tally = log.tally().of(RIVER)
    assert tally is not None
    assert tally.runs == 4
    log.set_aside(ids[0], None)  # adds up anew
    assert log.tally().of(RIVER) == tally


def test_a_run_that_was_cut_off_before_its_word_was_played_all_the_same(
    log: RunLogFile,
) -> None:
    """Its player pulled the plug; the shelf tells what the log tells."""
    cut_off = log.begin(run())
    log.end(cut_off, TO_THE_END)
    after_it = log.tally().of(RIVER)
    assert after_it is not None
    assert after_it.runs == 1
    finish(log, run(1, etude="Other", etude_key="b"))
    assert log.tally().of(RIVER) == after_it


def test_no_run_is_counted_twice_whatever_is_said_before_its_word(
    log: RunLogFile,
) -> None:
    """In the log behind a run that waits, another one gets a word."""
    earlier = finish(log, run()).id
    assert earlier is not None
    waits, comes_before = log.begin(run(1)), log.begin(run(2, bpm=80))
    for begun in (waits, comes_before):
        log.end(begun, TO_THE_END)
    log.say_later(earlier, is_clean=True)
    log.finish(comes_before, RunWord())
    log.finish(waits, RunWord(is_clean=True))
    tally = log.tally().of(RIVER)
    assert tally is not None
    assert (tally.runs, tally.clean_bpm) == (3, run().bpm)


def test_a_run_that_was_never_ended_keeps_its_marks(log: RunLogFile) -> None:
    log.add_mark(log.begin(run()), OUT)
    (broken,) = log.list_runs()
    assert (broken.is_completed, broken.marks) == (False, (OUT,))
    assert broken.reached_bar is None


def test_any_mark_can_be_taken_back_until_the_run_is_finished(
    log: RunLogFile,
) -> None:
    run_id = log.begin(run())
    log.take_back_mark(run_id, 0)  # nothing to take back
    log.add_mark(run_id, OUT)
    log.add_mark(run_id, HEARD)
    log.take_back_mark(run_id, 0)
    assert log.list_runs()[0].marks == (HEARD,)
    log.take_back_mark(run_id, 1)  # there is one only
    assert log.list_runs()[0].marks == (HEARD,)
    log.take_back_mark(run_id, 0)
    assert log.list_runs()[0].marks == ()
    log.add_mark(run_id, HEARD)
    log.end(run_id, TO_THE_END)
    assert log.finish(run_id, RunWord()).marks == (HEARD,)


def test_a_finished_run_takes_no_more_marks(log: RunLogFile) -> None:
    saved = finish(log, run(), OUT)
    assert saved.id is not None
    with pytest.raises(RunLogError, match="the run is finished"):
        log.add_mark(saved.id, HEARD)
    with pytest.raises(RunLogError, match="the run is finished"):
        log.take_back_mark(saved.id, 0)
    with pytest.raises(RunLogError, match="UNIQUE"):
        log.finish(saved.id, RunWord())
    assert log.list_runs() == (saved,)


def test_a_mark_needs_a_run(log: RunLogFile) -> None:
    with pytest.raises(RunLogError, match="FOREIGN KEY"):
        log.add_mark(99, OUT)


def test_runs_are_listed_oldest_first_across_time_zones(log: RunLogFile) -> None:
    late = finish(log, run(60))
    early = finish(log, replace(run(), started=MORNING.astimezone(UTC)))
    assert log.list_runs() == (early, late)


def test_runs_are_listed_by_etude_and_since_a_moment(log: RunLogFile) -> None:
    first, second = finish(log, run()), finish(log, run(60), OUT)
    other = finish(log, run(120, etude="O'Hara's \"Field\"; DROP TABLE runs"), HEARD)
    assert log.list_runs(RIVER) == (first, second)
    assert log.list_runs(EtudeKey(other.etude, "ccc")) == (other,)
    assert log.list_runs(since=second.started) == (second, other)
    assert log.list_runs(RIVER, since=second.started) == (second,)
    assert log.list_runs(EtudeKey("Nothing", "ccc")) == ()


def test_the_newest_are_listed_and_the_older_counted(log: RunLogFile) -> None:
    ann = replace(TROMBONE, player="Ann")
    for k in range(6):
        finish(log, run(k, etude_key="aaa", how=ann if k == 5 else TROMBONE))
    finish(log, run(9, etude_key="bbb"))
    of_river = Which(RIVER)
    newest, older = log.list_of_player(None, of_river, 2)
    assert ([one.id for one in newest], older) == ([5, 6], 4)
    newest, older = log.list_of_player("", of_river, 2)
    assert ([one.id for one in newest], older) == ([4, 5], 3)
    newest, older = log.list_of_player("", Which(since=MORNING), None)
    assert (len(newest), older) == (6, 0)
    assert log.list_of_player("Kim", Which(), 9) == ((), 0)


def test_the_shelf_is_told_of_every_etude(log: RunLogFile) -> None:
    finish(log, run(0, bpm=80), is_clean=True)
    finish(log, run(1, bpm=84), OUT)
    finish(log, run(2, bpm=120, is_whole=False))
    finish(log, run(3, bpm=76), OUT, HEARD)
    finish(log, run(4, etude="Field"), HEARD)
    finish(log, run(5, etude="Sky", is_whole=False))
    told = log.tally()
    assert (set(told.by_key), set(told.by_title)) == (set(), {"River", "Field", "Sky"})
    river = told.of(RIVER)
    assert river is not None
    assert (river.runs, river.clean_bpm) == (4, 80)
    assert river.last_run == run(3).started
    assert told.by_title["Sky"].clean_bpm is None


def test_two_etudes_of_one_title_have_each_their_own_runs_and_edits(
    log: RunLogFile,
) -> None:
    one, other = EtudeKey("Etude 5", "aaa"), EtudeKey("Etude 5", "bbb")
    mine = finish(log, run(etude="Etude 5", etude_key="aaa", bpm=80), OUT)
    yours = finish(log, run(1, etude="Etude 5", etude_key="bbb", bpm=90), is_clean=True)
    log.save_edits(one, Edits(dial=0.1))
    log.save_edits(other, Edits(dial=0.9))
    assert (log.list_runs(one), log.list_runs(other)) == ((mine,), (yours,))
    assert (log.read_edits(one).dial, log.read_edits(other).dial) == (0.1, 0.9)
    told = log.tally()
    assert [told.by_key[key].clean_bpm for key in ("aaa", "bbb")] == [None, 90]
    assert told.by_title == {}


def test_a_run_that_a_wrong_clock_dated_ahead_is_not_the_newest_for_ever(
    log: RunLogFile,
) -> None:
    """It stays in the log; shelf and learning go by what has been."""
    ahead = finish(log, run(minutes=2**25, etude_key="aaa"), evidence=PLAYED)
    only_ahead = finish(log, run(minutes=2**25, etude="Field"), is_clean=True)
    kept = finish(log, run(5, etude_key="aaa"), evidence=PLAYED)
    old = finish(log, run(2**25), is_clean=True), finish(log, run(7), is_clean=True)
    assert len(log.list_runs()) == 5
    assert log.list_played(9, MINE) == (PlayedRun(kept, PLAYED),)
    told = log.tally()
    assert (told.by_key["aaa"].runs, told.by_key["aaa"].last_run) == (2, kept.started)
    assert told.by_title["River"].last_run == old[1].started
    now = datetime.now(UTC)
    assert now - timedelta(hours=1) < told.by_title["Field"].last_run <= now
    assert ahead.started > now
    assert only_ahead.started > now


def test_an_etude_that_was_spelled_anew_keeps_its_runs(log: RunLogFile) -> None:
    saved = finish(log, run(etude="étude 5", etude_key="aaa"))
    assert log.list_runs(EtudeKey("Étude 5", "aaa")) == (saved,)


def test_edits_are_kept_by_etude_and_the_newest_hold(log: RunLogFile) -> None:
    edits = Edits(
        locks=Locks(must=frozenset({9, 3}), must_not=frozenset({4})),
        positions=((2, "b4"), (7, "T2")),
        dial=0.25,
        dynamic_shift=-1.0,
    )
    assert log.read_edits(RIVER) == Edits()
    log.save_edits(RIVER, Edits(dial=0.9))
    log.save_edits(RIVER, edits)
    log.save_edits(FIELD, Edits())
    assert log.read_edits(RIVER) == edits
    assert log.read_edits(FIELD) == Edits()


def test_like_runs_are_of_one_player_instrument_and_way(log: RunLogFile) -> None:
    old = finish(log, run(0, how=Playing()))
    mine = finish(log, run(1, etude_key="aaa"))
    others = [
        Playing(player="Ann", instrument="tenor-trombone"),
        replace(TROMBONE, instrument="euphonium"),
        replace(TROMBONE, word="straight mute"),
        replace(TROMBONE, dynamic_shift=-2.0),
        replace(TROMBONE, guide=True),
    ]
    unlike = [
        finish(log, run(minute, etude_key="aaa", how=how))
        for minute, how in enumerate(others, start=2)
    ]
    assert [kept.how for kept in unlike] == others
    like = TROMBONE.like
    assert log.list_runs(like=like) == (old, mine)
    assert log.list_runs(RIVER, like=like) == (old, mine)
    assert log.list_runs(RIVER, like=like, most=9) == (old, mine)
    assert log.list_runs(RIVER, like=like, most=1) == (mine,)
    for kept in unlike[:3]:
        (found,) = log.list_runs(RIVER, like=kept.how.like, most=9)[-1:]
        assert found == kept
        assert kept not in log.list_runs(like=MINE)
    assert log.list_runs(like=MINE) == (old, mine, *unlike[3:])


def test_runs_of_an_etude_that_are_unlike_are_counted_by_way(log: RunLogFile) -> None:
    finish(log, run(etude_key="aaa"))
    ways: list[dict[str, Any]] = [{"word": "mute"}] * 2
    ways += [{"instrument": "horn-f"}, {"guide": True}, {"dynamic_shift": -1.0}]
    for k, given in enumerate([*ways, {"player": "Ann"}]):
        finish(log, run(k, etude_key="aaa", how=replace(TROMBONE, **given)))
    finish(log, run(9, etude_key="bbb", how=replace(TROMBONE, word="mute")))
    not_me = finish(log, run(9, etude_key="aaa", how=replace(TROMBONE, word="x")))
    assert not_me.id is not None
    log.set_aside(not_me.id, "not-me")
    log.begin(run(10, etude_key="aaa", how=replace(TROMBONE, word="never played")))
    assert set(log.list_other_ways(RIVER, run().how.like)) == {
        (Like("", "", "mute", 0.0, False), 2),
        (Like("", "horn-f", "", 0.0, False), 1),
        (Like("", "", "", 0.0, True), 1),
        (Like("", "", "", -1.0, False), 1),
    }
    other = log.list_other_ways(RIVER, Like("Ann", "tenor-trombone", "mute", 0.0))
    assert other == ((Like("Ann", "", "", 0.0, False), 1),)


def test_a_run_that_is_set_aside_is_listed_and_counts_for_nothing(
    log: RunLogFile,
) -> None:
    saved = finish(log, run(etude_key="aaa"), is_clean=True, evidence=PLAYED)
    assert saved.id is not None
    for why in ("not-me", "struck-out"):
        log.set_aside(saved.id, why)
        assert log.list_runs() == (replace(saved, set_aside=why),)
        assert log.list_runs(RIVER, like=MINE, most=9) == ()
        assert log.list_runs(like=MINE) == ()
        assert log.list_played(9, MINE) == ()
    log.set_aside(saved.id, None)
    assert log.list_runs(RIVER, like=MINE, most=9) == (saved,)
    assert log.list_played(9, MINE) == (PlayedRun(saved, PLAYED),)
    with pytest.raises(RunLogError, match="FOREIGN KEY"):
        log.set_aside(99, "not-me")


def best_of_river(log: RunLogFile) -> float | None:
    tally = log.tally().of(RIVER)
    assert tally is not None
    return tally.clean_bpm


def test_a_run_may_get_its_word_later_and_the_newest_stands(log: RunLogFile) -> None:
    silent = finish(log, run(etude_key="aaa"), is_clean=None, evidence=PLAYED)
    assert silent.id is not None
    assert best_of_river(log) is None
    for is_clean in (True, False, True):
        log.say_later(silent.id, is_clean=is_clean)
        (told,) = log.list_runs()
        assert (told.is_clean, told.called_clean) == (is_clean, is_clean)
        assert log.list_played(9, MINE) == (PlayedRun(told, PLAYED),)
    assert best_of_river(log) == silent.bpm
    assert log.count_late_words() == 3, "the run was long ago"
    with pytest.raises(RunLogError, match="FOREIGN KEY"):
        log.say_later(99, is_clean=True)


def test_a_later_word_goes_before_the_one_right_after_the_run(log: RunLogFile) -> None:
    called = finish(log, run(etude_key="aaa"), is_clean=True)
    assert called.id is not None
    log.say_later(called.id, is_clean=False)
    (told,) = log.list_runs()
    assert (told.is_clean, told.called_clean) == (False, False)
    assert best_of_river(log) is None


def test_a_word_of_the_same_day_is_not_late(log: RunLogFile) -> None:
    now = finish(log, replace(run(), started=datetime.now().astimezone()))
    assert now.id is not None
    log.say_later(now.id, is_clean=False)
    assert log.count_late_words() == 0


def test_a_cut_off_run_is_not_clean_whatever_is_said_later(log: RunLogFile) -> None:
    run_id = log.begin(run())
    log.end(run_id, RunEnd(is_completed=False, reached_bar=2))
    log.finish(run_id, RunWord())
    log.say_later(run_id, is_clean=True)
    (told,) = log.list_runs()
    assert (told.is_clean, told.called_clean) == (False, True)


def test_no_two_runs_have_one_name(log: RunLogFile) -> None:
    names = {finish(log, run()).uid for _ in range(20)}
    assert len(names) == 20
    assert all(names)


def test_what_is_kept_added_up_is_what_all_runs_add_up_to(log: RunLogFile) -> None:
    ann = replace(TROMBONE, player="Ann")
    for minute in range(12):
        which = run(minute, etude_key="aaa" if minute % 2 else "", bpm=60 + minute)
        marks = (OUT, HEARD)[: minute % 3]
        finish(log, which, *marks, is_clean=None if marks else True)
    finish(log, run(20, how=ann, bpm=200), OUT)
    log.set_aside(4, "not-me")
    kept, anns = log.tally(), log.tally("Ann")
    with log._file.transaction() as database:
        add_up(database)
    assert (log.tally(), log.tally("Ann")) == (kept, anns)
    assert kept.by_title["River"].runs + kept.by_key["aaa"].runs == 11
    assert kept.by_key["aaa"].clean_bpm == 69
