"""The account of every fixture is enough, has nothing to spare, and says only what is there."""

import re

from cds.engine.path import now
from cds.engine.port import Outcome
from cds.engine.readings import Readings
from cds.explain.claim import claim_of
from cds.explain.headline import Found, headline
from cds.explain.outcomes import bars_all, concerns, referrals
from cds.explain.why import Account, account, graph, rests_on
from cds.explain.words import input_of, word
from cds.vocabulary.values import Input
from tests.explain.decided import Decided, all_decided, one

ACCOUNTS: dict[str, Account] = {}


def of(item: Decided) -> Account:
    """The account of a fixture, made once."""
    found = ACCOUNTS.get(item.fixture.name)
    if found is None:
        found = account(item.decider.program, item.decider.resolver, item.advice)
        ACCOUNTS[item.fixture.name] = found
    return found


def restricted(item: Decided, rules: set[int], *, all_fired: bool) -> Readings:
    """The readings where only these steps of the chain fired and are held.

    `all_fired`: everything that fired counts, and of what is held only these.
    """
    program = item.decider.program
    numbers = {(i.rule, i.level, i.side): i.number for i in program.instances}
    fired, opened = [], []
    for step in item.advice["chain"]["steps"]:
        number = numbers[(step["rule"], step.get("level"), step.get("side"))]
        if step["status"] == "fired" and (all_fired or step["number"] in rules):
            fired.append(number)
        if step["status"] != "fired" and step["number"] in rules:
            opened.append(number)
    return Readings(program, Outcome(tuple(sorted(fired)), tuple(sorted(opened))))


def inputs_of(item: Decided) -> dict[str, Input]:
    """What the path reads of the case: the moment, and the rung last done in this session."""
    found = {}
    for entry in item.advice["chain"]["inputs"]:
        value = input_of(item.decider.program, dict(entry))
        if entry["name"] in ("moment", "today.last_rung") and value is not None:
            found[entry["name"]] = value
    return found


def headline_of(item: Decided, readings: Readings) -> tuple[str, str]:
    """The headline that these readings would give, by the code that makes every headline."""
    program, resolver = item.decider.program, item.decider.resolver
    levels = tuple(segment["level"] for segment in item.advice["segments"])
    paths = resolver.paths(readings, levels, inputs_of(item))
    found = Found(
        now=paths.now,
        fired=paths.fired,
        referrals=referrals(program, readings),
        concerns=concerns(program, readings),
        questions=[],
        moment=item.case.moment,
        asked="",
        treated=list(paths.treated),
        **bars_all(program, readings),
    )
    made = headline(program, resolver, found)
    return made["kind"], made["text"]


def test_every_headline_has_an_account() -> None:
    for item in all_decided():
        found = of(item)
        assert found["about"] == item.advice["headline"]["text"]
        assert bool(found["reasons"]) != bool(found["absent"]), item.fixture.name


def test_the_account_alone_gives_the_headline() -> None:
    """Sufficient: with nothing but its steps fired, the headline is the same."""
    seen = set()
    for item in all_decided():
        found = of(item)
        steps = {reason["step"] for reason in found["reasons"]}
        kind, text = item.advice["headline"]["kind"], item.advice["headline"]["text"]
        seen.add(kind)
        if kind == "not_settled":  # what fired may all be there: the holds alone keep hands off
            readings = restricted(item, steps, all_fired=True)
            levels = tuple(segment["level"] for segment in item.advice["segments"])
            resolver = item.decider.resolver
            path = resolver.resolve(readings, levels, item.case.moment, now, now)
            assert not path.hands_on, item.fixture.name
            continue
        if not found["reasons"]:
            continue
        given = headline_of(item, restricted(item, steps, all_fired=False))
        assert given[0] == kind, (item.fixture.name, given)
        if kind == "hands_on":
            assert given[1] == text, item.fixture.name
        if kind in ("emergency", "refer"):  # the conditions, or where to; the days may be another's
            assert given[1].partition(": ")[2] == text.partition(": ")[2], item.fixture.name
    assert seen >= {"emergency", "refer", "no_hands_on", "not_settled", "hands_on"}


