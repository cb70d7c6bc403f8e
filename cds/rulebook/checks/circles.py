"""Circles in a graph of names, shown in a stable order."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping


def circles(edges: Mapping[str, tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Circles that together hold every name that leads back to itself.

    `edges`: name -> the names it leads to. Each circle is a shortest one through its first name,
    and shows a name that no circle before it showed.
    """
    found: list[tuple[str, ...]] = []
    seen: set[str] = set()
    knotted = _knotted(edges)
    for name in sorted(knotted):
        if name in seen:
            continue
        circle = _shortest(name, knotted)
        if circle:
            found.append(circle)
            seen.update(circle)
    return found


def _knotted(edges: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """The edges without the names that no circle leads to: a book without circles is done here."""
    leads = dict.fromkeys(edges, 0)
    for ends in edges.values():
        for end in set(ends):
            if end in leads:
                leads[end] += 1
    free = deque(name for name, count in leads.items() if count == 0)
    while free:
        name = free.popleft()
        del leads[name]
        for end in set(edges[name]):
            if end in leads:
                leads[end] -= 1
                if leads[end] == 0:
                    free.append(end)
    return {name: edges[name] for name in leads}


def _shortest(start: str, edges: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The shortest way from a name back to itself; () when there is none."""
    before: dict[str, str] = {}
    waiting = deque([start])
    while waiting:
        here = waiting.popleft()
        for there in edges.get(here, ()):
            if there == start:
                way = [here]
                while way[-1] != start:
                    way.append(before[way[-1]])
                return tuple(reversed(way))
            if there not in before and there in edges:
                before[there] = here
                waiting.append(there)
    return ()
