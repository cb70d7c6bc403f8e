"""The closed list of features: findings that the code computes from the case and nobody is asked.

`FEATURES` maps name -> Feature; `cds.features` computes every one of them. A feature is unknown, or
several options, or an interval, unless every completion of what it reads agrees. Features of an
earlier session do not apply where the course is empty. `today.*` apply only during and after a
session; `path.*` and `segment.path_*` are set after the resolver and read by prepare rules only.

`reads` names the findings that could be asked to make a feature known, then the parts of the case.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from cds.vocabulary.model import LEVELS, MOMENTS, Feature, Kind, Scope

RUNGS = (
    "no_treatment", "exercise_only", "muscle_energy_low", "muscle_energy", "mobilization_1",
    "mobilization_2", "mobilization_3", "mobilization_4", "thrust",
)  # fmt: skip
"""The rungs of the ladder, least first. A ladder with other rungs: `features_for`."""

GUARDING = ("none", "mild", "moderate", "marked")
"""Guarding, least first: each word has an observable anchor in the rule book."""

TRENDS = ("eased", "same", "worse")
"""How guarding went, best first."""

COMPARABLE = ("better", "same", "worse")
"""How the patient's own comparable sign went, best first."""

ADVERSE = ("none", "minor", "serious")
"""Adverse response, least first."""

SPREAD = ("none", "proximal", "distal")
"""Spread of pain, least first: towards the spine (centralizing), or down the limb."""

STAGES = ("acute", "subacute", "chronic")
"""Stage of an episode, shortest first: under 6 weeks, 6 to 12, over 12."""

SET_UP = ("none", "pain", "resistance")
"""What was wrong when a thrust was set up."""

CONSENT = ("given", "missing", "withdrawn", "no_capacity")
"""How a consent stands."""

PATTERNS = ("none", "flexed", "extended", "flexed_and_extended", "group", "indeterminate")
"""What palpation in three positions says of one level."""

BILATERAL = ("none", "flexed", "extended")
"""Restriction on both sides of a level that is even in all three positions: of extension (flexed)
or of flexion (extended)."""

SIDE_WORDS = ("none", "left", "right")
BOTH_SIDES = ("none", "left", "right", "both")
_MIRROR = (("left", "right"), ("right", "left"))

POINTS = "{points}"
"""UCUM annotation for points of the 0-10 pain scale."""


def _yes_no(name: str, title: str, *reads: str) -> Feature:
    return Feature(
        name, Kind.PRESENCE, title, _scope(name), ("no", "yes"), today=_today(name), reads=reads
    )


def _ordered(name: str, title: str, values: tuple[str, ...], *reads: str) -> Feature:
    return Feature(
        name, Kind.CHOICE, title, _scope(name), values, True, today=_today(name), reads=reads
    )


def _words(name: str, title: str, values: tuple[str, ...], *reads: str) -> Feature:
    return Feature(name, Kind.CHOICE, title, _scope(name), values, today=_today(name), reads=reads)


def _side(name: str, title: str, values: tuple[str, ...], *reads: str) -> Feature:
    return Feature(name, Kind.CHOICE, title, _scope(name), values, mirror=_MIRROR, reads=reads)


def _count(name: str, title: str, *reads: str, unit: str | None = None) -> Feature:
    return Feature(
        name, Kind.COUNT, title, _scope(name), unit=unit, today=_today(name), reads=reads
    )


def _points(name: str, title: str, *reads: str) -> Feature:
    """A change of pain in points; positive is worse, negative is better."""
    return Feature(
        name, Kind.NUMBER, title, unit=POINTS, low=-_TEN, high=_TEN, today=_today(name), reads=reads
    )


def _scope(name: str) -> Scope:
    return Scope.SEGMENT if name.startswith("segment.") else Scope.CASE


def _today(name: str) -> bool:
    return name.startswith("today.")


_TEN = Decimal(10)

_PERSON = (
    _count("age", "Age", "patient", unit="a"),
    _words("sex", "Sex", ("female", "male", "other"), "patient"),
    _words("moment", "Moment of the request", MOMENTS),
    _count("segments_listed", "Number of levels listed", "segments"),
)

