"""The problem codes of `cds.rulebook.checks`: its meaning and what to do, for each.

`cds.rulebook.codes` joins them to the codes of reading and shape into the one closed list.
"""

from __future__ import annotations

WARNINGS = frozenset({"unused-policy", "never-cited", "never-chosen", "off-by-policy"})
"""Codes that are shown and let the rule book pass. Every other code refuses it."""

CHECK_CODES: dict[str, tuple[str, str]] = {
    # names and where they may stand
    "unknown-name": (
        "A name that the rule book does not declare: finding, feature, conclusion, policy, card, "
        "exercise, text, rung, family, destination, concern or block.",
        "Correct the spelling, or declare it.",
    ),
    "unknown-source": (
        "Evidence that cites a source which `sources` does not list.",
        "Correct the id, or add the source under `sources`.",
    ),
    "wrong-key": (
        "A conclusion that has one slot per key read without a key, or a key where there is none.",
        "Write `concern.fracture` for a conclusion with keys, the bare name for the others.",
    ),
    "wrong-scope": (
        "A conclusion read or written for the case where it exists per level only, or the reverse.",
        "Write `segment.name` for one level and the bare name for the whole case.",
    ),
    "segment-outside": (
        "`segment.` or `adjacent.` in a place that does not run once per level.",
        "Add `for_each: segment`, or read a case-wide flag that a `for_each: segment` rule writes.",
    ),
    "side-outside": (
        "`{side}` or `{other_side}` as an operand or value outside `for_each: side`.",
        "Add `side` to `for_each`.",
    ),
    # tests
    "wrong-operator": (
        "An operator that this kind of source does not have.",
        "Words take is, is_not, in; ordered words also the four comparisons; numbers only these; "
        "flags holds; sets has, has_any_of, empty.",
    ),
    "scale-operator": (
        "A conclusion that combines by worst, highest or lowest tested for equality.",
        "Use at_least, more_than, at_most or less_than: a rule can only move a scale one way.",
    ),
    "date-test": (
        "A test on a date finding.",
        "Test a computed feature that counts the days since.",
    ),
    "wrong-operand": (
        "A word compared with a number, or a number with a word.",
        "Write a number for a number and a declared word for a choice.",
    ),
    "unknown-value": (
        "A value that its finding, feature, policy or conclusion does not have.",
        "Use one of the declared values.",
    ),
    "not-whole-step": (
        "A number that is not a whole count of its finding's steps.",
        "Round the number to the declared step, or declare a finer step.",
    ),
    "out-of-range": (
        "A number outside the plausible range of its finding, so that the test can never decide.",
        "Correct the number, or widen the declared range.",
    ),
    "decides-nothing": (
        "A test that gives the same answer for every possible value.",
        "Move the limit inside the values, or write `known: true` where any value will do.",
    ),
    "unknown-unit": (
        "A unit that is not one of the UCUM units known here.",
        "Write the UCUM form, such as Cel, kg, mm[Hg], {points}, or 1 where there is no unit.",
    ),
    # what every entry owes
    "missing-evidence": (
        "A rule, card, exercise, policy choice, or text with a number, that names no evidence.",
        "Name a source, or `common_practice` and what it is, or mark it `from_memory: true`.",
    ),
    "missing-owner": (
        "A rule, card or exercise that nobody answers for.",
        "Write `owner`, or set it under `defaults` of the file.",
    ),
    "missing-review-date": (
        "A rule, card or exercise without the day by which it is looked at again.",
        "Write `review_by`, or set it under `defaults` of the file.",
    ),
    "review-before-approval": (
        "A review date that is not after the approval.",
        "Set `review_by` after `approved`.",
    ),
    "missing-basis": (
        "A rule that limits without saying why it may.",
        "Write `basis`: contraindication, precaution, screening, consent, training, response or "
        "policy.",
    ),
    # holds
    "missing-hold": (
        "A rule that limits, refers, raises a concern or care_today, without `while_unknown`.",
        "Say what holds until the questions are answered, or `while_unknown: nothing`.",
    ),
    "hold-not-careful": (
        "`while_unknown` writes a flag, a `single`, or one that is not `careful: more`.",
        "Hold only limits, concerns, referrals, care_today and other careful scales.",
    ),
    "hold-not-written": (
        "`while_unknown` writes what `then` does not write at the same place.",
        "Write it under `then` too, or take it out of `while_unknown`.",
    ),
    "hold-stricter": (
        "`while_unknown` is stricter than `then`.",
        "An open rule holds at most what it concludes when it fires.",
    ),
    # how conclusions depend on each other
    "wrong-direction": (
        "A rule through which more care in one place would mean less care in another.",
        "Turn the test round, or rest the rule on findings instead of the careful conclusion.",
    ),
    "lowers-otherwise": (
        "A careful conclusion written milder than what holds when nobody concludes anything.",
        "Leave the value out, or move `otherwise` to the mild end of the scale.",
    ),
    "cycle": (
        "Rules that wait for each other's conclusions in a circle.",
        "Break the circle shown: let one of the rules read findings instead.",
    ),
    "single-not-exclusive": (
        "Two rules that may write different values of a `single` conclusion at the same time.",
        "Give both a top-level `all` that tests the same finding or feature for disjoint answers.",
    ),
    # phases
    "judge-reads-path": (
        "A judge rule that reads a limit, the target or the path.",
        "Only `phase: prepare` rules read these; a judge rule reads what led to them.",
    ),
    "judge-reads-prepared": (
        "A judge rule that reads what prepare rules conclude.",
        "Conclude it in the judge phase, or make the reader `phase: prepare`.",
    ),
    "judge-writes-prepared": (
        "A judge rule that chooses cards or exercises.",
        "Make the rule `phase: prepare`.",
    ),
    "prepare-refers-or-limits": (
        "A prepare rule that refers, limits, or decides care, need or the next step.",
        "A prepare rule writes only cards, exercises, cautions, re-tests and words.",
    ),
    # sides
    "sided-literal": (
        "`left` or `right` written out in a rule, card, exercise or text.",
        "Use `for_each: side` with `{side}` and `{other_side}`, or say why in `asymmetric`.",
    ),
    "mirror-incomplete": (
        "A value or name with a side whose mirror is not declared.",
        "Declare both sides and `mirror: {left: right, right: left}`.",
    ),
    "mirror-unequal": (
        "A rule that does not say the same for left and right.",
        "Use `for_each: side` with `{side}` and `{other_side}`, or say why in `asymmetric`.",
    ),
    # today
    "today-without-moment": (
        "A test of `today.` that no test of `moment` stands beside or above.",
        "Put it under `all` with {feature: moment, in: [during_session, after_session]}.",
    ),
    # vocabulary
    "never-adverse": (
        "A finding is voided or shortened by one that has no adverse values, so it never is.",
        "Declare `adverse` on the other finding, or take it out here.",
    ),
    "ask-alone-in-block": (
        "A finding that is always asked alone is listed in a block.",
        "Take it out of the block: no block answer may stand for it.",
    ),
    "block-mismatch": (
        "A finding names a block that does not list it, or the block lists one that names another.",
        "Name the block in the finding and the finding in the block.",
    ),
    "twice-in-visit": (
        "A finding that stands in two places of the visit, by its name or by its block.",
        "Name it once, or its block, in the part where it is asked.",
    ),
    "applies-when-reads": (
        "`applies_when` reads something other than a finding.",
        "Test findings only.",
    ),
    "applies-when-cycle": (
        "Findings whose `applies_when` depend on each other in a circle.",
        "Break the circle shown.",
    ),
    "positional-incomplete": (
        "The positional table does not hold each of its 27 rows once.",
        "Write one row for each combination of symmetric, left and right in the three positions.",
    ),
    "positional-mirror": (
        "A row of the positional table that is not the mirror of its mirrored row.",
        "Correct one of the two rows.",
    ),
    # what nothing uses
    "unused-finding": (
        "A finding that no rule, no feature and no other finding reads.",
        "Take it out: nothing is asked for nothing. Or write the rule that needs it.",
    ),
    "never-read": (
        "A conclusion that no rule reads and that is not an output.",
        "Take it out, read it, or mark it `output: true`.",
    ),
    "never-written": (
        "A conclusion, or one key of it, that is read or promised but that no rule writes.",
        "Write the rule that concludes it, or take the test out.",
    ),
    "unused-policy": (
        "A policy choice that nothing reads.",
        "Take it out, or test it in a rule.",
    ),
    "never-cited": (
        "A source that nothing cites.",
        "Cite it, or take it out.",
    ),
    "never-chosen": (
        "A card, exercise or text that no rule chooses.",
        "Write the rule that chooses it, or take it out.",
    ),
    # rules that cannot fire
    "never-fires": (
        "Tests that can never be true together, so that the rule or this part of it never holds.",
        "Correct one of the tests, or use `any` where either is meant.",
    ),
    "off-by-policy": (
        "A rule that cannot fire as local policy now stands.",
        "Nothing, if local policy means it so.",
    ),
    # texts
    "unknown-placeholder": (
        "A placeholder that does not exist, or a brace that is not one.",
        "Use {side}, {other_side} or {level}.",
    ),
    "misplaced-placeholder": (
        "A placeholder where no side or no level is known.",
        "Add `side` or `segment` to `for_each` of every rule that uses the text.",
    ),
}
