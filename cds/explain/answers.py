"""Which answers counted, which are stale, missing or rejected, each with age and reason."""

from __future__ import annotations

