"""Shared test set-up: properties are tried the same way in every run.

Set `HYPOTHESIS_PROFILE=explore` to search with fresh random examples, many more of them.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# Deadlines measure the machine, not the code: this suite shares two cores with itself.
settings.register_profile("steady", deadline=None, derandomize=True, print_blob=True, database=None)
settings.register_profile(
    "explore",
    deadline=None,
    max_examples=5_000,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))
