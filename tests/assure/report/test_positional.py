from __future__ import annotations

from cds.assure.report.positional import HEADS, positional
from tests.assure.report.support import Page, text
from tests.support.shipped import shipped_service


def test_every_row_of_the_table() -> None:
    program = shipped_service().program
    markup = positional(program)
    page = Page(markup)
    assert page.ids == {f"position-{row.number}": 1 for row in program.positional}
    assert len(page.ids) == 27
    assert page.tables[0].count("col") == len(HEADS)
    for row in program.positional:
        start = markup.index(f'id="position-{row.number}"')
        found = text(markup[start : markup.index("</tr>", start)] + "</tr>")
        for part in (row.flexion, row.neutral, row.extension, row.pattern.replace("_", " ")):
            assert part in found
        for motion in row.restricted:
            assert motion.replace("_", " ") in found
