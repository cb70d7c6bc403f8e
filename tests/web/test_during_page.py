from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from cds.vocabulary.case import Step as Given
from cds.vocabulary.reading import read_case
from cds.web.during_page import VERBS, during_context, rest, stop_signs, together
from cds.whatif.branches import Branch, branch_case
from tests.support.shipped import demo, shipped_service
from tests.web.reading import post
from tests.web.visits import demo_fields, fixture_fields

SERVICE = shipped_service()


def branch(name: str, action: str, text: str, to: str = "") -> Branch:
    found: Branch = {
        "branch": name, "title": name.capitalize(), "action": action, "text": text,
        "headline": "", "care_today": "", "cautions": [f"c-{name}"], "rules": [],
    }  # fmt: skip
    if to:
        found["to"] = to
    return found


def test_what_leads_to_the_same_is_said_once_and_stopping_last() -> None:
    found = together(
        [
            branch("eased", "go_on", "Go on to Two", "two"),
            branch("sign", "emergency", "Stop. Refer."),
            branch("worse", "step_down", "Step down to One", "one"),
            branch("spread", "step_down", "Step down to One", "one"),
        ],
        {"one": "step-1", "two": "step-2"},
    )
    assert [(do.verb, do.rest, do.seen) for do in found] == [
        ("Go on", "to Two", ("Eased",)),
        ("Step down", "to One", ("Worse", "Spread")),
        ("Stop", "Refer.", ("Sign",)),
    ]
    # only going on leads to a row: below a step down the rows no longer hold
    assert [do.goes for do in found] == ["step-2", "", ""]
    assert found[1].also == ("c-worse", "c-spread")


@pytest.mark.parametrize(
    ("verb", "text", "left"),
    [
        ("Stop", "Stop. Emergency referral now", "Emergency referral now"),
        ("Stop", "No more hands-on care at L5 today.", "No more hands-on care at L5 today."),
        ("Stay", "Stay at Mobilization grade I, no higher", "at Mobilization grade I, no higher"),
    ],
)
def test_the_verb_is_taken_off_only_where_it_is_the_first_word(
    verb: str, text: str, left: str
) -> None:
    assert rest(verb, text) == left


@pytest.mark.parametrize("name", ["first_visit", "sixth_visit"])
def test_the_page_says_what_deciding_each_branch_says(name: str) -> None:
    """Decided here from the case and the step alone, not read from the table."""
    context = during_context(SERVICE, demo_fields(name))
    case = read_case(SERVICE.decider.vocabulary, demo(name)["case"])
    answers = demo(name)["case"]["answers"]
    guarding, pain = answers["guarding"], answers["pain"]
    worse = {"none": "mild", "mild": "moderate"}[guarding]
    eased = "none"
    order = [rung.name for rung in SERVICE.program.ladder.rungs]
    checked = 0
    done: tuple[Given, ...] = ()
    for step in context["steps"]:
        set_up = "easy" if step.rung == "thrust" else None
        quiet = Given(step.rung, step.level, guarding, pain, "none", "no", set_up)
        by_seen = {seen: do for do in step.branches for seen in do.seen}
        for seen, given in {
            "Guarding is worse": Given(step.rung, step.level, worse, pain, "none", "no", set_up),
            "Pain spreads down the limb": Given(
                step.rung, step.level, eased, pain, "distal", "no", set_up
            ),
            "New sign of the nerves, saddle or bladder": Given(
                step.rung, step.level, eased, pain, "none", "yes", set_up
            ),
        }.items():
            advice = SERVICE.decider.decide(branch_case(case, given, done))
            do = by_seen[seen]
            segment = next(s for s in advice["segments"] if s["level"] == step.level)
            rungs = [entry["rung"] for entry in segment["path"]["steps"]]
            checked += 1
            if advice["headline"]["kind"] == "emergency":
                assert do.action == "emergency" and do.rest in advice["headline"]["text"]
            elif not rungs:
                assert do.action == "stop"
            elif order.index(rungs[0]) < order.index(step.rung) and step.rung not in rungs:
                assert do.action == "step_down"
                titles = {entry["title"] for entry in segment["path"]["steps"]}
                assert segment["path"]["steps"][0]["title"] in do.rest
                assert any(f"than {title}" in do.rest for title in titles) or len(titles) == 1
            else:
                assert do.action == "stay"
        done = (*done, quiet)
    assert checked == 3 * len(context["steps"]) >= 9


def test_each_step_has_its_gate_and_the_stop_signs_of_its_cards() -> None:
    context = during_context(SERVICE, demo_fields("sixth_visit"))
    advice = SERVICE.advise(demo("sixth_visit"), full=True)["advice"]
    path = advice["segments"][0]["path"]["steps"]
    assert [(s.rung, list(s.gate)) for s in context["steps"]] == [
        (entry["rung"], entry["gate"]) for entry in path
    ]
    for step in context["steps"]:
        assert any("bladder or bowel" in sign for sign in step.stops)
    thrust = context["steps"][-1]
    assert "Pain or resistance while the position is set up." in thrust.stops
    assert "Pain or resistance while the position is set up." not in context["steps"][0].stops
    # a rung without a card of its own still shows the signs of its level
    assert set(context["steps"][0].stops) < set(stop_signs(advice, "L4", "no such rung"))


def test_all_of_it_is_on_the_page_and_nothing_is_to_be_typed(client: TestClient) -> None:
    page = post(client, "/during", demo_fields("first_visit"))
    for step in during_context(SERVICE, demo_fields("first_visit"))["steps"]:
        assert step.title in page.words
        for do in step.branches:
            assert do.verb in page.words and do.rest in page.words
            assert all(seen in page.words for seen in do.seen)
        assert all(sign in page.words for sign in (*step.stops, *step.gate))
    assert page.inputs == [] and page.areas == {}
    assert set(VERBS.values()) >= {"Go on", "Stay", "Step down", "Stop"}


@pytest.mark.parametrize("name", ["cauda-equina-both-legs-weak", "screen-saddle-declined"])
def test_without_a_path_the_page_says_why(client: TestClient, name: str) -> None:
    page = post(client, "/during", fixture_fields(name))
    assert "There is no path today" in page.text
    assert "/advice" in page.buttons and "/visit" in page.buttons
