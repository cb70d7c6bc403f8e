from cds.rulebook.checks.vocabulary import check
from tests.rulebook.checks.books import book_with, codes, messages


def test_the_base_agrees() -> None:
    assert list(check(book_with())) == []


def test_what_voids_must_be_able_to() -> None:
    text = """findings:
  dizzy:
    {ask: Dizzy, title: Dizzy, kind: presence, voided_by: [flares, fall],
     good_for: {days: 3, with: {flares: this_session, leg_power: this_session}}}
"""
    assert messages(check, text) == [
        "`voided_by` of `dizzy` names `flares`, which is never adverse",
        "`with` of `dizzy` names `flares`, which is never adverse",
    ]


def test_blocks_and_findings_name_each_other() -> None:
    block = "blocks:\n  head: {ask: Head?, findings: [dizzy]}\nfindings:\n"
    dizzy = "  dizzy: {ask: Dizzy, title: Dizzy, kind: presence, %s}\n"
    assert messages(check, block + dizzy % "block: head") == []
    assert messages(check, block + dizzy % "unchanged: false") == [
        "block `head` lists `dizzy`, which does not name it"
    ]
    assert messages(check, block + dizzy % "block: leg_block") == [
        "block `leg_block` does not list `dizzy`, which names it",
        "block `head` lists `dizzy`, which does not name it",
    ]
    assert codes(check, block + dizzy % "ask_alone: true") == ["ask-alone-in-block"]


def test_applies_when_reads_findings_only() -> None:
    dizzy = (
        "findings:\n  dizzy:\n    {ask: Dizzy, title: Dizzy, kind: presence, applies_when: %s}\n"
    )
    assert codes(check, dizzy % '{none: [{finding: fall, is: "yes"}]}') == []
    assert codes(check, dizzy % "{conclusion: irritable, holds: true}") == ["applies-when-reads"]
    assert codes(check, dizzy % "{policy: earliest_thrust_session, at_least: 2}") == [
        "applies-when-reads"
    ]
    operand = "{finding: flares, at_least: {policy: earliest_thrust_session}}"
    assert messages(check, dizzy % operand) == [
        "`applies_when` of `dizzy` reads the policy choice `earliest_thrust_session`"
    ]


def test_applies_when_in_a_circle() -> None:
    one = "  {}: {{ask: A, title: A, kind: count, applies_when: {{finding: {}, at_least: 1}}}}\n"
    pairs = (("a_one", "b_two"), ("b_two", "c_three"), ("c_three", "a_one"))
    text = "findings:\n" + "".join(one.format(name, on) for name, on in pairs)
    assert messages(check, text) == [
        "findings apply by each other: `a_one` → `b_two` → `c_three` → `a_one`"
    ]
