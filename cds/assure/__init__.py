"""What can be said of a rule book beyond that it is well formed.

The idea: a book may pass every check and still be unusable in a clinic. The parts here run whole
books over invented patients and count what comes out, or print a book so that people who never
programmed can judge it. They read books and cases through the same doors as everybody else and
change neither.

Files: `exercised` (which fixtures exercise a rule).

Folders: `burden` (how much a book asks and how often it interrupts) · `report` (the book in plain
words, one page for governance to sign).
"""