def test_no_reason_can_be_left_out() -> None:
    """Minimal: without any one step, and what rests on it, the headline is no longer said."""
    for item in all_decided():
        found = of(item)
        claim = claim_of(item.decider.program, item.decider.resolver, item.advice)
        steps = {s["number"]: s for s in item.advice["chain"]["steps"]}
        members = [reason["step"] for reason in found["reasons"]]
        for dropped in members:
            gone = {dropped}
            for number in members:  # in order: what rests on it comes later
                if gone & set(rests_on(steps[number])):
                    gone.add(number)
            assert not claim.holds(steps[n] for n in members if n not in gone), item.fixture.name


def test_every_step_has_what_it_rests_on() -> None:
    for item in all_decided():
        found = of(item)
        steps = {s["number"]: s for s in item.advice["chain"]["steps"]}
        members = {reason["step"] for reason in found["reasons"]}
        for reason in found["reasons"]:
            assert rests_on(steps[reason["step"]]) == reason["rests_on"]
            assert set(reason["rests_on"]) <= members


def test_edges_lead_from_what_exists_and_are_no_more_than_that() -> None:
    for item in all_decided():
        whole = graph(item.decider.program, item.advice,
                      [s["number"] for s in item.advice["chain"]["steps"]])  # fmt: skip
        for shown in (of(item)["graph"], whole):
            nodes = {node["id"]: node for node in shown["nodes"]}
            assert len(nodes) == len(shown["nodes"])
            assert len(set(shown["edges"])) == len(shown["edges"])
            for begin, end in shown["edges"]:
                assert nodes[begin]["depth"] < nodes[end]["depth"]
                assert nodes[end]["kind"] != "input"
            inputs = {entry["name"] for entry in item.advice["chain"]["inputs"]}
            cited = {t["input"] for s in item.advice["chain"]["steps"] for t in s["tests"]
                     if "input" in t}  # fmt: skip
            for name in (n[2:] for n in nodes if n.startswith("i:")):
                assert name in inputs | cited


_NUMBER = re.compile(r"(?<![\w.-])\d+(?:\.\d+)?(?![\w.]\d)")


def test_sentences_have_no_number_that_is_not_in_the_step() -> None:
    """Every number of a sentence stands in its step's title, tests, values or conclusions."""
    for item in all_decided():
        inputs = {entry["name"]: entry for entry in item.advice["chain"]["inputs"]}
        steps = {s["number"]: s for s in item.advice["chain"]["steps"]}
        for reason in of(item)["reasons"]:
            step = steps[reason["step"]]
            said = [step["title"], *(t["text"] + " " + t.get("value", "") for t in step["tests"])]
            said += [word(c["value"]) + " " + c["slot"] for c in step["conclusions"]]
            said += [str(inputs.get(t.get("input", ""), "")) for t in step["tests"]]
            titles = item.decider.program
            said += [f.title for f in (*titles.findings.values(), *titles.features.values())]
            have = " ".join(said)
            for number in _NUMBER.findall(reason["sentence"]):
                assert number in have, (item.fixture.name, reason["sentence"])


def test_recorded_values_stand_in_the_sentence() -> None:
    item = one("infection-two-risks-and-night-pain")
    [reason] = of(item)["reasons"]
    assert (
        "night pain: unrelieved; recent infection: yes; diabetes: yes" in reason["sentence"].lower()
    )
    assert "refer to physician, urgent" in reason["sentence"]


def test_what_is_held_says_until_it_is_answered() -> None:
    [reason] = of(one("consent-not-sent"))["reasons"]
    assert reason["status"] == "held_open"
    assert "not known" in reason["sentence"] and "Until it is answered" in reason["sentence"]


def test_limits_that_do_not_shape_the_path_are_left_out() -> None:
    """Consent to thrust is missing there, but the path ends below thrust anyway."""
    item = one("stage-acute-last-day")
    assert "consent-thrust" in {s["rule"] for s in item.advice["chain"]["steps"]}
    assert "consent-thrust" not in {reason["rule"] for reason in of(item)["reasons"]}


def test_the_same_advice_has_the_same_account() -> None:
    item = one("cauda-equina-sexual-function")
    assert of(item) == account(item.decider.program, item.decider.resolver, item.advice)
