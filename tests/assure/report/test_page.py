from __future__ import annotations

import itertools
import re
from dataclasses import replace
from functools import cache

import pytest

from cds.assure.report.page import report
from cds.rulebook.book import Evidence
from cds.rulebook.program import Program
from tests.assure.report.support import Page, small
from tests.support.shipped import shipped_service

HOSTILE = "</style></title><script>alert(1)</script><img src=x onerror=y>\"' &amp; {"


@cache
def shipped() -> str:
    return report(shipped_service().program)


@cache
def page() -> Page:
    return Page(shipped())


@pytest.mark.parametrize(
    ("kind", "group"),
    [
        ("rule", "rules"),
        ("finding", "findings"),
        ("computed", "features"),
        ("card", "cards"),
        ("exercise", "exercises"),
        ("text", "texts"),
        ("source", "sources"),
        ("policy", "policy"),
        ("block", "blocks"),
    ],
)
def test_everything_has_its_anchor_exactly_once(kind: str, group: str) -> None:
    wanted = {f"{kind}-{name}" for name in getattr(shipped_service().program, group)}
    assert wanted
    assert {name for name in page().ids if name.startswith(f"{kind}-")} == wanted
    assert all(page().ids[name] == 1 for name in wanted)


def test_every_anchor_is_unique_and_every_link_resolves_inside_the_page() -> None:
    assert [name for name, count in page().ids.items() if count > 1] == []
    targets = {f"#{name}" for name in page().ids}
    assert [target for target in page().links if target not in targets] == []


def test_headings_step_down_one_at_a_time() -> None:
    headings = page().headings
    assert headings[0] == 1
    assert headings.count(1) == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(headings))


def test_every_table_has_heads_for_columns_and_rows() -> None:
    assert len(page().tables) == page().tags["caption"]
    assert all({"col", "row"} == set(scopes) for scopes in page().tables)


def test_nothing_runs_and_nothing_is_fetched() -> None:
    assert not set(page().tags) & {"script", "link", "img", "iframe", "object", "form", "base"}
    assert not [key for key, _ in page().attributes if key in ("src", "style", "action")]
    assert not [key for key, _ in page().attributes if key.startswith("on")]
    assert not re.search(r"url\(|@import|expression\(", shipped())


def test_language_title_edition_and_scope() -> None:
    program = shipped_service().program
    assert '<html lang="en">' in shipped()
    assert shipped().startswith("<!doctype html>\n<html")
    assert program.digest in shipped()
    text = "".join(page().shown)
    assert all(sentence in text for sentence in program.scope_notice)


def test_the_page_has_no_yaml_and_no_bare_names() -> None:
    text = "".join(page().shown) + " ".join(value or "" for _, value in page().attributes)
    for leftover in (
        "while_unknown",
        "finding:",
        "at_least",
        "{side}",
        "{level}",
        "is_not",
    ):
        assert leftover not in text
    text = "".join(page().shown)
    program = shipped_service().program
    for name in (*program.findings, *program.features, *program.conclusions):
        if "_" in name:
            assert not re.search(rf"\b{re.escape(name)}\b", text), name


def test_the_same_program_gives_the_same_bytes() -> None:
    assert report(small()) == report(small())
    # neither does the order in which rules were met while reading
    shuffled = replace(small(), rules=dict(reversed(small().rules.items())))
    assert report(shuffled) == report(small())


def hostile() -> Program:
    """The small book with an attack in every text a reader sees."""
    book = small()
    proof = (Evidence("made-up-2020", at=HOSTILE), Evidence(common_practice=HOSTILE))
    words = {"title": HOSTILE, "evidence": proof}
    return replace(
        book,
        title=HOSTILE,
        scope_notice=(HOSTILE,),
        destinations=dict.fromkeys(book.destinations, HOSTILE),
        concerns=dict.fromkeys(book.concerns, HOSTILE),
        findings={k: replace(f, title=HOSTILE, ask=HOSTILE) for k, f in book.findings.items()},
        rules={
            k: replace(r, because=HOSTILE, owner=HOSTILE, **words) for k, r in book.rules.items()
        },
        policy={k: replace(p, reason=HOSTILE, **words) for k, p in book.policy.items()},
        cards={
            k: replace(c, position=HOSTILE, set_up=(HOSTILE,), dose=((HOSTILE, HOSTILE),), **words)
            for k, c in book.cards.items()
        },
        exercises={k: replace(e, how=(HOSTILE,), **words) for k, e in book.exercises.items()},
        texts={k: replace(t, say=HOSTILE) for k, t in book.texts.items()},
        sources={k: replace(s, title=HOSTILE, where=HOSTILE) for k, s in book.sources.items()},
    )


def test_hostile_texts_are_only_ever_text() -> None:
    markup = report(hostile())
    seen = Page(markup)
    plain = Page(report(small()))
    assert not set(seen.tags) - set(plain.tags)
    assert seen.tags["style"] == seen.tags["title"] == 1
    assert not [key for key, _ in seen.attributes if key.startswith("on")]
    assert markup.count("</style>") == 1
    assert "<script" not in markup
    assert "".join(seen.shown).count(HOSTILE) > 50


def test_a_book_without_review_dates_says_so() -> None:
    rules = {name: replace(rule, review_by=None) for name, rule in small().rules.items()}
    assert "No review dates are set." in report(replace(small(), rules=rules))
    assert "First review due 1 November 2027." in report(small())


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_words_stand_out_from_the_paper_in_light_dark_and_print() -> None:
    schemes: list[dict[str, str]] = []
    for block in re.findall(r":root \{([^}]*)\}", shipped()):
        schemes.append(dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6})", block)))
    assert len(schemes) == 3
    for scheme in schemes:
        for back in ("paper", "wash"):
            for ink in ("ink", "soft", "accent", "held"):
                paper = scheme[back] if len(scheme[back]) == 7 else "#ffffff"
                colour = scheme[ink] if len(scheme[ink]) == 7 else "#111111"
                light, dark = sorted((luminance(paper), luminance(colour)), reverse=True)
                assert (light + 0.05) / (dark + 0.05) >= 4.5, (ink, back, scheme)
