"""Learn where phrases end from songs and chorales: config/phrasing_trees.json.

    uv run --with lightgbm==4.7.0 python -m tests.benchmarks.train_phrasing [--check]

Needs lightgbm (and scipy and numpy, which the tests have), none of which the coach
needs when it runs.  Takes about four minutes of two cores and prints the same figures
each time.  ``--check`` leaves the shipped file alone and says whether it is the same.

What is learned from: every song of the Essen collection outside the ``erk*`` files,
but for those whose tune is in ``erk*`` too; a study made of every second one; medleys
of songs and of studies; all voices of the chorales that are not for reporting, without
their fermatas, but for those whose tune is in ``erk*``.  The first look's chances that
the second look learns from come from trees that have not seen the song's collection, or
the chorale, and so do the figures printed.  With another number of threads lightgbm
adds up in another order, and grows other trees.
"""

from __future__ import annotations

import argparse
import json
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any
from zlib import crc32

import lightgbm  # type: ignore[import-not-found]  # only needed here
import numpy as np
from numpy.typing import NDArray

from coach.config import read_settings
from coach.planning.phrasing.melody import Melody, hear_melody
from coach.planning.phrasing.phrase_context import look_again
from coach.planning.phrasing.phrase_echoes import hear_echoes
from coach.planning.phrasing.phrase_features import look_first
from coach.planning.phrasing.phrase_forest import ANSWERS_IN_UNIT
from coach.planning.phrasing.phrase_rivals import weigh_rivals
from coach.planning.phrasing.phrase_signs import PhraseSigns, SignSettings, read_signs
from coach.planning.phrasing.phrasing import LookSettings
from tests.benchmarks import chorales
from tests.benchmarks.chorale_lines import Line, families_of, read_lines, share_out
from tests.benchmarks.essen import Song, read_songs, tune_of
from tests.benchmarks.same_tunes import like_tunes
from tests.benchmarks.studies_of_songs import elaborate, join

TREES = Path(__file__).parents[2] / "config" / "phrasing_trees.json"
HELD_OUT = "erk"
FOLDS = 4
SONGS_TO_A_MEDLEY = 15
VOICES = range(4)
"""All of a chorale: the lines end together, and only the top one moves as a song."""

KIND_WEIGHTS = {"song": 1.0, "study": 0.6, "medley": 0.4, "chorale": 1.5}
FAR_COLLECTIONS = {"han": 0.3}
"""Chinese songs: phrases unlike those of the etudes that the coach is for."""

VERSE_WEIGHT, TOP_LINE_WEIGHT = 4.0, 3.0
"""How much more a chorale counts in the second look, and its top line on top of that.

Only there it is heard how long lines are, which verse is made of.  F1 of unseen voices
of chorales 0.909, of unseen songs 0.820.
"""

FIRST = {"trees": 240, "leaves": 16, "rate": 0.1}
SECOND = {"trees": 260, "leaves": 16, "rate": 0.08}
SECOND_COLUMNS = (
    "step", "rest", "rest_share", "run_before", "run_after", "peak_before6",
    "peak_after3", "step_against+1",  "shorter_share", "longer_share",
    "bars_since_long", "bars_until_long", "bars_since_rest", "interval",
    "phase", "next_phase", "next_level", "steps_in_bar", "close_in_length",
    "since_start_in1", "since_start_in2", "since_start_in4", "left_in2", "left_in4",
    "bars_in_all", "bars_left", "bars_since_start", "opening_in_2bars", "tune6_stops",
    "above_last", "next_above_first", "level",
)  # fmt: skip
COMMON = {
    "objective": "binary",
    "max_bin": 127,
    "min_data_in_leaf": 60,
    "feature_fraction": 0.35,
    "data_sample_strategy": "goss",
    "num_threads": 2,
    "deterministic": True,
    "force_row_wise": True,
    "seed": 1,
    "verbose": -1,
}

SHIFTS = np.arange(0.0, 1.01, 0.05).round(2)
"""Log-odds tried as what the second look begins with."""

NEVER_ODDS = -9.0
"""Log-odds where there is no second look."""

Rows = NDArray[np.float32]


@dataclass
class Example:
    """One tune to learn from."""

    song: Song
    kind: str
    melody: Melody
    signs: PhraseSigns
    names: list[str]
    rows: Rows
    truth: NDArray[np.int8]
    weight: float
    is_near: bool
    """Of a collection that the etudes are like."""
    fold: int = 0
    chances: list[float] = field(default_factory=list)
    gaps: list[int] = field(default_factory=list)
    again: Rows = field(default_factory=lambda: np.zeros((0, 0), np.float32))
    said: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))
    """Log-odds of the second look."""
    last: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))


