"""The list of passes is whole, and no pass stumbles over what another pass reports."""

from pathlib import Path

from cds.problems import Severity, sorted_problems
from cds.rulebook import checks
from cds.rulebook.check_codes import CHECK_CODES
from cds.rulebook.checks.passes import PASSES, check_book
from tests.rulebook.checks.books import book_with, rule

NOT_PASSES = {"__init__", "passes", "subjects", "ranges", "circles", "mirror"}
TANGLE = """findings:
  dizzy:
    {ask: Dizzy, title: Dizzy, kind: presence, block: nowhere, voided_by: [gone],
     applies_when: {finding: gone, at_least: 3}}
  born: {ask: Born, title: Born, kind: date}
blocks:
  head: {ask: Head?, findings: [gone, dizzy]}
conclusions:
  shade: {title: Shade, combine: single, values: [light, dark]}
rules:
""" + "".join(
    rule(f"    when: {when}\n    then: {then}\n    while_unknown: {then}", f"rule-{number}")
    for number, (when, then) in enumerate(
        [
            ("{finding: gone, at_least: 3}", "{gone: yes}"),
            ("{feature: gone, is: left}", "{limit: {gone: barred}}"),
            ("{conclusion: gone.key, at_least: high}", "{segment.gone: dark}"),
            ("{conclusion: concern.gone, at_least: some}", "{concern: {gone: some}}"),
            ("{conclusion: concern, at_least: some}", "{shade: grey}"),
            ("{conclusion: care_today.gone, at_least: stop}", "{care_today: stop}"),
            ("{conclusion: shade, at_least: light}", '{shade: "{side}"}'),
            ("{conclusion: irritable, at_least: 3}", "{irritable: true}"),
            ("{policy: gone, is: red}", "{cautions: [gone]}"),
            ("{finding: leg_power, at_least: {policy: gone}}", "{segment.cards: [gone]}"),
            ("{finding: leg_power, is: weak}", "{adjacent.limit: {thrust: grade_9}}"),
            ("{finding: temperature, at_least: warm}", "{limit: {mobilization: gone}}"),
            ("{finding: born, at_least: 3}", "{referral: {to: gone, urgency: routine}}"),
        ]
    )
)


def test_every_check_is_a_pass() -> None:
    folder = Path(checks.__file__).parent
    modules = {path.stem for path in folder.glob("*.py")} - NOT_PASSES
    assert {check.__module__.rsplit(".", 1)[1] for _, check in PASSES} == modules
    assert len(PASSES) == len(modules)


def test_a_tangle_of_mistakes_is_told_whole() -> None:
    found = check_book(book_with(TANGLE))
    assert found == list(sorted_problems(found))
    assert all(problem.place is not None and problem.help for problem in found)
    assert {problem.code for problem in found} <= CHECK_CODES.keys()
    assert len({problem.code for problem in found}) > 12
    for number in range(13):
        assert any(f"rule-{number}" in problem.message or _at(problem, number) for problem in found)


def _at(problem: object, number: int) -> bool:
    """Whether the problem stands on the lines of this rule."""
    lines = ("language: 1\ndefaults: {}\n" + TANGLE).splitlines()
    first = next(i for i, line in enumerate(lines, 1) if line == f"  - id: rule-{number}")
    place = getattr(problem, "place", None)
    return place is not None and place.file == "extra.yaml" and first <= place.line < first + 7


def test_messages_are_one_line_in_lower_case() -> None:
    for problem in check_book(book_with(TANGLE)):
        assert "\n" not in problem.message
        assert problem.message[0] == "`" or problem.message[0].islower()
        assert problem.severity in Severity
