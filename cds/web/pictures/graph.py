"""What rests on what: numbered steps in columns, inputs at the start, the deciding ones at the end.

The numbers are those of the list beside the drawing, which says everything in words.
"""

from __future__ import annotations

from textwrap import wrap

from markupsafe import Markup

from cds.explain.why import Graph
from cds.web.pictures.svg import drawing, el

COLUMN, ROW, BOX, HIGH = 264, 50, 216, 40
LETTERS, LINES = 33, 2
"""What fits a line of a box, and how many lines do."""


def graph_picture(graph: Graph) -> Markup | None:
    """The drawing; None where there is nothing to draw."""
    if not graph["nodes"]:
        return None
    columns: dict[int, list[str]] = {}
    for node in graph["nodes"]:
        columns.setdefault(node["depth"], []).append(node["id"])
    place = {
        key: (8 + COLUMN * depth, 8 + ROW * row)
        for depth, keys in columns.items()
        for row, key in enumerate(keys)
    }
    parts: list[Markup] = []
    for start, end in graph["edges"]:
        (x1, y1), (x2, y2) = place[start], place[end]
        a, b, c, d = x1 + BOX, y1 + HIGH / 2, x2, y2 + HIGH / 2
        middle = (a + c) / 2
        path = f"M{a} {b} C{middle} {b} {middle} {d} {c} {d}"
        parts.append(el("path", d=path, class_="edge", fill="none"))
    for node in graph["nodes"]:
        x, y = place[node["id"]]
        parts.append(
            el("rect", x=x, y=y, width=BOX, height=HIGH, rx=5, class_=f"node {node['kind']}")
        )
        number = node["id"].removeprefix("s:") + " " if node["kind"] != "input" else ""
        words = f"{number}{node['text']}"
        lines = _lines(words)
        for row, line in enumerate(lines):
            parts.append(
                el("text", line, x=x + 8, y=y + (24 if len(lines) == 1 else 16 + 15 * row))
            )
    width = COLUMN * (max(columns) + 1)
    height = 8 + ROW * max(len(keys) for keys in columns.values())
    label = "What rests on what; the list of reasons says it in words."
    return drawing(width, height, label, parts, "graph-picture")


def _lines(words: str) -> list[str]:
    """The words in the lines of a box; what is too long ends in a dot-dot-dot."""
    return wrap(words, LETTERS, max_lines=LINES, placeholder=" …") or [""]
