"""Scores and predictions for reading, and the points a consent rests on, as the rules chose them.

A prepare rule chooses the text `information-<key>`; its words, with the weaknesses of the
instrument, belong to the rule book. The number, its prior and what is weak about this case's number
come from the features. Where too little was recorded for a figure, the entry is left out. A text
whose key is no figure stands for itself.
"""

from __future__ import annotations

from fractions import Fraction

from cds.engine.readings import Readings
from cds.explain.library import chosen, evidence_words
from cds.explain.words import number_text
from cds.features.exact import half_up, percent
from cds.features.figures import Figure, Number
from cds.features.information import FIGURES, figures
from cds.features.prediction import PostTest
from cds.features.record import Record
from cds.rulebook.program import Program
from cds.vocabulary.advice import ConsentPoint, Information
from cds.vocabulary.inputs import Inputs

PREFIX = "information-"

TITLES = {
    "disability": "Disability index",
    "roland-morris": "Roland and Morris score",
    "pain": "Pain against the first session",
    "fear-avoidance": "Fear avoidance",
    "risk-questionnaire": "Short risk questionnaire",
    "loose-joints": "Beighton score",
    "flynn": "Five items for benefit from manipulation",
    "fritz": "Two items for benefit from manipulation",
    "childs": "The trial of the five items",
    "henschke": "Items of a vertebral fracture, one prior",
    "downie": "Items of a vertebral fracture, another prior",
    "malignancy": "History of cancer",
    "myelopathy": "Items of a lesion of the cord in the neck",
}

_CHANGES = {"points_better": "points", "percent_better": "%"}
_PHRASES = {
    "items": "{} items hold",
    "percent": "{}, in percent",
    "sections": "{} sections answered",
    "cut_off": "cut-off {}",
    "against_the_first": "judged {}",
    "within_who_was_studied": "this patient is one of those who were studied: {}",
}
"""How a number is said; others by their own name."""


def consent_points(program: Program, readings: Readings) -> list[ConsentPoint]:
    """What the patient is told before consenting to today's path."""
    found: list[ConsentPoint] = []
    for member, _ in chosen(program, readings, "consent_points", None):
        text = program.texts[member]
        found.append({"id": member, "text": text.say, "evidence": evidence_words(text.evidence)})
    return found


def information(
    program: Program, readings: Readings, record: Record, inputs: Inputs
) -> list[Information]:
    """What the rules chose to show, figures in their own order, then texts without a figure."""
    members = [member for member, _ in chosen(program, readings, "information", None)]
    if not members:
        return []
    order = [PREFIX + key for key in FIGURES]
    members.sort(key=lambda m: (order.index(m) if m in order else len(order), m))
    computed = figures(record, inputs.values)
    found: list[Information] = []
    for member in members:
        key = member.removeprefix(PREFIX)
        text = program.texts[member]
        evidence = evidence_words(text.evidence)
        if key not in FIGURES:
            found.append(
                {"id": member, "title": "Information", "text": text.say, "evidence": evidence}
            )
        elif key in computed:
            found.append(_entry(member, computed[key], text.say, evidence))
    return found


def _entry(member: str, figure: Figure, said: str, evidence: list[str]) -> Information:
    entry: Information = {
        "id": member,
        "title": TITLES[figure.key],
        "of": figure.of,
        "values": _values(figure),
    }
    if figure.post is not None:
        prior = figure.post.prior
        entry["prior"] = (
            f"{percent(prior.probability, 1)} %, {prior.setting}, {prior.source} "
            f"({prior.status.replace('_', ' ')})"
        )
    entry["text"] = _sentence(figure)
    entry["weaknesses"] = [said, *figure.weaknesses]
    entry["inputs"] = list(figure.inputs)
    entry["evidence"] = evidence
    return entry


def _values(figure: Figure) -> dict[str, str]:
    """Every number under its name; a span gives `name` from and `name_at_most`."""
    found: dict[str, str] = {}
    for number in figure.numbers:
        value = number.value
        if isinstance(value, tuple):
            found[number.name] = str(value[0])
            if value[0] != value[1]:
                found[f"{number.name}_at_most"] = str(value[1])
        else:
            found[number.name] = _plain(value)
    if figure.likelihood is not None:
        ratio = figure.likelihood.value
        found["likelihood_ratio"] = "no finite ratio" if ratio is None else _plain(ratio)
        if figure.likelihood.interval:
            low, high = figure.likelihood.interval
            found["likelihood_ratio_interval"] = f"{_plain(low)} to {_plain(high)}"
    if figure.post is not None:
        found["probability_percent"] = str(percent(figure.post.probability, 1))
        if figure.post.interval:
            low, high = figure.post.interval
            found["probability_interval"] = f"{percent(low, 1)} to {percent(high, 1)}"
        found["prior_percent"] = str(percent(figure.post.prior.probability, 1))
    return found


def _plain(value: Fraction | str) -> str:
    """A word as it is; a number with the fewest of up to two places."""
    return value if isinstance(value, str) else number_text(half_up(value, 2))


def _sentence(figure: Figure) -> str:
    parts = [_spoken(number) for number in figure.numbers]
    if figure.meaning:
        parts.append(figure.meaning)
    first = "; ".join(parts)
    sentences = [first[0].upper() + first[1:] + "."] if first else []
    if figure.post is not None:
        sentences.append(_probability(figure.post))
    elif figure.likelihood is not None and figure.likelihood.value is not None:
        ratio = f"likelihood ratio {_plain(figure.likelihood.value)} ({figure.likelihood.source})"
        sentences.append(f"For {figure.of}: {ratio}; no prior is named, so no probability.")
    return " ".join(sentences)


def _spoken(number: Number) -> str:
    if isinstance(number.value, tuple):
        low, high = number.value
        value = str(low) if low == high else f"{low} to {high}"
    else:
        value = _plain(number.value)
    if number.top is not None:
        value = f"{value} of {number.top}"
    if number.name in _CHANGES:
        unit = _CHANGES[number.name]
        direction = "worse" if value.startswith("-") else "better"
        return f"{value.removeprefix('-')} {unit} {direction} than at the first"
    return _PHRASES.get(number.name, number.name + " {}").format(value)


def _probability(post: PostTest) -> str:
    return f"{str(post)[0].upper()}{str(post)[1:]}."