def collection(song: Song) -> str:
    """Give the part of the collection that a song is in."""
    found = re.match("[a-z]+", song.file)
    assert found
    return found[0]


def leave_out_known(songs: Sequence[Song], held: Sequence[Song]) -> list[Song]:
    """Leave out all songs whose tune is among those that are held out."""
    pairs = like_tunes([tune_of(x) for x in songs], [tune_of(x) for x in held])
    known = {k for k, _ in pairs}
    print(f"{len(songs)} songs; {len(held)} held out; {len(known)} of the same tunes")
    return [song for k, song in enumerate(songs) if k not in known]


def read_chorales(held: Sequence[Song]) -> list[Song]:
    """Read all voices of the chorales that are for learning."""
    learned, _ = share_out(list(read_lines()))
    tops = leave_out_known([_as_song(line) for line in learned], held)
    wanted = {song.file for song in tops}
    return [_as_song(line) for line in read_lines(VOICES) if line.file in wanted]


def _as_song(line: Line) -> Song:
    """Take a line's marked notes for its phrase ends."""
    return Song(line.file, line.voice, "", line.part, tuple(sorted(line.marked)))


def make_examples(
    songs: Sequence[Song], chorales: Sequence[Song], signs: SignSettings
) -> list[Example]:
    """Look at every song, a study made of every second one, medleys and chorales."""
    made = [make_example(song, "chorale", signs) for song in chorales]
    made += [make_example(song, "song", signs) for song in songs]
    made += [make_example(elaborate(song, 0), "study", signs) for song in songs[::2]]
    return made + [make_example(song, "medley", signs) for song in medleys(songs)]


def medleys(songs: Sequence[Song]) -> Iterable[Song]:
    """Join songs of one file and metre by two to four, as they are or as studies."""
    groups: dict[tuple[str, int, int], list[Song]] = defaultdict(list)
    for song in songs:
        metre = song.part.bars[0].metre
        groups[song.file, metre.count, metre.unit].append(song)
    dice = Random(1)
    for _, group in sorted(groups.items()):
        dice.shuffle(group)
        for k in range(0, len(group) - 2, SONGS_TO_A_MEDLEY):
            chosen = group[k : k + dice.choice((2, 3, 4))]
            if dice.random() < 0.5:
                chosen = [elaborate(song, 1) for song in chosen]
            yield join(chosen)


def make_example(song: Song, kind: str, settings: SignSettings) -> Example:
    """Look at one tune."""
    melody = hear_melody(song.part)
    columns = look_first(melody)
    truth = np.zeros(melody.gaps, np.int8)
    truth[list(song.ends)] = 1
    return Example(
        song=song,
        kind=kind,
        melody=melody,
        signs=read_signs(song.part, melody, settings),
        names=list(columns),
        rows=np.array(list(columns.values()), np.float32).T,
        truth=truth,
        weight=KIND_WEIGHTS[kind] * FAR_COLLECTIONS.get(collection(song), 1.0),
        is_near=collection(song) not in FAR_COLLECTIONS,
    )


def deal_folds(examples: Sequence[Example]) -> None:
    """Deal whole collections into folds of about one size."""
    sizes: Counter[str] = Counter()
    for example in examples:
        sizes[collection(example.song)] += len(example.truth)
    filled = [0] * FOLDS
    folds = {}
    for name, size in sizes.most_common():
        folds[name] = filled.index(min(filled))
        filled[folds[name]] += size
    for example in examples:
        example.fold = folds[collection(example.song)]
    families = families_of(list(read_lines()))
    for example in (e for e in examples if e.kind == "chorale"):
        # All settings of a tune in one fold, and the chorales in all of them.
        family = families[example.song.file]
        example.fold = crc32(f"fold of {family}".encode()) % FOLDS


