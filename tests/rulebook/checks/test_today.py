import pytest

from cds.rulebook.checks.today import check
from tests.rulebook.checks.books import codes, rule

DURING = "{feature: moment, is: during_session}"
SPREAD = "{feature: today.spread, is: distal}"
FALL = '{finding: fall, is: "yes"}'


@pytest.mark.parametrize(
    ("when", "problems"),
    [
        (f"all: [{DURING}, {SPREAD}]", 0),
        (f"all: [{SPREAD}, {{any: [{DURING}, {{feature: moment, is: after_session}}]}}]", 0),
        (f"all: [{DURING}, {{none: [{{all: [{FALL}, {SPREAD}]}}]}}]", 0),
        (f"any: [{FALL}, {{all: [{DURING}, {SPREAD}]}}]", 0),
        (f"all: [{{none: [{{feature: moment, in: [before_session, contact]}}]}}, {SPREAD}]", 0),
        (f"all: [{{some: {{at_least: 2, of: [{DURING}, {FALL}]}}}}, {SPREAD}]", 0),
        (f"any: [{DURING}, {SPREAD}]", 1),
        (f"all: [{SPREAD}, {FALL}]", 1),
        (f"all: [{{any: [{DURING}, {FALL}]}}, {SPREAD}]", 1),
        (f"all: [{{feature: moment, is_not: before_session}}, {SPREAD}]", 1),
        (f"all: [{{none: [{{feature: moment, is: contact}}]}}, {SPREAD}]", 1),
        (f"all: [{{none: [{DURING}]}}, {SPREAD}]", 1),
        (f"all: [{{some: {{at_least: 1, of: [{DURING}, {FALL}]}}}}, {SPREAD}]", 1),
        (f"all: [{{feature: moment, known: true}}, {SPREAD}]", 1),
        # beside one covered branch the uncovered one is still told
        (f"any: [{{all: [{DURING}, {SPREAD}]}}, {SPREAD}]", 1),
    ],
)
def test_moment_stands_above(when: str, problems: int) -> None:
    text = "rules:\n" + rule(f"    when: {{{when}}}\n    then: {{next_step: hold}}")
    assert codes(check, text) == ["today-without-moment"] * problems
