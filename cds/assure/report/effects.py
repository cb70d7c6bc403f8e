"""What a rule concludes, in plain sentences: care, referral, limits, words, cards.

Limits are gathered, so that a rule which bars seven families reads as one sentence.
"""

from __future__ import annotations

from collections.abc import Sequence

from cds.assure.report.html import Child, Html, el, join, series
from cds.assure.report.terms import Terms, named, value, with_holes
from cds.explain.words import word
from cds.rulebook.book import Write
from cds.vocabulary.model import Family

_REACH = {
    "case": "",
    "segment": " at this level",
    "adjacent": " at the levels directly above and below",
}
_CARE = {
    "proceed": "Care may proceed today.",
    "with_precautions": "Care today goes on with precautions.",
    "no_hands_on": "No hands-on care today.",
}
_LISTED = {
    "cautions": "Caution",
    "retest": "Test again",
    "safety_net": "Safety net, said to the patient",
    "education": "Explain to the patient",
    "consent_points": "Point to consent to",
    "information": "Information, decides nothing",
    "cards": "Technique card",
    "exercises": "Home exercise",
}
LONG = 120
"""Longer texts are cut in a rule's sentences; they stand in full among the texts."""
_ORDER = ("care_today", "referral", "concern", "limit", "target", "indication", "next_step")


def effects(terms: Terms, writes: Sequence[Write]) -> list[Html]:
    """One sentence for each thing concluded, the gravest kind first."""
    kinds = dict.fromkeys(
        (*_ORDER, *(write.conclusion for write in writes))
    )  # known kinds first, each once
    found: list[Html] = []
    for kind in kinds:
        mine = [write for write in writes if write.conclusion == kind]
        if kind == "limit":
            found.extend(_limits(terms, mine))
        elif kind in _LISTED:
            found.extend(_listed(terms, kind, mine))
        else:
            found.extend(_one(terms, write) for write in mine)
    return found


def _one(terms: Terms, write: Write) -> Html:
    where = _REACH[write.reach]
    conclusion = terms.program.conclusions.get(write.conclusion)
    title = conclusion.title if conclusion is not None else word(write.conclusion)
    text = word(write.value)
    key = write.key or ""
    if write.conclusion == "care_today":
        return el("span", _CARE.get(write.value, text))
    if write.conclusion == "referral":
        within = f", {write.within}" if write.within else ""
        return join(["Refer to ", value(terms.key("referral", key)), f": {text}{within}."])
    if write.conclusion == "concern":
        return join(["Concern, ", value(terms.key("concern", key)), f": {text}."])
    if write.conclusion == "target":
        return join([f"What may be aimed for{where}: up to ", value(terms.rung(write.value)), "."])
    if write.conclusion == "indication":
        return join([value(terms.family(key)), f" is indicated{where}."])
    if write.conclusion == "next_step":
        return join(
            ["Next step of the course: ", value(text.replace("re examine", "re-examine")), "."]
        )
    shown = f"{title}, {terms.key(write.conclusion, key)}" if key else title
    if conclusion is not None and conclusion.combine == "flag":
        return join([f"The book concludes{where}: ", value(shown), "."])
    return join([f"{shown}{where}: ", value(terms.word(write.conclusion, write.value)), "."])


def _limits(terms: Terms, writes: Sequence[Write]) -> list[Html]:
    found: list[Html] = []
    for reach, where in _REACH.items():
        limits = {write.key or "": write.value for write in writes if write.reach == reach}
        if not limits:
            continue
        families = terms.program.ladder.families
        hands_on = [f for f in families if f.group == "hands_on"]
        barred = [f for f in families if limits.get(f.name) == f.limits[0]]
        shown: list[Child] = []
        if hands_on and all(family in barred for family in hands_on):
            shown.append(value("every hands-on technique"))
            barred = [family for family in barred if family not in hands_on]
        shown.extend(value(family.title) for family in barred)
        if shown:
            found.append(join([f"Barred{where}: ", series(shown, "and"), "."]))
        for family in families:
            limit = limits.get(family.name, family.limits[0])
            if limit != family.limits[0]:
                found.append(_at_most(terms, family, limit, where))
    return found


def _at_most(terms: Terms, family: Family, limit: str, where: str) -> Html:
    if limit == family.limits[-1]:
        return join([value(family.title), f" is not limited{where}."])
    rungs = [rung for rung, needed in family.rungs if needed == limit]
    most = terms.rung(rungs[-1]) if rungs else word(limit)
    return join([value(family.title), f"{where}: no higher than ", value(most), "."])


def _listed(terms: Terms, kind: str, writes: Sequence[Write]) -> list[Html]:
    """The texts, cards or exercises chosen, each linked to where it is printed in full."""
    found: list[Html] = []
    for reach, where in _REACH.items():
        shown = [_shown(terms, write.value) for write in writes if write.reach == reach]
        found.extend(join([f"{_LISTED[kind]}{where}: ", text]) for text in shown)
    return found


def _shown(terms: Terms, name: str) -> Html:
    """A text by its own words, cut where it is long; a card or exercise by its name."""
    text = terms.program.texts.get(name)
    if text is None:
        return join([chosen(terms, name), "."])
    said = text.say
    if len(said) > LONG:
        said = said[:LONG].rpartition(" ")[0].rstrip(",;:.") + " …"
    return terms.link("text", name, with_holes(said))


def chosen(terms: Terms, name: str) -> Html:
    """A link to a text, card or exercise by its id."""
    if name in terms.program.cards:
        return terms.link("card", name, named(name))
    if name in terms.program.exercises:
        return terms.link("exercise", name, with_holes(terms.program.exercises[name].title))
    return terms.link("text", name, named(name))
