"""A few SVG elements as text, every value escaped."""

from __future__ import annotations

from markupsafe import Markup, escape


def el(name: str, *children: str, **attributes: object) -> Markup:
    """One element: `el("rect", x=1, class_="bar")`. Underscores in names become hyphens."""
    said = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(str(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    inside = "".join(escape(child) for child in children)
    return Markup(f"<{name}{said}>{inside}</{name}>")


def drawing(width: int, height: int, label: str, children: list[Markup], kind: str) -> Markup:
    """A whole drawing, named for those who do not see it."""
    return el(
        "svg",
        el("title", label),
        *children,
        viewBox=f"0 0 {width} {height}",
        width=width,
        height=height,
        role="img",
        class_=f"picture {kind}",
        preserveAspectRatio="xMinYMin meet",
    )
