from __future__ import annotations

import re

from cds.web.pictures.fan import fan


def starts(picture: str) -> list[str]:
    return re.findall(r'd="M0 ([\d.]+)C', picture)


def test_one_line_for_each_box_at_the_middle_of_its_height() -> None:
    assert starts(fan([False, False], gathers=True)) == ["25.0", "75.0"]
    assert starts(fan([False, False], gathers=False)) == ["50", "50"]
    assert starts(fan([], gathers=True)) == []


def test_a_broken_line_for_what_waits() -> None:
    assert fan([True, False, True], gathers=False).count("stroke-dasharray") == 2


def test_it_is_silent_and_unstyled() -> None:
    assert 'aria-hidden="true"' in fan([False], gathers=True)
    assert "style=" not in fan([True], gathers=True)
