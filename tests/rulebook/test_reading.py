"""Reading rule files: every refusal with its place, and good files as they are meant."""

from __future__ import annotations

import os
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from cds.problems import Place, Problem
from cds.rulebook.reading import MAX_DEPTH, read_folder, read_text, show
from cds.rulebook.scan import MAX_BYTES
from cds.rulebook.tree import Mapping, Scalar, plain

REFUSED: list[tuple[bytes, str, int, int]] = [
    (b"a: 'x\nb: 1\n", "yaml-syntax", 1, 4),
    (b"a: [1,\n", "yaml-syntax", 1, 4),
    (b"a: b: c\n", "yaml-syntax", 1, 5),
    (b": a\n", "yaml-syntax", 1, 1),
    (b"a: 1\n\tb: 2\n", "yaml-syntax", 2, 1),
    (b"%YAML 1.1\n---\na: 1\n", "yaml-syntax", 1, 1),
    (b"a: 1\nb:\n  c: 1\n  c: 2\n", "yaml-duplicate-key", 4, 3),
    (b"a: 1\n'a': 2\n", "yaml-duplicate-key", 2, 1),
    (b"{a: 1, a: 2}", "yaml-duplicate-key", 1, 8),
    (b"a: !!python/object:x {}\n", "yaml-tag", 1, 4),
    (b"a: ! b\n", "yaml-tag", 1, 4),
    (b"- !!str 1\n", "yaml-tag", 1, 3),
    (b"%TAG ! tag:x,2000:\n---\na: 1\n", "yaml-tag", 1, 1),
    (b"a:\n  <<: {b: 1}\n", "yaml-merge-key", 2, 3),
    (b"a: &x 1\n", "yaml-alias", 1, 4),
    (b"a: 1\nb: *x\n", "yaml-alias", 2, 4),
    (b"*x : 1\n", "yaml-alias", 1, 1),
    (b"#" * (MAX_BYTES + 1), "yaml-too-large", 1, 1),
    (b"[" * (MAX_DEPTH + 1) + b"]" * (MAX_DEPTH + 1), "yaml-too-deep", 1, MAX_DEPTH + 1),
    (b"- " * 500_000 + b"x", "yaml-too-deep", 1, 2 * MAX_DEPTH + 1),
    (b"a: x\x07y\n", "yaml-control-character", 1, 5),
    (b"a: 1\r\nb: \x1b\r\n", "yaml-control-character", 2, 4),
    (b"a: 1\rb: 2\n", "yaml-control-character", 1, 5),
    *(
        (f"é: 1\n# x{bad}\n".encode(), "yaml-control-character", 2, 4)
        for bad in "\x85\u2028\u2029\ufeff\u202e\u2066\u200b\u200d\x7f\xad\ufffe"
    ),
    (b'a: "\\ud800"\n', "yaml-control-character", 1, 7),
    (b'a: "\\u202e"\n', "yaml-control-character", 1, 4),
    (b'a: "\\0"\n', "yaml-control-character", 1, 4),
    ("é: 1\nb: é".encode() + b"\xff\n", "yaml-encoding", 2, 5),
    (b"a: \xed\xa0\x80\n", "yaml-encoding", 1, 4),
    ("a: 1\n".encode("utf-16"), "yaml-encoding", 1, 1),
    ("a: 1\n".encode("utf-32"), "yaml-encoding", 1, 1),
    ("a: 1\n".encode("utf-16-le"), "yaml-encoding", 1, 1),
    (b"a: 1\n---\nb: 2\n", "yaml-many-documents", 2, 1),
    (b"? [a]\n: 1\n", "yaml-key", 1, 3),
    (b"b: 1\n? {a: 1}\n: 1\n", "yaml-key", 2, 3),
    (b"1: a\n", "yaml-key", 1, 1),
    (b"true: a\n", "yaml-key", 1, 1),
    (b"2026-01-02: a\n", "yaml-key", 1, 1),
    (b"1e3: a\n", "yaml-key", 1, 1),
    (b"'': a\n", "yaml-key", 1, 1),
    (b"{: a}\n", "yaml-syntax", 1, 2),
    (b"?\n: a\n", "yaml-key", 1, 2),
    (b"~: a\n", "yaml-key", 1, 1),
    (b"? |\n  a\n: 1\n", "yaml-key", 1, 3),
    ("e\u0301: 1\n".encode(), "yaml-key", 1, 1),
    (b"", "yaml-empty", 1, 1),
    (b"# only a comment\n", "yaml-empty", 1, 1),
    (b"---\n...\n", "yaml-empty", 1, 1),
    (b"a: 2026-02-30\n", "yaml-bad-date", 1, 4),
    (b"- 1\n- 2026-1-5\n", "yaml-bad-date", 2, 3),
    (b"a: 1e3\n", "yaml-bad-number", 1, 4),
    (b"a: [.inf]\n", "yaml-bad-number", 1, 5),
    ("a: 1\nb: e\u0301\n".encode(), "yaml-not-normalised", 2, 4),
]


