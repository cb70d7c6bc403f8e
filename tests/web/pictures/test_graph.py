from __future__ import annotations

from xml.etree import ElementTree

from cds.explain.why import Graph, Node
from cds.web.pictures.graph import graph_picture


def node(key: str, kind: str, text: str, depth: int) -> Node:
    return {"id": key, "kind": kind, "text": text, "depth": depth}


GRAPH: Graph = {
    "nodes": [
        node("i:a", "input", "bladder function: <hesitancy>", 0),
        node("i:b", "input", "pain: 4", 0),
        node("s:3", "fired", "A rule", 1),
        node("s:7", "held", "Another rule with a title that is far too long for two lines of a box "
             "and so is cut", 2),
    ],
    "edges": [("i:a", "s:3"), ("s:3", "s:7"), ("i:b", "s:7")],
}  # fmt: skip


def tree() -> ElementTree.Element:
    found = graph_picture(GRAPH)
    assert found is not None
    return ElementTree.fromstring(found)


def boxes() -> list[ElementTree.Element]:
    return [e for e in tree() if e.tag.endswith("rect")]


def test_nothing_to_draw() -> None:
    assert graph_picture({"nodes": [], "edges": []}) is None


def test_a_box_for_each_node_and_a_line_for_each_edge() -> None:
    assert len(boxes()) == 4
    assert len([e for e in tree() if e.tag.endswith("path")]) == 3


def test_what_rests_on_more_stands_further_on_and_boxes_never_meet() -> None:
    places = [(float(b.attrib["x"]), float(b.attrib["y"])) for b in boxes()]
    assert places[0][0] == places[1][0] < places[2][0] < places[3][0]
    assert len(set(places)) == 4
    assert float(boxes()[0].attrib["y"]) + float(boxes()[0].attrib["height"]) < places[1][1]
    width = float(tree().attrib["width"])
    assert all(x + float(b.attrib["width"]) <= width for (x, _), b in zip(places, boxes(),
                                                                          strict=True))  # fmt: skip


def test_the_kind_of_a_node_is_told_by_its_class_and_steps_bear_their_number() -> None:
    assert [b.attrib["class"] for b in boxes()] == [
        "node input", "node input", "node fired", "node held"]  # fmt: skip
    words = [e.text or "" for e in tree() if e.tag.endswith("text")]
    assert "3 A rule" in words
    assert any(word.startswith("7 Another rule") for word in words)
    assert words[-1].endswith("…")


def test_words_are_escaped_and_none_is_wider_than_its_box() -> None:
    words = [e.text or "" for e in tree() if e.tag.endswith("text")]
    assert "<hesitancy>" in " ".join(words)
    assert max(map(len, words)) <= 35
