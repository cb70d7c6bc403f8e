"""What a headline says, tried on steps: all of them say it, none of them say nothing."""

from cds.explain.claim import claim_of
from tests.explain.decided import all_decided, one


def test_the_whole_chain_says_what_the_headline_says() -> None:
    for item in all_decided():
        claim = claim_of(item.decider.program, item.decider.resolver, item.advice)
        assert claim.holds(item.advice["chain"]["steps"]), item.fixture.name


def test_without_any_step_only_an_absence_can_be_said() -> None:
    for item in all_decided():
        claim = claim_of(item.decider.program, item.decider.resolver, item.advice)
        assert claim.holds([]) == bool(claim.absent), item.fixture.name


def test_an_emergency_wants_its_urgency_and_every_condition_named() -> None:
    item = one("cord-cancer-and-radicular-pain")
    claim = claim_of(item.decider.program, item.decider.resolver, item.advice)
    steps = item.advice["chain"]["steps"]
    for condition in ("cord_compression", "malignancy"):
        slot = f"concern.{condition}"
        assert slot in {wanted.slot for wanted in claim.wanted}
        assert not claim.holds(
            step for step in steps if slot not in {c["slot"] for c in step["conclusions"]}
        )


def test_a_hold_never_makes_an_emergency() -> None:
    item = one("cord-cancer-and-radicular-pain")
    claim = claim_of(item.decider.program, item.decider.resolver, item.advice)
    assert not any(wanted.held for wanted in claim.wanted)
    held = [{**step, "status": "held_open"} for step in item.advice["chain"]["steps"]]
    assert not claim.holds(held)  # type: ignore[arg-type]
