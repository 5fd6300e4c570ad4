"""The walk as a graph for networkx: an independent shortest path to hold it to.

A node is a pair of neighbouring choices, so that an edge knows three notes: which way
the arm came and goes, and how the note before last was begun.
"""

from __future__ import annotations

from collections.abc import Sequence

import networkx as nx

from coach.planning.slide.slide_walk import Stage


def expand(stages: Sequence[Stage]) -> nx.DiGraph:
    """Lay out the graph from ``start`` to ``end``."""
    graph = nx.DiGraph()
    first = stages[0]
    for link in first.links[0]:
        graph.add_edge("start", (0, False, link), weight=link.cost)
    reached = {(False, link) for link in first.links[0]}
    for k, stage in enumerate(stages[1:], 1):
        onward = set()
        for before, link in reached:
            for after in stage.links[link.choice]:
                cost = after.cost
                cost += stage.turn_cost * (link.direction * after.direction < 0)
                if k > 1:
                    # The stroke of the note before last stands in the node's name.
                    cost += stage.pattern_cost * (after.is_stroke != before)
                graph.add_edge(
                    (k - 1, before, link), (k, link.is_stroke, after), weight=cost
                )
                onward.add((link.is_stroke, after))
        reached = onward
    for before, link in reached:
        graph.add_edge((len(stages) - 1, before, link), "end", weight=0.0)
    return graph


def shortest_cost(stages: Sequence[Stage]) -> float:
    """Give the length of the shortest path by Dijkstra's algorithm."""
    return float(nx.dijkstra_path_length(expand(stages), "start", "end"))