class Learner:
    """Grows forests on some of the rows; limits are laid once over all of them."""

    def __init__(
        self,
        parts: Sequence[tuple[Example, Rows, NDArray[np.int8]]],
        size: dict[str, Any],
    ) -> None:
        self.settings = COMMON | {
            "num_leaves": size["leaves"],
            "learning_rate": size["rate"],
        }
        self.tree_count = size["trees"]
        self.folds = np.concatenate([np.full(len(t), e.fold) for e, _, t in parts])
        self.data = lightgbm.Dataset(
            np.concatenate([rows for _, rows, _ in parts]),
            np.concatenate([truth for _, _, truth in parts]),
            weight=np.concatenate([np.full(len(t), e.weight) for e, _, t in parts]),
            params=self.settings,
            free_raw_data=True,
        ).construct()

    def learn(self, without: int = -1) -> lightgbm.Booster:
        """Learn from all folds but one."""
        chosen = np.flatnonzero(self.folds != without)
        return lightgbm.train(
            self.settings, self.data.subset(chosen), num_boost_round=self.tree_count
        )


def look_at(
    examples: Sequence[Example], first: lightgbm.Booster, looks: LookSettings
) -> list[str]:
    """Give examples their chances, and what the second look sees there."""
    odds = first.predict(np.concatenate([e.rows for e in examples]), raw_score=True)
    names: list[str] = []
    done = 0
    for e in examples:
        own = list(np.asarray(odds)[done : done + len(e.truth)])
        done += len(e.truth)
        e.chances = e.signs.agree(own)
        e.gaps = [k for k, c in enumerate(e.chances) if c >= looks.second_look_share]
        around = dict(look_again(e.melody, e.chances, e.gaps, looks.likely_share))
        around |= hear_echoes(e.melody, e.chances, e.gaps, looks.likely_share)
        chosen = e.rows[e.gaps][:, [e.names.index(name) for name in SECOND_COLUMNS]]
        seen = np.array(list(around.values()), np.float32)
        e.again = np.column_stack([chosen, seen.T])
        names = [*SECOND_COLUMNS, *around]
    return names


def look_second(examples: Sequence[Example], second: lightgbm.Booster) -> None:
    """Give examples the log-odds that the second look says."""
    odds = second.predict(np.concatenate([e.again for e in examples]), raw_score=True)
    done = 0
    for e in examples:
        e.said = np.asarray(odds)[done : done + len(e.gaps)]
        done += len(e.gaps)


def judge_last(
    examples: Sequence[Example], looks: LookSettings, shift: float = 0.0
) -> None:
    """Give examples their last chances, once neighbours have vied for one end."""
    for e in examples:
        odds = np.full(len(e.truth), NEVER_ODDS)
        odds[e.gaps] = e.said + shift
        chances = e.signs.agree(list(odds))
        rivals = weigh_rivals(chances, e.gaps, looks.rival_notes)
        odds[e.gaps] -= looks.rival_weight * np.array(rivals)
        e.last = np.array(e.signs.agree(list(odds)))


def weigh_verse(examples: Sequence[Example]) -> None:
    """Let chorales count for more."""
    for e in examples:
        if e.kind == "chorale":
            is_top = e.song.number == 0
            e.weight *= VERSE_WEIGHT * (TOP_LINE_WEIGHT if is_top else 1.0)


def best_shift(looks: LookSettings, *kinds: Sequence[Example]) -> float:
    """Find what to begin with for the highest mean F1 of some kinds of tunes.

    Medleys have no say: where songs are joined, more is an end than in any one tune.
    """
    found = {}
    for shift in SHIFTS:
        for examples in kinds:
            judge_last(examples, looks, shift)
        all_f1 = [count_hits(examples).f1 for examples in kinds]
        found[float(shift)] = sum(all_f1) / len(kinds)
    return max(found, key=found.__getitem__)


@dataclass(frozen=True)
class Hits:
    """How many ends were said, how many of them rightly, how many there are."""

    hits: int
    said: int
    wanted: int

    @property
    def f1(self) -> float:
        """Harmonic mean of precision and recall."""
        return 2 * self.hits / (self.said + self.wanted)


def count_hits(examples: Sequence[Example]) -> Hits:
    """Count the ends that the last chances say."""
    said = np.concatenate([e.last for e in examples]) >= 0.5
    truth = np.concatenate([e.truth for e in examples]) == 1
    return Hits(int((said & truth).sum()), int(said.sum()), int(truth.sum()))


def write_forest(
    booster: lightgbm.Booster, names: Sequence[str], rows: Rows, base: float
) -> dict[str, Any]:
    """Write a forest with the shortest limits that cut the training tunes alike."""
    values = [np.unique(rows[:, k]) for k in range(rows.shape[1])]
    trees = [
        _write_tree(tree["tree_structure"], values)
        for tree in booster.dump_model()["tree_info"]
    ]
    used = sorted({column for tree in trees for column in _columns_of(tree)})
    place = {column: k for k, column in enumerate(used)}
    return {
        "columns": [names[column] for column in used],
        "base": base,
        "trees": [_renumber(tree, place) for tree in trees],
    }


