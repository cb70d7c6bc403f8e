"""The published lists as data: complete, and conditions that post_test accepts."""

from __future__ import annotations

import pytest

from cds.features.counts import Criteria, count
from cds.features.criteria import ALL, DOWNIE, FLYNN, FRITZ, HENSCHKE
from cds.features.prediction import PRIORS, STATUSES, post_test
from cds.vocabulary.values import Tri

_each = pytest.mark.parametrize("criteria", ALL, ids=[criteria.key for criteria in ALL])


@_each
def test_a_list_is_whole(criteria: Criteria) -> None:
    assert criteria.status in STATUSES
    assert not set(criteria.items) & set(criteria.requires)
    for row in criteria.rows:
        assert row.status in STATUSES
        assert 0 <= row.at_least <= len(criteria.items)
        assert row.at_most is None or row.at_least <= row.at_most < len(criteria.items)


# Transcribed apart from the module, so that a lost or exchanged item shows.
ITEMS = {
    "henschke": "female age_over_70 trauma steroids",
    "downie": "female age_over_70 trauma steroids",
    "flynn": "under_16_days not_below_knee fear_work_under_19 stiff_level hip_rotation_over_35",
    "childs": "under_16_days not_below_knee fear_work_under_19 stiff_level hip_rotation_over_35",
    "fritz": "under_16_days not_below_knee",
    "asas": "onset_under_40 insidious better_with_exercise no_better_with_rest "
    "night_pain_better_up",
    "ng65": "onset_under_35 wakes_second_half buttock_pain better_with_movement better_with_nsaid "
    "relative arthritis enthesitis psoriasis",
    "laslett": "distraction compression thigh_thrust gaenslen_left gaenslen_right sacral_thrust",
    "myelopathy": "gait hoffmann inverted_supinator babinski age_over_45",
}


@_each
def test_items_are_those_published(criteria: Criteria) -> None:
    assert list(criteria.items) == ITEMS[criteria.key].split()


@_each
def test_nothing_answered_leaves_every_row_open(criteria: Criteria) -> None:
    assert {truth for _, truth in count(criteria, {}).rows} == {Tri.UNKNOWN}


@_each
def test_a_printed_ratio_lies_in_its_interval(criteria: Criteria) -> None:
    for row in criteria.rows:
        likelihood = row.likelihood
        if likelihood and likelihood.value is not None and likelihood.interval:
            assert likelihood.interval[0] < likelihood.value < likelihood.interval[1]


def test_keys_are_unique() -> None:
    assert len({criteria.key for criteria in ALL}) == len(ALL)


@pytest.mark.parametrize(
    ("criteria", "prior"),
    [
        (HENSCHKE, "fracture_used_by_henschke"),
        (DOWNIE, "fracture_primary_downie"),
        (FLYNN, "manipulation_flynn"),
        (FRITZ, "manipulation_flynn"),
    ],
)
def test_ratios_meet_their_priors(criteria: Criteria, prior: str) -> None:
    for row in criteria.rows:
        assert row.likelihood
        assert post_test(PRIORS[prior], row.likelihood).prior is PRIORS[prior]


def test_a_rule_from_elsewhere_says_so() -> None:
    likelihood = FRITZ.rows[0].likelihood
    assert likelihood
    weak = post_test(PRIORS["manipulation_flynn"], likelihood).weaknesses
    assert "The prior is from the derivation study, the ratio from the study of two items." in weak
