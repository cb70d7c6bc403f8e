"""From what an engine found to what a therapist reads.

The idea: an advice is only as good as its account. These modules turn fired and open instances into
a chain of steps that can be re-derived, the reasons why not more, and the questions that are open.
No module here decides anything: they read `Readings`, a chainer run and resolved paths.

Files: `words` (sentences for tests and values) · `deciding` (which tests decided a rule) · `chain`
(the ordered steps) · `check` (the chain checker) · `effects` (the most a rule could do) ·
`questions` (open questions in order) · `limits` (limits with their holders) · `outcomes` (care,
referrals, concerns, next step, sources) · `whynot` (what keeps a rung shut, by what would have to
change) · `notmade` (labels palpation did not give) · `headline` · `library` (cards, exercises and
texts filled in) · `information` (scores and predictions, points of consent) · `confidence` (how far
a label may be trusted) · `answers` (used, stale, missing) · `compact` (the short form that is the
default on the wire) · `sayings` (conclusions, inputs and tests in words) · `claim` (what a headline
says, tried on steps) · `why` (the shortest account that is enough, and its graph) · `changes`
(between two advices) · `paper` (sections and lines, set as text or Markdown) · `note` (for the
chart) · `letter` (for each referral) · `homesheet` (for the patient).
"""
