"""Exit codes of the command, documented here and in its help."""

from __future__ import annotations

OK = 0
"""Done. For `advise`: an advice was printed, whatever it says (unless --exit-status was given)."""

REFUSED = 1
"""The case or the rule book has errors; all of them were printed."""

USAGE = 2
"""The command line itself was wrong."""

NO_RULES = 3
"""The rule book in use does not load, so nothing could be advised or served."""

UNREADABLE = 4
"""A file could not be read or written."""

ASK_FIRST = 10
"""`advise --exit-status`: a held limit decides; answers are needed first."""

STOPPED = 20
"""`advise --exit-status`: hands-on care is stopped by a fired rule."""

TABLE = (
    (OK, "done"),
    (REFUSED, "the case or rule book was refused; every problem was printed"),
    (USAGE, "wrong command line"),
    (NO_RULES, "the rule book in use does not load"),
    (UNREADABLE, "a file could not be read or written"),
    (ASK_FIRST, "advise --exit-status: answers are needed first"),
    (STOPPED, "advise --exit-status: stopped by a fired rule"),
)
