from __future__ import annotations

from cds.rulebook.conditions import Source, leaves
from cds.web.neighbours import ALIKE, SAID, Box, after, alike, before
from tests.web.books import shelf


def test_what_a_rule_reads_stands_before_it() -> None:
    rule = shelf().program.rules["cauda-equina-suspected"]
    found = before(shelf(), rule)
    assert Box("asked", "Bladder function", "/rulebook/findings/bladder_function") in found
    assert len(found) == len({leaf.name for leaf in leaves(rule.when)})


def test_what_a_rule_concludes_stands_after_it() -> None:
    found = after(shelf(), shelf().program.rules["cauda-equina-suspected"])
    assert Box("concludes", "Referral: Emergency department") in found
    assert Box("decides", "the path of the day", "/rulebook/ladder") in found


def test_what_is_only_held_waits() -> None:
    found = after(shelf(), shelf().program.rules["fracture-after-minor-strain-in-weak-bone"])
    assert [box for box in found if box.waits] and all(
        (box.kind == "until known") == box.waits for box in found
    )


def test_every_read_of_every_rule_has_its_box_and_rules_meet_from_both_ends() -> None:
    links = shelf().terms.links
    assert set(SAID) | {Source.POLICY} == set(Source)
    for rule in shelf().rules:
        boxes = before(shelf(), rule)
        assert len(boxes) == len(set(boxes)) and boxes
        for other in links.fed_by.get(rule.id, ()):
            assert f"/rulebook/rules/{other}" in {box.href for box in boxes}
            back = after(shelf(), shelf().program.rules[other])
            assert f"/rulebook/rules/{rule.id}" in {box.href for box in back}


def test_rules_that_read_the_same_come_with_the_most_shared_first() -> None:
    rule = shelf().program.rules["fracture-after-minor-strain-in-weak-bone"]
    found = alike(shelf(), rule)
    counts = [count for _, count in found]
    assert 1 <= len(found) <= ALIKE and counts == sorted(counts, reverse=True)
    assert rule not in [other for other, _ in found]
    mine = {leaf.name for leaf in leaves(rule.when) if leaf.source is Source.FINDING}
    for other, count in found:
        theirs = {leaf.name for leaf in leaves(other.when) if leaf.source is Source.FINDING}
        assert len(mine & theirs) == count