def where(problem: Problem) -> tuple[str, int, int]:
    assert problem.place is not None
    assert problem.place.file == "f.yaml"
    return (problem.code, problem.place.line, problem.place.column)


@pytest.mark.parametrize(("data", "code", "line", "column"), REFUSED)
def test_refused_with_its_place(data: bytes, code: str, line: int, column: int) -> None:
    _, problems = read_text(data, "f.yaml")
    assert [where(problem) for problem in problems] == [(code, line, column)]


def test_a_million_brackets_are_too_deep() -> None:
    node, problems = read_text(b"[" * 1_000_000, "f.yaml")
    assert node is None
    assert [problem.code for problem in problems] == ["yaml-too-deep"]


def test_a_doubling_of_aliases_is_never_expanded() -> None:
    lines = ["a0: &a0 [x, x]"] + [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, 60)]
    _, problems = read_text("\n".join(lines).encode(), "f.yaml")
    assert {problem.code for problem in problems} == {"yaml-alias"}
    assert len(problems) == 60 + 2 * 59


def test_all_problems_of_a_file_are_collected_in_order() -> None:
    data = b"a: !x 1\na: 2026-02-30\nb: &c 1e9\n<<: {}\n"
    node, problems = read_text(data, "f.yaml")
    assert [where(problem) for problem in problems] == [
        ("yaml-tag", 1, 4),
        ("yaml-duplicate-key", 2, 1),
        ("yaml-bad-date", 2, 4),
        ("yaml-alias", 3, 4),
        ("yaml-bad-number", 3, 4),
        ("yaml-merge-key", 4, 1),
    ]
    assert node is not None
    assert plain(node) == {"a": 1, "b": "1e9"}


def test_problems_before_a_syntax_error_are_kept() -> None:
    node, problems = read_text(b"a: *x\nb: 1\nc: 'open\n", "f.yaml")
    assert node is None
    assert [where(problem) for problem in problems] == [
        ("yaml-alias", 1, 4),
        ("yaml-syntax", 3, 4),
    ]


def test_values_of_a_good_file() -> None:
    data = b"""\xef\xbb\xbf# with a byte order mark\r
when: {finding: leg_weakness_power, at_most: 3}\r
step: 0.10
words: [yes, no, on, off, 'true', "1", true, ~]
approved: 2026-11-01
folded: >
  one
  two
kept: |
  one
  two
long: one
  two
nothing:
empty: []
"""
    node, problems = read_text(data, "f.yaml")
    assert problems == []
    assert node is not None
    assert plain(node) == {
        "when": {"finding": "leg_weakness_power", "at_most": 3},
        "step": Decimal("0.10"),
        "words": ["yes", "no", "on", "off", "true", "1", True, None],
        "approved": date(2026, 11, 1),
        "folded": "one two\n",
        "kept": "one\ntwo\n",
        "long": "one two",
        "nothing": None,
        "empty": [],
    }


def test_quoted_and_block_scalars_are_text() -> None:
    node, problems = read_text(b"- '1'\n- |\n  1\n- 1\n", "f.yaml")
    assert problems == []
    assert node is not None and not isinstance(node, Scalar | Mapping)
    assert [(i.value, i.quoted) for i in node.items if isinstance(i, Scalar)] == [
        ("1", True),
        ("1\n", True),
        (1, False),
    ]


def test_places_of_nested_keys_and_values() -> None:
    node, _ = read_text("é: 1\nrules:\n  - id: x\n    when: {中: [1, 'b']}\n".encode(), "f.yaml")
    assert isinstance(node, Mapping)
    rules = node.entry("rules")
    assert rules is not None and rules.key_place == Place("f.yaml", 2, 1)
    assert rules.value.place == Place("f.yaml", 3, 3)
    rule = rules.value.items[0]  # type: ignore[union-attr]
    assert isinstance(rule, Mapping)
    when = rule.entry("when")
    assert when is not None and when.key_place == Place("f.yaml", 4, 5)
    assert isinstance(when.value, Mapping) and when.value.place == Place("f.yaml", 4, 11)
    wide = when.value.entries[0]
    assert (wide.key_place.column, wide.value.place.column) == (12, 15)
    assert [item.place.column for item in wide.value.items] == [16, 19]  # type: ignore[union-attr]


YAML_LIKE = st.text(
    alphabet="ab01-:,[]{}'\"#&*!|>%? \n\t.~<\\xu\u00e9\u0301\u202e\ud7ff", max_size=60
)


