"""What rests on what: numbered steps in columns, inputs at the start, the deciding ones at the end.

The numbers are those of the list beside the drawing, which says everything in words.
"""

from __future__ import annotations

from markupsafe import Markup

from cds.explain.why import Graph
from cds.web.pictures.svg import drawing, el

COLUMN, ROW, BOX, HIGH = 170, 34, 138, 24
LETTERS = 21


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
        short = words if len(words) <= LETTERS else words[: LETTERS - 1] + "…"
        parts.append(el("text", short, x=x + 6, y=y + 16))
    width = COLUMN * (max(columns) + 1)
    height = 8 + ROW * max(len(keys) for keys in columns.values())
    label = "What rests on what; the list of reasons says it in words."
    return drawing(width, height, label, parts, "graph-picture")
