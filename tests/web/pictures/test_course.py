from __future__ import annotations

from datetime import date
from xml.etree import ElementTree

from cds.vocabulary.case import Given, Session
from cds.web.pictures.course import course_picture, course_rows

RUNGS = ("muscle_energy_low", "muscle_energy", "mobilization_1", "mobilization_2", "thrust")
SVG = "{http://www.w3.org/2000/svg}"


def session(day: int, **known: object) -> Session:
    return Session(date(2026, 11, day), **known)  # type: ignore[arg-type]


def drawn(*sessions: Session) -> ElementTree.Element:
    found = course_picture(sessions, RUNGS)
    assert found is not None
    return ElementTree.fromstring(found)


def by_class(tree: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [e for e in tree.iter() if name in e.attrib.get("class", "").split()]


def words(tree: ElementTree.Element) -> list[str]:
    return [e.text or "" for e in tree.iter() if e.tag.endswith("text")]


def test_without_sessions_there_is_nothing_to_draw() -> None:
    assert course_picture((), RUNGS) is None


def test_the_bar_is_the_highest_rung_given() -> None:
    low = session(1, given=(Given("L4", "muscle_energy"),))
    high = session(3, given=(Given("L4", "muscle_energy"), Given("L5", "thrust")))
    one, other = by_class(drawn(low, high), "rung-bar")
    assert float(other.attrib["height"]) == 2.5 * float(one.attrib["height"])  # 5th against 2nd
    assert {"ME", "thrust"} <= set(words(drawn(low, high)))


def test_not_said_and_no_hands_on_care_differ() -> None:
    assert "?" in words(drawn(session(1, pain_before=3, pain_after=3, guarding_before="none",
                                      guarding_after="none")))  # fmt: skip
    none = drawn(session(1, given=(), pain_before=3, pain_after=3, guarding_before="none",
                         guarding_after="none"))  # fmt: skip
    assert "–" in words(none) and "?" not in words(none)


def test_a_session_that_worsened_is_marked() -> None:
    given = (Given("L4", "mobilization_1"),)
    tree = drawn(session(1, given=given, worsened_at="mobilization_1"),
                 session(2, given=given, worsened_at="none"),
                 session(3, given=given))  # fmt: skip
    assert [len(e.attrib["class"].split()) for e in by_class(tree, "rung-bar")] == [2, 1, 1]


def test_guarding_fills_as_many_boxes_as_steps_above_none() -> None:
    for word, boxes in (("none", 0), ("mild", 1), ("moderate", 2), ("marked", 3)):
        tree = drawn(session(1, guarding_before=word, guarding_after="none"))
        assert len(by_class(tree, "full")) == boxes
        assert len(by_class(tree, "guard")) == 6


def test_pain_falls_on_the_page_as_it_falls() -> None:
    tree = drawn(session(1, pain_before=10, pain_after=5), session(2, pain_before=0, pain_after=0))
    heights = [float(e.attrib["cy"]) for e in by_class(tree, "pain-dot")]
    assert heights == sorted(heights) and heights[2] - heights[1] == heights[1] - heights[0]
    assert len(by_class(tree, "pain-line")) == 1


def test_the_line_breaks_where_pain_is_not_known() -> None:
    tree = drawn(session(1, pain_before=6, pain_after=5), session(2),
                 session(3, pain_before=4, pain_after=3))  # fmt: skip
    assert len(by_class(tree, "pain-line")) == 2
    assert len(by_class(tree, "pain-dot")) == 4


def test_the_table_says_the_same_in_words() -> None:
    full = session(1, given=(Given("L5", "thrust"),), guarding_before="marked",
                   guarding_after="mild", pain_before=6, pain_after=4, comparable_sign="better",
                   settled="within_24h")  # fmt: skip
    one, other = course_rows([full, session(9)], {"thrust": "Thrust"})
    assert one == {"on": "2026-11-01", "given": "Thrust at L5", "guarding": "marked → mild",
                   "pain": "6 → 4", "sign": "better", "settled": "within 24h"}  # fmt: skip
    assert other["given"] == "not said" and other["pain"] == "? → ?"
