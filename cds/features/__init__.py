"""From what was recorded to what it means: findings that the code computes and nobody is asked.

The idea: a rule author wants to write "not settled within 48 hours" or "flexed to the left", not to
compare dates and words. A feature is computed over possibilities, never over guesses: an unknown
part stands for every value it could have, and the feature is unknown, several options or an
interval unless all of them agree. So a feature that is certain stays what it is when an unknown is
answered.

Files: `uncertain` (possibilities: options, spans, Kleene words) · `record` (the one view of a case
that features read) · `person` (age, sex, training) · `examination` (was it examined today) ·
`levels` (the rung reached at each level) · `consent` · `referral` · `stage` (how long the episode
lasts) · `course` (the earlier sessions as a whole) · `last` (how the last session went) · `gain`
(sessions without gain, sessions that made it worse) · `today` (the session in progress, with its
latch) · `table` (the positional table: three palpations to a label) · `positional` (labels of all
levels, stacked and group) · `motion` (restricted motions, facets, agreement) · `order` (segments in
order of treatment) · `compute` (all of it, merged with the answers that still count).

Published figures, shown as information and never deciding: `exact` (fractions, half-up) ·
`accuracy` (rates, ratios, intervals from counts) · `prediction` (a named prior and a likelihood
ratio to a probability) · `counts` (items that hold, as a span) · `criteria` (the lists counted) ·
`scores` (disability, fear avoidance, loose joints, bone mass, change) · `outcome` (function and
pain against the start, as features) · `figures` (predictions of one case) · `figures_scores`
(scores of one case) · `information` (all of them by key).
"""