def _write_tree(node: dict[str, Any], values: Sequence[Rows]) -> Any:
    if "leaf_value" in node:
        return round(ANSWERS_IN_UNIT * node["leaf_value"])
    column = node["split_feature"]
    known = values[column]
    above = int(np.searchsorted(known, node["threshold"], side="right"))
    low, high = float(known[above - 1]), float(known[min(above, len(known) - 1)])
    return [
        column,
        _shortest_between(low, high),
        _write_tree(node["left_child"], values),
        _write_tree(node["right_child"], values),
    ]


def _shortest_between(low: float, high: float) -> float:
    """Give the shortest decimal from `low` to below `high`, near their middle."""
    for digits in range(12):
        limit = round((low + high) / 2, digits)
        if low < limit < high:
            return limit
    return low


def _columns_of(tree: Any) -> Iterable[int]:
    if isinstance(tree, list):
        yield tree[0]
        yield from _columns_of(tree[2])
        yield from _columns_of(tree[3])


def _renumber(tree: Any, place: dict[int, int]) -> Any:
    if not isinstance(tree, list):
        return tree
    column, limit, at_most, more = tree
    return [place[column], limit, _renumber(at_most, place), _renumber(more, place)]


def report(label: str, examples: Sequence[Example]) -> None:
    """Print how well the last chances say the ends, by kind of tune."""
    for kind in KIND_WEIGHTS:
        chosen = [e for e in examples if e.kind == kind]
        found = count_hits(chosen)
        print(
            f"{label} {kind}: precision {found.hits / found.said:.3f} recall "
            f"{found.hits / found.wanted:.3f} F1 {found.f1:.4f} "
            f"({len(chosen)} tunes)",
            flush=True,
        )


def main() -> None:
    """Learn, print figures, write."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--check", action="store_true")
    options = asked.parse_args()
    looks = read_settings(LookSettings, "phrasing", "looks")
    signs = read_settings(SignSettings, "phrasing", "signs")
    every = read_songs()
    held = [song for song in every if collection(song) == HELD_OUT]
    others = [song for song in every if collection(song) != HELD_OUT]
    learned_from = leave_out_known(others, held)
    examples = make_examples(learned_from, read_chorales(held), signs)
    deal_folds(examples)
    for kind in KIND_WEIGHTS:
        sizes = [len(e.truth) for e in examples if e.kind == kind]
        print(f"{kind}: {len(sizes)} tunes, {sum(sizes)} gaps", flush=True)
    first = Learner([(e, e.rows, e.truth) for e in examples], FIRST)
    names: list[str] = []
    for fold in range(FOLDS):
        unseen = [e for e in examples if e.fold == fold]
        names = look_at(unseen, first.learn(without=fold), looks)
        print(f"first look at fold {fold}: {len(unseen)} tunes", flush=True)
    weigh_verse(examples)
    second = Learner([(e, e.again, e.truth[e.gaps]) for e in examples], SECOND)
    for fold in range(FOLDS):
        unseen = [e for e in examples if e.fold == fold]
        look_second(unseen, second.learn(without=fold))
    tops = [e for e in examples if e.kind == "chorale" and e.song.number == 0]
    shift = best_shift(
        looks,
        [e for e in examples if e.kind == "song" and e.is_near],
        [e for e in examples if e.kind == "study" and e.is_near],
        tops,
    )
    print(f"the second look begins with {shift}: best for the three kinds alike")
    judge_last(examples, looks, shift)
    report("unseen collections,", examples)
    chorales.report(
        "unseen chorales",
        [Line(e.song.file, 0, e.song.part, frozenset(e.song.ends)) for e in tops],
        [list(e.last) for e in tops],
    )
    written = {
        "about": "Written by tests/benchmarks/train_phrasing.py: see its first lines.",
        "first": write_forest(
            first.learn(),
            examples[0].names,
            np.concatenate([e.rows for e in examples]),
            0.0,
        ),
        "second": write_forest(
            second.learn(),
            names,
            np.concatenate([e.again for e in examples]),
            shift,
        ),
    }
    text = json.dumps(written, separators=(",", ":")) + "\n"
    print(f"{len(text) / 1024:.0f} KB")
    if options.check:
        print("same" if TREES.read_text(encoding="utf-8") == text else "different")
    else:
        TREES.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
