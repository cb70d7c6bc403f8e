"""Lines from many to one, or from one to many: what stands between two columns of boxes."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup


def fan(dashed: Sequence[bool], *, gathers: bool) -> Markup:
    """One line for each of the boxes of equal height on one side, all to the middle of the other.

    `dashed`: for each box whether its line is broken. `gathers`: many on the left, else on the
    right. The picture stretches to any size; its lines keep their width.
    """
    many = max(len(dashed), 1)
    lines = Markup("")
    for number, broken in enumerate(dashed):
        height = round((number + 0.5) * 100 / many, 2)
        here, there = (height, 50) if gathers else (50, height)
        dash = Markup(' stroke-dasharray="5 4"') if broken else ""
        lines += Markup(
            '<path vector-effect="non-scaling-stroke" d="M0 {0}C50 {0} 50 {1} 100 {1}"{2}/>'
        ).format(here, there, dash)
    return Markup(
        '<svg class="fan" viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true" '
        'focusable="false">{}</svg>'
    ).format(lines)
