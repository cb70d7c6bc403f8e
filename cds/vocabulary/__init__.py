"""What may be said of a patient and what may be concluded.

The idea: a rule book declares its findings and conclusions; everything above (rules, cases,
engines, explanations) speaks only in these names. Values are exact: choices are words, numbers are
whole steps, dates are day ordinals, and every value may be an interval when the record is only
partly known. What is not recorded is unknown with a reason; it is never "absent".

Files: `values` (Choice, Amount, unknown reasons) · `model` (findings, features, conclusions,
ladder) · `core` (the built-in conclusions) · `vocabulary` (all of them, by name) · `computed` (the
closed list of features the code computes) · `inputs` (what one evaluation is given) · `case` (one
request, checked) · `jsonbytes` (bytes to a Python value) · `codes` (what may be wrong) · `reading`
(JSON to Case; `reading_fields`, `reading_values`, `reading_parts` are its pieces) · `write` (Case
to JSON, and its mirror image) · `ageing` (which answers still count; `freshness` their periods,
`agreeing` answers of one day, `applies` which findings apply) · `schema` (the case's JSON Schema
for one edition) · `regions` (levels by region) · `advice` (the shape of the answer) ·
`reasons` (the shape of what it does not offer, and why).
"""
