from __future__ import annotations

import json
from pathlib import Path

from cds.vocabulary.reading import read_case
from cds.vocabulary.reasons import NotMade, WhyNot
from tests.support.shipped import shipped_service

CASE = json.loads(
    (Path(__file__).parents[2] / "fixtures" / "demo" / "first_visit.json").read_text()
)["case"]


def test_what_an_advice_says_has_these_keys_and_no_others() -> None:
    decider = shipped_service().decider
    advice = decider.decide(read_case(decider.vocabulary, CASE))
    assert advice["why_not"]
    for entry in advice["why_not"]:
        keys = set(WhyNot.__annotations__)
        assert keys - {"questions"} <= entry.keys() <= keys
    missed = [one for segment in advice["segments"] for one in segment.get("not_made", ())]
    assert missed
    for one in missed:
        assert one.keys() == set(NotMade.__annotations__)
