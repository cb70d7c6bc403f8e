"""Use cases: what a door may ask for, in terms of the project and not of HTTP or a terminal.

The idea: a door hands over parsed JSON and gets plain JSON back, or a `CaseError` with every
problem at its pointer. This layer has the clock and the ids that deciding does without, and is the
one place that joins real parts.

Files: `wiring` (settings to a running `Service`) · `request` (a request's body to a checked case)
· `advise` (case to advice, in its envelope) · `check` (case to a summary of what stands)
· `writing` (note, letters, home sheet, what changed) · `rethinking` (questions, the session table,
closing) · `vocabulary_view` (what may be recorded, as JSON) · `rulebook_view` (rules, cards,
policy, sources as JSON) · `condition_view` (conditions as JSON and as sentences) · `log` (JSON
lines without any value of a case).
"""
