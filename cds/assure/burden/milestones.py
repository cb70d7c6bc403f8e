"""When a dialogue has got somewhere: today's path, or the limit of thrust, is settled."""

from __future__ import annotations

from cds.vocabulary.advice import Advice


def path_settled(advice: Advice, owed: bool) -> bool:
    """Settled, and no owed answer could still move the path, be it down or up.

    Down alone is not enough: a path that fired rules keep low is not what a therapist asks for.
    """
    if advice["status"] == "stopped":
        return True
    path = advice["path"]["up_to"]
    still = owed and path["most_careful"] != path["least_careful"]
    return advice["status"] == "settled" and not still


def thrust_settled(advice: Advice) -> bool:
    """No answer could still move the limit of thrust of the case or of a level."""
    return all(
        limit["most"]["most_careful"] == limit["most"]["least_careful"]
        for limit in advice["limits"]
        if limit["family"] == "thrust"
    )
