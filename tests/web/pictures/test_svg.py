from __future__ import annotations

from xml.etree import ElementTree

from cds.web.pictures.svg import drawing, el


def test_every_value_is_escaped() -> None:
    text = el("text", '<b>&"', x='1" onload="x')
    found = ElementTree.fromstring(text)
    assert found.text == '<b>&"'
    assert found.attrib == {"x": '1" onload="x'}


def test_names_of_attributes_are_those_of_the_standard() -> None:
    found = ElementTree.fromstring(el("path", class_="a", stroke_width=2, d=None))
    assert found.attrib == {"class": "a", "stroke-width": "2"}


def test_children_stay_markup_and_a_drawing_has_a_name() -> None:
    found = ElementTree.fromstring(drawing(10, 20, "A & B", [el("rect", x=1)], "kind"))
    assert [child.tag for child in found] == ["title", "rect"]
    assert found[0].text == "A & B"
    assert found.attrib["role"] == "img"
    assert found.attrib["viewBox"] == "0 0 10 20"
    assert "style" not in found.attrib
