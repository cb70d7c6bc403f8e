from __future__ import annotations

import orjson
import pytest

from cds.service.rulebook_view import rule_view, rulebook_view
from tests.support.shipped import shipped_service

PROGRAM = shipped_service().program
VIEW = rulebook_view(PROGRAM)


def test_every_entry_of_the_edition_is_there() -> None:
    assert [entry["id"] for entry in VIEW["rules"]] == list(PROGRAM.rules)
    assert [entry["id"] for entry in VIEW["cards"]] == list(PROGRAM.cards)
    assert [entry["id"] for entry in VIEW["exercises"]] == list(PROGRAM.exercises)
    assert [entry["id"] for entry in VIEW["texts"]] == list(PROGRAM.texts)
    assert [entry["id"] for entry in VIEW["policy"]] == list(PROGRAM.policy)
    assert [entry["id"] for entry in VIEW["sources"]] == list(PROGRAM.sources)
    assert VIEW["scope_notice"] == list(PROGRAM.scope_notice)


@pytest.mark.parametrize("name", list(PROGRAM.rules))
def test_a_rule_in_full_says_all_that_it_means(name: str) -> None:
    rule, found = PROGRAM.rules[name], rule_view(PROGRAM, name)
    assert found is not None
    assert found["because"] == rule.because
    assert found["owner"] == rule.owner
    assert len(found["then"]) == len(rule.then)
    assert len(found["while_unknown"]) == len(rule.holds)
    assert len(found["evidence"]) == len(rule.evidence)
    assert all(found["evidence"])
    assert found.get("review_by") == (rule.review_by.isoformat() if rule.review_by else None)
    assert found.get("basis") == (rule.basis.value if rule.basis else None)
    assert found["edition"]["digest"] == PROGRAM.digest
    assert b".yaml" not in orjson.dumps(found)


def test_evidence_from_memory_is_marked() -> None:
    marked = sum(e.from_memory for rule in PROGRAM.rules.values() for e in rule.evidence)
    shown = 0
    for name in PROGRAM.rules:
        found = rule_view(PROGRAM, name)
        assert found is not None
        shown += sum(entry.get("from_memory", False) for entry in found["evidence"])
    assert shown == marked > 0


def test_there_is_no_view_of_a_rule_that_does_not_exist() -> None:
    assert rule_view(PROGRAM, "no-such-rule") is None


def test_a_refused_policy_value_says_why() -> None:
    refused = {choice["id"]: choice["refused"] for choice in VIEW["policy"]}
    assert refused["progress_by"]["calendar"]