_COURSE = (
    _count("session_number", "Number of this session", "course"),
    _count("days_since_last_session", "Days since the last session", "course", unit="d"),
    _count("days_since_first_session", "Days since the first session", "course", unit="d"),
    _yes_no("gap", "Long gap since the last session", "course"),
    _yes_no("new_therapist", "Another therapist than last time", "course", "clinician"),
    _ordered("last_rung", "Highest rung of the last session", RUNGS, "course"),
    _yes_no("last_tolerated", "Last session tolerated", "course", "pain"),
    _count("sessions_without_gain", "Sessions in a row at this rung without gain", "course"),
    _count("sessions_worse", "Sessions in a row that made it worse", "pain", "course"),
    _count("sessions_pain_flat", "Sessions over which pain has not fallen", "pain", "course"),
    _ordered("guarding_within_last", "Guarding within the last session", TRENDS, "course"),
    _ordered(
        "guarding_between", "Guarding since the end of the last session", TRENDS,
        "guarding", "course", "clinician",
    ),
    _points("pain_within_last", "Pain change within the last session", "course"),
    _points("pain_between", "Pain change since the end of the last session", "pain", "course"),
    _points("pain_since_first", "Pain change since the first session", "pain", "course"),
    _yes_no("settled_48h", "Last session settled in time", "course"),
    _yes_no("response_masked", "Response masked by a medicine", "medicine_today", "course"),
    _ordered("adverse_last", "Adverse response to the last session", ADVERSE, "course"),
    _yes_no("thrust_adverse_in_episode", "Adverse response to a thrust, this episode", "course"),
    _yes_no("stop_sign_last", "Stop sign in the last session", "course"),
    _ordered("spread_last", "Spread of pain after the last session", SPREAD, "course"),
    _ordered("comparable_last", "Comparable sign after the last session", COMPARABLE, "course"),
    _yes_no("stepped_down_last", "Last session stepped down", "course"),
    _ordered("worsened_at_last", "Lowest rung at which the last session worsened", RUNGS, "course"),
    _ordered("rung_ceiling_after_step_down", "Highest rung after stepping down", RUNGS, "course"),
)  # fmt: skip

_OUTCOME = (
    _ordered("pain_response", "Pain against the first session", COMPARABLE, "pain", "course"),
    _ordered(
        "disability_since_first",
        "Disability index against the first",
        COMPARABLE,
        "disability_index",
    ),
    _ordered(
        "roland_morris_since_first",
        "Roland and Morris score against the first",
        COMPARABLE,
        "roland_morris",
    ),
    _yes_no("function_score_due", "A function score is due", "disability_index", "roland_morris"),
)

_CARE = (
    _ordered("stage", "Stage of this episode", STAGES, "duration_days"),
    _yes_no("urgent_referral_pending", "Urgent referral without an outcome", "referrals"),
    _count("urgent_referral_days", "Days since that referral", "referrals", unit="d"),
    _yes_no("referral_refused", "A referral was refused", "referrals"),
    _yes_no("urgent_referral_refused", "An urgent referral was refused", "referrals"),
    _words("consent_hands_on", "Consent to hands-on care", CONSENT, "consents"),
    _words("consent_muscle_energy", "Consent to muscle energy", CONSENT, "consents"),
    _words("consent_mobilization", "Consent to mobilization", CONSENT, "consents"),
    _words("consent_thrust", "Consent to thrust, today", CONSENT, "consents"),
    _yes_no("training_muscle_energy", "Trained in muscle energy", "clinician"),
    _yes_no("training_mobilization", "Trained in mobilization", "clinician"),
    _yes_no("training_thrust", "Trained in thrust", "clinician"),
    _yes_no("neuro_exam_today", "Neurological examination today", "power", "reflexes", "sensation"),
    _yes_no(
        "thrust_screen_today", "Cauda equina and cord signs screened today", "saddle_sensation",
        "bladder_function", "bowel_function", "gait", "upper_motor_neuron_signs",
    ),
)  # fmt: skip

