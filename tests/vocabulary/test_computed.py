"""The list of features: names, scopes, mirrors, ladders."""

from __future__ import annotations

from cds.vocabulary.computed import FEATURES, PATH_FEATURES, RUNGS, features_for
from cds.vocabulary.model import Kind, Scope


def test_names_say_scope_and_moment() -> None:
    for name, feature in FEATURES.items():
        assert feature.name == name
        assert (feature.scope is Scope.SEGMENT) == name.startswith("segment.")
        assert feature.today == name.startswith("today.")
        assert feature.title


def test_words_are_declared_where_there_are_words() -> None:
    for name, feature in FEATURES.items():
        assert bool(feature.values) == (feature.kind in (Kind.CHOICE, Kind.PRESENCE)), name
        assert len(set(feature.values)) == len(feature.values)
        assert not feature.ordered or feature.kind is Kind.CHOICE


def test_exactly_the_sided_words_have_a_mirror() -> None:
    for name, feature in FEATURES.items():
        assert bool(feature.mirror) == ({"left", "right"} <= set(feature.values)), name
        for word, other in feature.mirror:
            assert (other, word) in feature.mirror
            assert {word, other} <= set(feature.values)


def test_path_features_are_read_from_nothing() -> None:
    assert {name for name in FEATURES if "path" in name} == PATH_FEATURES
    assert all(not FEATURES[name].reads for name in PATH_FEATURES)


def test_a_ladder_of_its_own() -> None:
    assert features_for(RUNGS) == FEATURES
    short = features_for(("no_treatment", "muscle_energy"))
    assert short["last_rung"].values == ("no_treatment", "muscle_energy")
    assert short["path.up_to"].values == ("no_treatment", "muscle_energy")
    assert short["sex"] is FEATURES["sex"]
