"""Which tests decided a rule: for each kind of group, and each result."""

import pytest

from cds.explain.deciding import deciding
from cds.vocabulary.values import Input, Tri
from tests.explain.seen import presences, rule, see
from tests.support.tiny import no, tiny, yes

LEAF = "{finding: %s, is: yes}"
A, B, C = (LEAF % name for name in "abc")
WORDS: dict[str, Input] = {"y": yes(), "n": no()}


def decided(when: str, answers: str) -> tuple[Tri, list[tuple[str, Tri]]]:
    """Answers by position of a, b, c: y, n or ? (not recorded)."""
    program = tiny(
        rule("one", when, "{concern: {fracture: some}}"),
        presences(*"abc"),
    )
    values = {name: WORDS[w] for name, w in zip("abc", answers, strict=True) if w != "?"}
    seen = see(program, values)
    result, leaves = deciding(program, seen.instance("one"), seen.run.node_state)
    return result, [(read.leaf.name, value) for read, value in leaves]


T, F, U = Tri.TRUE, Tri.FALSE, Tri.UNKNOWN


@pytest.mark.parametrize(
    ("when", "answers", "result", "leaves"),
    [
        (A, "y??", T, [("a", T)]),
        (A, "n??", F, [("a", F)]),
        (A, "???", U, [("a", U)]),
        (f"{{all: [{A}, {B}, {C}]}}", "yyy", T, [("a", T), ("b", T), ("c", T)]),
        (f"{{all: [{A}, {B}, {C}]}}", "yny", F, [("b", F)]),
        (f"{{all: [{A}, {B}, {C}]}}", "?n?", F, [("b", F)]),
        (f"{{all: [{A}, {B}, {C}]}}", "?y?", U, [("a", U), ("c", U)]),
        (f"{{any: [{A}, {B}, {C}]}}", "nyy", T, [("b", T), ("c", T)]),
        (f"{{any: [{A}, {B}, {C}]}}", "?y?", T, [("b", T)]),
        (f"{{any: [{A}, {B}, {C}]}}", "nnn", F, [("a", F), ("b", F), ("c", F)]),
        (f"{{any: [{A}, {B}, {C}]}}", "n?n", U, [("b", U)]),
        (f"{{none: [{A}, {B}, {C}]}}", "nnn", T, [("a", F), ("b", F), ("c", F)]),
        (f"{{none: [{A}, {B}, {C}]}}", "?yn", F, [("b", T)]),
        (f"{{none: [{A}, {B}, {C}]}}", "n??", U, [("b", U), ("c", U)]),
        (f"{{some: {{at_least: 2, of: [{A}, {B}, {C}]}}}}", "yny", T, [("a", T), ("c", T)]),
        (f"{{some: {{at_least: 2, of: [{A}, {B}, {C}]}}}}", "n?n", F, [("a", F), ("c", F)]),
        (f"{{some: {{at_least: 2, of: [{A}, {B}, {C}]}}}}", "yn?", U, [("c", U)]),
        (f"{{some: {{at_least: 2, of: [{A}, {B}, {C}]}}}}", "???", U,
         [("a", U), ("b", U), ("c", U)]),
    ],
)  # fmt: skip
def test_a_group_is_decided_by_its_members_of_the_same_result(
    when: str, answers: str, result: Tri, leaves: list[tuple[str, Tri]]
) -> None:
    assert decided(when, answers) == (result, leaves)


def test_groups_within_groups_keep_written_order() -> None:
    when = f"{{all: [{{any: [{A}, {B}]}}, {{none: [{C}]}}]}}"
    assert decided(when, "yyn") == (T, [("a", T), ("b", T), ("c", F)])
    assert decided(when, "nnn") == (F, [("a", F), ("b", F)])
    assert decided(when, "yyy") == (F, [("c", T)])
    assert decided(when, "?n?") == (U, [("a", U), ("c", U)])


def test_the_truth_is_the_one_by_which_the_rule_fires() -> None:
    """Over every combination: true exactly for fired instances, unknown for open ones."""
    when = f"{{some: {{at_least: 2, of: [{A}, {{none: [{B}]}}, {{all: [{A}, {C}]}}]}}}}"
    program = tiny(rule("one", when, "{concern: {fracture: some}}"), presences(*"abc"))
    seen_results = set()
    for a in "yn?":
        for b in "yn?":
            for c in "yn?":
                given = {n: WORDS[w] for n, w in zip("abc", (a, b, c), strict=True) if w != "?"}
                seen = see(program, given)
                instance = seen.instance("one")
                result, leaves = deciding(program, instance, seen.run.node_state)
                outcome = seen.readings.outcome
                assert (result is T) == (instance.number in outcome.fired)
                assert (result is U) == (instance.number in outcome.open)
                assert leaves
                seen_results.add(result)
    assert seen_results == {T, F, U}