_TODAY = (
    _count("today.steps", "Steps done in this session", "today"),
    _ordered("today.last_rung", "Rung of the last step", RUNGS, "today"),
    _ordered("today.guarding_trend", "Guarding at the last step", TRENDS, "guarding", "today"),
    _yes_no("today.worsened", "Worse at a step of this session", "guarding", "today"),
    _ordered("today.worsened_at", "Lowest rung at which it worsened", RUNGS, "guarding", "today"),
    _ordered("today.spread", "Spread of pain in this session", SPREAD, "today"),
    _yes_no("today.new_sign", "New neurological sign in this session", "today"),
    _words("today.set_up_problem", "Problem at the set-up of a thrust", SET_UP, "today"),
    _points("today.pain_change", "Most that pain rose in this session", "pain", "today"),
)

_LEVEL = (
    _ordered("segment.level", "Level", LEVELS, "segments"),
    _ordered("segment.reached_rung", "Highest rung so far at this level", RUNGS, "course"),
    _words("segment.pattern", "Positional pattern", PATTERNS, "segments"),
    _side("segment.flexed_side", "Side of the flexed pattern", SIDE_WORDS, "segments"),
    _side("segment.extended_side", "Side of the extended pattern", SIDE_WORDS, "segments"),
    _side("segment.group_side", "Prominent side of the group", SIDE_WORDS, "segments"),
    _words(
        "segment.bilateral", "Restricted on both sides", BILATERAL, "segment.sagittal_motion",
        "segments",
    ),
    _yes_no("segment.stacked", "Stacked with a neighbouring level", "segments"),
    _yes_no("segment.restricted_flexion", "Flexion restricted", "segments"),
    _yes_no("segment.restricted_extension", "Extension restricted", "segments"),
    _side("segment.restricted_side_bending", "Side-bending restricted", BOTH_SIDES, "segments"),
    _side("segment.restricted_rotation", "Rotation restricted", BOTH_SIDES, "segments"),
    _yes_no("segment.restricted", "Any motion restricted by position", "segments"),
    _side("segment.facet_cannot_open", "Facet that cannot open", BOTH_SIDES, "segments"),
    _side("segment.facet_cannot_close", "Facet that cannot close", BOTH_SIDES, "segments"),
    _yes_no(
        "segment.motion_agrees", "Active motion agrees with the pattern", "active_flexion",
        "active_extension", "active_side_bending", "active_rotation", "segment.sagittal_motion",
        "segments",
    ),
    _yes_no("segment.palpation_conflict", "Neutral side conflicts: palpate again", "segments"),
    _yes_no(
        "segment.outside_consent_muscle_energy",
        "Consent to muscle energy is for another region", "consents", "segments",
    ),
    _yes_no(
        "segment.outside_consent_mobilization",
        "Consent to mobilization is for another region", "consents", "segments",
    ),
    _yes_no(
        "segment.outside_consent_thrust",
        "Consent to thrust is for another region", "consents", "segments",
    ),
)  # fmt: skip

_PATH = (
    _ordered("path.up_to", "Most that can be reached today", RUNGS),
    _ordered("path.start_at", "Rung to start at", RUNGS),
    _yes_no("path.hands_on", "Hands-on care is offered"),
    _ordered("segment.path_up_to", "Most that can be reached at this level", RUNGS),
    _ordered("segment.path_start_at", "Rung to start at, at this level", RUNGS),
)

FEATURES: dict[str, Feature] = {
    feature.name: feature
    for feature in (*_PERSON, *_COURSE, *_OUTCOME, *_CARE, *_TODAY, *_LEVEL, *_PATH)
}
"""Every feature by name, in the order in which they are shown."""

PATH_FEATURES = frozenset(feature.name for feature in _PATH)
"""Features that are set after the resolver; only prepare rules may read them."""


def features_for(rungs: tuple[str, ...]) -> dict[str, Feature]:
    """`FEATURES` with the rungs of a book's own ladder, least first, in place of `RUNGS`."""
    if rungs == RUNGS:
        return dict(FEATURES)
    return {
        name: replace(feature, values=rungs) if feature.values == RUNGS else feature
        for name, feature in FEATURES.items()
    }
