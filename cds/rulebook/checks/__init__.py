"""What must be true of a rule book before it is compiled: everything the language promises.

Idea: the promises of the language (an answer only narrows, more care never leads to less, left and
right alike, no conflict when a case is decided) are properties of the book, so they are shown once,
of the book, and never repaired while deciding. Each pass looks for one kind of mistake, passes over
what another pass reports, and yields every mistake with its place and what to do about it. A pass
takes the shaped `Book` and gives problems; nothing is changed.

Files: `passes` (the list of passes, `check_book`) · `subjects` (what a test or write is about)
· `names` · `scopes` (levels, sides) · `operands` (operators and values) · `units` · `evidence`
· `vocabulary` (blocks, voiding, applies_when) · `visit` · `positional` · `holds` · `phases`
· `cycles` with `circles` · `direction` · `single` and `reach` with `ranges` (which answers make a
test true)
· `sides` · `today` · `texts` (placeholders) · `unused` · `mirror` (the compiled book against its
mirror).
The codes stand in `cds.rulebook.check_codes`.
"""

from cds.rulebook.checks.mirror import mirror_problems
from cds.rulebook.checks.passes import check_book

__all__ = ["check_book", "mirror_problems"]
