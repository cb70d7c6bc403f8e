"""Three-valued logic against published tables, cell by cell, through both evaluators.

Sources: CQL test suite (cqframework/cql-tests, Apache-2.0), `CqlLogicalOperatorsTest.xml` and
`CqlNullologicalOperatorsTest.xml`; DMN technology compatibility kit (dmn-tck/tck, Apache-2.0),
`0106-feel-ternary-logic` and `0107-feel-ternary-logic-not`. Each cell becomes a tiny rule book: the
operands are findings (null is a finding nobody recorded), the expression is one rule's condition,
and the rule fired, quiet or open is true, false or null.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from xml.etree import ElementTree

import pytest

from cds.engine.chainer import Chainer
from cds.engine.port import Evaluator
from cds.engine.reference import Reference
from cds.rulebook.book import Write
from cds.rulebook.compile import compile_book
from cds.rulebook.conditions import Condition
from cds.rulebook.program import Program
from cds.vocabulary.model import Finding
from cds.vocabulary.values import Op
from tests.support.books import all_of, any_of, asks, book, inputs, none_of, number, presence, rule
from tests.support.optional import external, require

require("external")

ENGINES: tuple[Callable[[Program], Evaluator], ...] = (Chainer, Reference)

WORDS = {"true": "yes", "false": "no", "null": None}

CQL = "{http://hl7.org/fhirpath/tests}"
TCK = "{http://www.omg.org/spec/DMN/20160719/testcase}"
NIL = "{http://www.w3.org/2001/XMLSchema-instance}nil"

A, B = asks("a"), asks("b")

OPERATORS: Mapping[str, Condition] = {
    "and": all_of(A, B),
    "or": any_of(A, B),
    "not": none_of(A),
    # composed of ours
    "xor": any_of(all_of(A, none_of(B)), all_of(none_of(A), B)),
    "implies": any_of(none_of(A), B),
}


def result(
    engine: Callable[[Program], Evaluator],
    condition: Condition,
    values: Mapping[str, str | int | None],
    findings: tuple[Finding, ...] = (presence("a"), presence("b")),
) -> str:
    """`true`, `false` or `null`: one rule fired, quiet or open."""
    program = compile_book(book([rule("r", condition, Write("cautions", "note"))], findings))
    known = {name: value for name, value in values.items() if value is not None}
    outcome = engine(program).evaluate(inputs(known))
    return "true" if outcome.fired else "null" if outcome.open else "false"


def cql(file: str) -> list[tuple[str, str, str, str]]:
    """(group, name, expression, output) of every test of a file, in order."""
    found = []
    for group in ElementTree.parse(external("logic", file)).getroot().iter(f"{CQL}group"):
        for test in group.iter(f"{CQL}test"):
            expression = (test.findtext(f"{CQL}expression") or "").strip()
            output = (test.findtext(f"{CQL}output") or "").strip()
            found.append((group.get("name", ""), test.get("name", ""), expression, output))
    return found


LOGICAL = cql("CqlLogicalOperatorsTest.xml")
NULLOLOGICAL = cql("CqlNullologicalOperatorsTest.xml")


def names(cells: list[tuple[str, str, str, str]]) -> list[str]:
    return [name for _, name, _, _ in cells]


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(("_group", "_name", "expression", "output"), LOGICAL, ids=names(LOGICAL))
def test_cql_logical(
    engine: Callable[[Program], Evaluator], _group: str, _name: str, expression: str, output: str
) -> None:
    """CqlLogicalOperatorsTest.xml: all 39 cells."""
    binary = re.fullmatch(r"(true|false|null) (and|or|xor|implies) (true|false|null)", expression)
    if binary:
        values = {"a": WORDS[binary[1]], "b": WORDS[binary[3]]}
        assert result(engine, OPERATORS[binary[2]], values) == output
        return
    unary = re.fullmatch(r"not (true|false|null)", expression)
    assert unary, expression
    assert result(engine, OPERATORS["not"], {"a": WORDS[unary[1]]}) == output


def test_cql_logical_is_whole() -> None:
    assert len(LOGICAL) == 39
    assert {group for group, *_ in LOGICAL} == {"And", "Or", "Not", "Xor", "Implies"}


TESTED = [cell for cell in NULLOLOGICAL if cell[0] in ("IsTrue", "IsFalse", "IsNull")]

OURS = [cell for cell in TESTED if "null" not in cell[2]]
"""Cells over a recorded value: `is yes`, `is no`, and `known`, which denies IsNull."""

DEPARTS = [cell for cell in TESTED if "null" in cell[2]]
"""Cells over null. CQL answers true or false; here unknown stays unknown, on purpose: no rule may
take "nobody asked" for an answer."""

NOT_OURS = [cell for cell in NULLOLOGICAL if cell[0] == "Coalesce"]
"""Coalesce picks a value; conditions only test values."""


def _nullological(engine: Callable[[Program], Evaluator], group: str, expression: str) -> str:
    operand = expression[expression.index("(") + 1 : -1]
    if group == "IsNull":
        # the values of the cells, as a choice and as a number
        if operand.isdigit():
            known = asks("n", Op.KNOWN)
            return result(engine, none_of(known), {"n": int(operand)}, (number("n"),))
        text = Finding("t", presence("t").kind, "?", "t", values=("'abc'", "''"))
        value = None if operand == "null" else operand
        return result(engine, none_of(asks("t", Op.KNOWN)), {"t": value}, (text,))
    word = {"IsTrue": "yes", "IsFalse": "no"}[group]
    return result(engine, asks("a", Op.IS, word), {"a": WORDS[operand]})


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(("group", "_name", "expression", "output"), OURS, ids=names(OURS))
def test_cql_nullological(
    engine: Callable[[Program], Evaluator], group: str, _name: str, expression: str, output: str
) -> None:
    """CqlNullologicalOperatorsTest.xml: the 8 cells over a recorded value."""
    assert _nullological(engine, group, expression) == output


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(("group", "_name", "expression", "output"), DEPARTS, ids=names(DEPARTS))
def test_cql_nullological_unknown_stays_unknown(
    engine: Callable[[Program], Evaluator], group: str, _name: str, expression: str, output: str
) -> None:
    """CqlNullologicalOperatorsTest.xml: the 3 cells over null, where this language departs."""
    assert output in ("true", "false")
    assert _nullological(engine, group, expression) == "null"


def test_cql_nullological_is_whole() -> None:
    assert (len(NULLOLOGICAL), len(OURS), len(DEPARTS), len(NOT_OURS)) == (22, 8, 3, 11)


def feel(model: str) -> list[tuple[str, str, dict[str, str | None], str]]:
    """(case and decision, expression, operands, expected) of every result of a FEEL test file."""
    drawn = ElementTree.parse(external("logic", f"{model}.dmn")).getroot()
    text = {}
    for decision in (e for e in drawn.iter() if e.tag.endswith("}decision")):
        text[decision.get("name", "")] = "".join(
            (e.text or "").strip() for e in decision.iter() if e.tag.endswith("}text")
        )
    found = []
    for case in ElementTree.parse(external("logic", f"{model}-test-01.xml")).iter(f"{TCK}testCase"):
        operands = {
            node.get("name", "").lower(): WORDS[_value(node)]
            for node in case.iter(f"{TCK}inputNode")
        }
        for node in case.iter(f"{TCK}resultNode"):
            name = node.get("name", "")
            found.append((f"{case.get('id')}-{name}", text[name], operands, _value(node)))
    return found


def _value(node: ElementTree.Element) -> str:
    value = node.find(f".//{TCK}value")
    assert value is not None
    return "null" if value.get(NIL) == "true" else (value.text or "").strip()


FEEL = feel("0106-feel-ternary-logic") + feel("0107-feel-ternary-logic-not")


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(
    ("_name", "expression", "operands", "expected"), FEEL, ids=[name for name, *_ in FEEL]
)
def test_feel(
    engine: Callable[[Program], Evaluator],
    _name: str,
    expression: str,
    operands: dict[str, str | None],
    expected: str,
) -> None:
    """DMN kit 0106 (9 cases, `and` and `or` each) and 0107 (3 cases of `not`)."""
    operator = {"A and B": "and", "A or B": "or", "not(A)": "not"}[expression]
    assert result(engine, OPERATORS[operator], operands) == expected


def test_feel_is_whole() -> None:
    assert len(FEEL) == 9 * 2 + 3
