"""Parts that a machine may lack: tests skip with the reason, or fail where the part was promised.

`FEATHEREDGE_REQUIRE` is a comma list of parts that must be there (continuous integration sets it).
Names that no probe knows are let pass, so that one list serves older and newer checkouts.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def external_folder(environ: Mapping[str, str] = os.environ) -> Path:
    """Where published test data lies; it is not part of this repository."""
    return Path(environ.get("FEATHEREDGE_EXTERNAL") or ROOT / "../shared/external").resolve()


def _lacks_external() -> str | None:
    folder = external_folder()
    return None if folder.is_dir() else "external test data is not on this machine"


def _lacks_durable() -> str | None:
    try:
        import durable.lang  # noqa: F401, PLC0415 (the probe is the import)
    except ImportError as error:
        return f"durable-rules cannot be imported ({type(error).__name__})"
    return None


def _lacks_browser() -> str | None:
    try:
        import axe_playwright_python  # noqa: F401, PLC0415 (the probe is the import)
        import playwright.sync_api  # noqa: F401, PLC0415
    except ImportError as error:
        return f"{error.name} is not installed"
    named = os.environ.get("FEATHEREDGE_BROWSER")
    if named and not shutil.which(named):
        return "FEATHEREDGE_BROWSER names no program"
    found = named or any(shutil.which(name) for name in BROWSERS)
    return None if found else f"no browser is installed (one of {', '.join(BROWSERS)})"


# Part -> a probe that says why it is missing, or None.
PROBES: dict[str, Callable[[], str | None]] = {
    "external": _lacks_external,
    "durable": _lacks_durable,
    "browser": _lacks_browser,
}


def required(environ: Mapping[str, str] = os.environ) -> frozenset[str]:
    """The parts that must be there."""
    names = environ.get("FEATHEREDGE_REQUIRE", "").split(",")
    return frozenset(name.strip() for name in names if name.strip())


def absent(part: str, reason: str, environ: Mapping[str, str] = os.environ) -> None:
    """Skip the test or module for `reason`, or fail it where `part` was promised."""
    if part in required(environ):
        pytest.fail(f"`{part}` is required here but missing: {reason}", pytrace=False)
    pytest.skip(f"{part}: {reason}", allow_module_level=True)


def require(part: str, environ: Mapping[str, str] = os.environ) -> None:
    """Go on only if `part` is there. Works inside a test and at the top of a module."""
    if reason := PROBES[part]():
        absent(part, reason, environ)


def external(*names: str) -> Path:
    """A file or folder of the external test data; skips or fails where it is missing."""
    require("external")
    path = external_folder().joinpath(*names)
    if not path.exists():
        absent("external", f"{'/'.join(names)} is not among the external test data")
    return path
