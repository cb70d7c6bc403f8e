"""A small builder for HTML in which every text is escaped unless it was built here.

`el("p", "5 < 6")` is `<p>5 &lt; 6</p>`. Only values of the type `Html` pass unescaped, and only
`el`, `join` and `raw` make them; `raw` is for the packaged style sheet and the document type.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import TypeAlias


class Html(str):
    """Text that is markup already."""

    __slots__ = ()

    def __html__(self) -> Html:
        """Templates take it as markup too."""
        return self


Child: TypeAlias = "Html | str | Sequence[Child] | None"
"""What an element may hold: markup, plain text, nothing, or a sequence of those."""

_VOID = frozenset({"br", "hr", "input", "meta"})


def raw(text: str) -> Html:
    """Take `text` as markup. Never for text that comes from a rule book."""
    return Html(text)


def _inside(child: Child) -> str:
    if child is None:
        return ""
    if isinstance(child, Html):
        return child
    if isinstance(child, str):
        return escape(child)
    return "".join(_inside(part) for part in child)


def el(name: str, /, *children: Child, **attributes: str | bool | None) -> Html:
    """One element. `class_="a"` is `class="a"`, `data_label="b"` is `data-label="b"`.

    An attribute of `True` stands alone; `None` and `False` leave it out.
    """
    shown = []
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        written = key.rstrip("_").replace("_", "-")
        shown.append(f" {written}" if value is True else f' {written}="{escape(value)}"')
    opened = f"<{name}{''.join(shown)}>"
    if name in _VOID:
        return Html(opened)
    return Html(f"{opened}{''.join(_inside(child) for child in children)}</{name}>")


def join(parts: Iterable[Child], between: str = "") -> Html:
    """Parts one after the other, with the plain text `between` between them."""
    return Html(escape(between).join(_inside(part) for part in parts))


def series(parts: Sequence[Child], last: str) -> Html:
    """`a, b or c`: parts as an enumeration, with the word `last` before the final one."""
    if len(parts) < 2:
        return join(parts)
    return join([join(parts[:-1], ", "), f" {last} ", parts[-1]])


def bullets(parts: Iterable[Child], ordered: bool = False, class_: str | None = None) -> Html:
    """A list, one entry for each part."""
    items = [el("li", part) for part in parts]
    return el("ol" if ordered else "ul", items, class_=class_)


def table(
    caption: str, heads: Sequence[str], rows: Iterable[tuple[Sequence[Child], str | None]]
) -> Html:
    """A table with a caption and column heads; the first cell of a row is the head of the row.

    `rows`: the cells, and the anchor of the row or None. On narrow screens the style sheet sets a
    row as a block; the roles keep it a table for those who cannot see it.
    """
    body = []
    for cells, anchor in rows:
        shown = [
            el(
                "td" if number else "th",
                cell,
                role="cell" if number else "rowheader",
                scope=None if number else "row",
                data_label=heads[number] if number else None,
            )
            for number, cell in enumerate(cells)
        ]
        body.append(el("tr", shown, role="row", id=anchor))
    columns = [el("th", head, scope="col", role="columnheader") for head in heads]
    return el(
        "table",
        el("caption", caption),
        el("thead", el("tr", columns, role="row"), role="rowgroup"),
        el("tbody", body, role="rowgroup"),
        role="table",
    )


def css_string(text: str) -> str:
    """`text` as a CSS string in which nothing but letters and digits stands unescaped."""
    safe = "".join(
        char if char.isascii() and char.isalnum() else f"\\{ord(char):06x}" for char in text
    )
    return f'"{safe}"'
