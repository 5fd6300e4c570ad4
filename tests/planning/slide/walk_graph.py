"""The walk as a graph for networkx: an independent shortest path to hold it to.

A node knows the manner of its note and every choice back to the earliest that any note
may be held against, so that an edge finds all that its cost depends on by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import networkx as nx

from coach.planning.slide.slide_walk import Link, Stage

Node = tuple[int, int, tuple[Link, ...]]
"""The number of the note, its manner, and the last steps."""


def expand(stages: Sequence[Stage]) -> nx.DiGraph:
    """Lay out the graph from ``start`` to ``end``."""
    graph = nx.DiGraph()
    longest = max(2, *(stage.back + 1 for stage in stages))
    reached: set[Node] = set()
    for manner, rows in enumerate(stages[0].manners):
        for link in rows[0]:
            node: Node = (0, manner, (link,))
            graph.add_edge("start", node, weight=link.cost)
            reached.add(node)
    for _ in stages[1:]:
        onward = set()
        for node in reached:
            for after, cost in _onward(stages, node, longest):
                graph.add_edge(node, after, weight=cost)
                onward.add(after)
        reached = onward
    for node in reached:
        graph.add_edge(node, "end", weight=0.0)
    return graph


def _onward(
    stages: Sequence[Stage], node: Node, longest: int
) -> Iterator[tuple[Node, float]]:
    """Give where a node leads to, and what going there costs."""
    at, manner, steps = node
    stage = stages[at + 1]
    is_choice = len(stage.manners) > 1 and len(stages[at].manners) > 1
    for after, rows in enumerate(stage.manners):
        switch_cost = stage.switch_cost if is_choice and after != manner else 0.0
        for link in rows[steps[-1].choice]:
            cost = link.cost + switch_cost
            if steps[-1].direction * link.direction < 0:
                cost += stage.turn_cost
            if 0 < stage.back <= at + 1:
                then = stages[at + 1 - stage.back].places[steps[-stage.back].choice]
                if stage.places[link.choice] != then:
                    cost += stage.leave_costs[after]
            if cost < float("inf"):
                yield (at + 1, after, (*steps, link)[-longest:]), cost


def shortest_cost(stages: Sequence[Stage]) -> float:
    """Give the length of the shortest path by Dijkstra's algorithm."""
    return float(nx.dijkstra_path_length(expand(stages), "start", "end"))
