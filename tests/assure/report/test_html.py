from __future__ import annotations

import pytest
from markupsafe import Markup

from cds.assure.report.html import bullets, css_string, el, join, raw, series, table
from tests.assure.report.support import Page

HOSTILE = "<script>alert(1)</script>\"'&"


def test_text_is_escaped_and_markup_is_not_escaped_twice() -> None:
    inner = el("b", HOSTILE)
    assert inner == "<b>&lt;script&gt;alert(1)&lt;/script&gt;&quot;&#x27;&amp;</b>"
    assert el("p", inner) == f"<p>{inner}</p>"
    assert "<script" not in join([HOSTILE, [HOSTILE, None]], HOSTILE)


def test_attributes_are_escaped_named_and_left_out() -> None:
    shown = el("a", "x", class_="k", data_label=HOSTILE, hidden=True, id=None, open=False)
    assert shown.startswith('<a class="k" data-label="&lt;script')
    assert shown.count('"') == 4
    assert shown.endswith(" hidden>x</a>")
    assert el("meta", name="n") == '<meta name="n">'


def test_raw_passes() -> None:
    assert el("p", raw("<i>x</i>")) == "<p><i>x</i></p>"


@pytest.mark.parametrize(
    ("parts", "shown"),
    [([], ""), (["a"], "a"), (["a", "b"], "a or b"), (["a", "b", "c"], "a, b or c")],
)
def test_a_series(parts: list[str], shown: str) -> None:
    assert series(parts, "or") == shown


def test_lists() -> None:
    assert bullets(["a", "b"], class_="x") == '<ul class="x"><li>a</li><li>b</li></ul>'
    assert bullets([], ordered=True) == "<ol></ol>"


def test_a_table_has_caption_heads_and_roles() -> None:
    shown = table("Cap", ("One", "Two"), [(["a", "b"], "row-1"), (["c", "d"], None)])
    page = Page(shown)
    assert page.tables == [["col", "col", "row", "row"]]
    assert "<caption>Cap</caption>" in shown
    assert page.ids == {"row-1": 1}
    assert '<td role="cell" data-label="Two">b</td>' in shown
    assert {value for key, value in page.attributes if key == "role"} == {
        "table", "rowgroup", "row", "columnheader", "rowheader", "cell",
    }  # fmt: skip


def test_a_css_string_holds_nothing_that_ends_it() -> None:
    shown = css_string('a"}</style>\n\\é')
    assert shown[0] == shown[-1] == '"'
    assert not set('"}<>/\n') & set(shown[1:-1])
    assert shown.startswith('"a\\000022')
    assert shown.endswith('\\0000e9"')


def test_templates_take_it_as_markup() -> None:
    assert Markup("<i>{}</i>").format(el("b", "<")) == "<i><b>&lt;</b></i>"