@given(st.one_of(st.binary(max_size=200), YAML_LIKE.map(lambda text: text.encode())))
def test_never_raises_and_reads_the_same_twice(data: bytes) -> None:
    node, problems = read_text(data, "f.yaml")
    assert (node, problems) == read_text(data, "f.yaml")
    assert node is not None or problems
    for problem in problems:
        assert problem.place is not None and problem.place.line >= 1 <= problem.place.column
        show(problem, {"f.yaml": data.decode("utf-8-sig", "replace")})


WORDS = st.from_regex(r"[a-z]{2,8}", fullmatch=True).filter(
    lambda word: word not in ("yes", "no", "on", "off", "true", "false", "null")
)
COMMON = st.recursive(
    st.one_of(WORDS, st.integers(-(10**15), 10**15), st.booleans(), st.none(), st.dates()),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(WORDS, inner, max_size=4)),
    max_leaves=20,
)


@given(st.dictionaries(WORDS, COMMON, min_size=1, max_size=5), st.booleans())
def test_agrees_with_safe_load_where_both_mean_the_same(value: object, flow: bool) -> None:
    class NoAlias(yaml.SafeDumper):
        def ignore_aliases(self, data: object) -> bool:
            return True

    text = yaml.dump(value, Dumper=NoAlias, default_flow_style=flow)
    node, problems = read_text(text.encode(), "f.yaml")
    assert problems == []
    assert node is not None
    assert plain(node) == yaml.safe_load(text) == value


def write(root: Path, name: str, text: str) -> None:
    path = root / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def test_a_folder_is_read_in_order_of_name(tmp_path: Path) -> None:
    write(tmp_path, "b.yml", "language: 1\n")
    write(tmp_path, "a/z.yaml", "language: 1\n")
    write(tmp_path, "tests/t.yaml", "case: 1\n")
    for ignored in ("schema/s.yaml", ".hidden/x.yaml", ".x.yaml", "README.md"):
        write(tmp_path, ignored, "a: [\n")
    read = read_folder(tmp_path)
    assert list(read.files) == ["a/z.yaml", "b.yml", "tests/t.yaml"]
    assert list(read.texts) == list(read.files)
    assert (read.problems, read.unread) == ((), ())


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("a: 1\n", "language-missing", 1, 1),
        ("# x\n- a\n", "language-missing", 2, 1),
        ("a: 1\nlanguage: 2\n", "language-unknown", 2, 11),
        ("language: '1'\n", "language-unknown", 1, 11),
        ("language: true\n", "language-unknown", 1, 11),
        ("language: 1.0\n", "language-unknown", 1, 11),
        ("language: [1]\n", "language-unknown", 1, 11),
        ("language:\n", "language-unknown", 1, 10),
    ],
)
def test_every_file_states_its_language(
    tmp_path: Path, text: str, code: str, line: int, column: int
) -> None:
    write(tmp_path, "f.yaml", text)
    assert [where(problem) for problem in read_folder(tmp_path).problems] == [(code, line, column)]


def test_links_out_of_the_folder_are_refused(tmp_path: Path) -> None:
    root = tmp_path / "rules"
    write(root, "in.yaml", "language: 1\n")
    write(tmp_path, "out/secret.yaml", "language: 1\n")
    (root / "inside.yaml").symlink_to(root / "in.yaml")
    (root / "outside.yaml").symlink_to(tmp_path / "out" / "secret.yaml")
    (root / "folder").symlink_to(tmp_path / "out")
    (root / "loop").symlink_to(root)
    (root / "nowhere.yaml").symlink_to(root / "gone.yaml")
    os.mkfifo(root / "pipe.yaml")
    read = read_folder(root)
    assert list(read.files) == ["in.yaml", "inside.yaml"]
    assert [(p.code, p.place.file) for p in read.problems if p.place] == [
        ("file-link", "folder"),
        ("file-link", "loop"),
        ("file-unreadable", "nowhere.yaml"),
        ("file-link", "outside.yaml"),
        ("file-unreadable", "pipe.yaml"),
    ]


def test_a_missing_folder_and_a_large_file_are_problems(tmp_path: Path) -> None:
    assert [p.code for p in read_folder(tmp_path / "none").problems] == ["file-unreadable"]
    write(tmp_path, "big.yaml", "#" * (MAX_BYTES + 1))
    read = read_folder(tmp_path)
    assert [p.code for p in read.problems] == ["yaml-too-large"]
    assert (read.unread, read.texts) == (("big.yaml",), {})


def test_a_problem_is_shown_with_its_line_marker_and_help() -> None:
    data = "é:\n\t\n中: {a: 1, a: 2}\n".replace("\t", "  ").encode()
    _, problems = read_text(data, "f.yaml")
    assert show(problems[0], {"f.yaml": data.decode()}) == (
        "f.yaml:3:11: error: the key `a` stands here a second time [yaml-duplicate-key]\n"
        "    中: {a: 1, a: 2}\n"
        "               ^\n"
        "help: the first is on line 3"
    )
    assert show(problems[0], {}).count("\n") == 1
