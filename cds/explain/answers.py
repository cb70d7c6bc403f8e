"""Which answers counted, which are stale, missing or rejected, each with age and reason."""

from __future__ import annotations

from cds.explain.words import value_text
from cds.rulebook.program import Program
from cds.vocabulary.advice import Answers
