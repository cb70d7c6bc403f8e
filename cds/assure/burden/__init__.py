"""How much a rule book asks, and how often it interrupts, over an invented population.

The idea: a population is declared in YAML, every number with its source or marked as common
practice. A seeded generator draws patients and visits from it. Each visit is decided by the book
with everything answered (how often does it interrupt, refer, stay unsettled), and for some of the
visits the dialogue is played: the first open question is asked, answered from the patient, and the
case decided again, until hands-on care, then thrust, depend on no further answer. Goals stand
beside the figures. Nothing is timed, and one seed gives the same report everywhere.

Files: `population` (the declaration) · `population_reading` (YAML to it, problems by place) ·
`draw` (patients and visits) · `dialogue` (one visit, question by question) · `applicable` (answers
that apply) · `milestones` (what is settled by then) · `measure` (the counts) · `intervals` (Wilson)
· `goals` (what is aimed at) · `report` (Markdown) · `__main__` (the script).
"""
