"""A case written and read again is the same; mirrored twice it is itself."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given

from cds.vocabulary.case import Answer, Case
from cds.vocabulary.jsonbytes import read_json
from cds.vocabulary.reading import read_case
from cds.vocabulary.write import case_json, mirror_case
from tests.vocabulary.cases import any_case
from tests.vocabulary.sample import FULL, VOCAB, case


def bare(found: Case) -> Case:
    """Without pointers, which tell where an answer was sent."""

    def strip(answers: dict[str, tuple[Answer, ...]]) -> dict[str, tuple[Answer, ...]]:
        return {
            name: tuple(replace(answer, pointer="") for answer in many)
            for name, many in answers.items()
        }

    segments = found.segments and tuple(
        replace(segment, answers=strip(dict(segment.answers))) for segment in found.segments
    )
    return replace(found, answers=strip(dict(found.answers)), segments=segments)


@given(any_case(VOCAB))
def test_written_and_read_again_it_is_the_same(data: dict[str, object]) -> None:
    found = read_case(VOCAB, data)
    text = json.dumps(case_json(VOCAB, found)).encode()
    again = read_case(VOCAB, read_json(text, limit=10**6))
    assert bare(again) == bare(found)
    assert json.dumps(case_json(VOCAB, again)).encode() == text


@given(any_case(VOCAB))
def test_mirrored_twice_is_the_case_itself(data: dict[str, object]) -> None:
    found = read_case(VOCAB, data)
    once = mirror_case(VOCAB, found)
    assert mirror_case(VOCAB, once) == found
    assert bare(read_case(VOCAB, case_json(VOCAB, once))) == bare(once)


def test_the_mirror_exchanges_every_side() -> None:
    found = mirror_case(VOCAB, read_case(VOCAB, FULL))
    (side,) = found.answers["leg_side"]
    assert side.raw == "right or both"
    level = (found.segments or ())[1]
    assert (level.flexion, level.neutral, level.extension) == ("right", "symmetric", "left")
    assert level.answers["segment.restricted"][0].raw == "right"
    assert level.answers["segment.provocation"][0].raw == "concordant"
    given_ = ((found.course or ())[0].given or ())[0]
    assert given_.side == "right"


def test_mirrored_options_stand_in_declared_order() -> None:
    either = case(answers={"leg_side": {"value": {"one_of": ["left", "right"]}}})
    found = read_case(VOCAB, either)
    assert mirror_case(VOCAB, found) == found


@pytest.mark.parametrize("part", ["segments", "course", "referrals", "consents"])
def test_an_empty_list_stays_an_empty_list(part: str) -> None:
    assert case_json(VOCAB, read_case(VOCAB, case(**{part: []})))[part] == []
    assert part not in case_json(VOCAB, read_case(VOCAB, case()))
