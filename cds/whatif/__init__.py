"""What would change: the same case decided again with an answer, a step or a day more.

The idea: whatever is said of an answer not yet given was decided with that answer, never read from
a list. `look` judges a case without its account, as cheaply as can be; everything else is built on
cases with something more in them.

Files: `look` (a case judged) · `replies` (one more answer or entry in a case) · `thresholds` (which
numbers are worth trying) · `records` (entries of the record that a question waits for) · `asks`
(open questions with every answer they may have) · `effects` (two judged cases beside each other)
· `answers` (what each answer would change) · `cones` (on what open rules still wait) · `goal` (how
far a case could be settled, and what is in the way) · `settle` (a smallest set of answers)
· `unmoved` (what no answer can change) · `branches` (the table for the session) · `closing` (three
answers, and the record for the next visit) · `contact` (the patient rings).
"""
