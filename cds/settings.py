"""Settings from the environment, and where the rule book is.

Every setting is one variable that starts with `FEATHEREDGE_`; `VARIABLES` lists them all with what
they mean. Wrong values are collected and refused together, before anything starts; a variable whose
name is nearly one of ours is refused too, since a misspelt name would silently leave the default.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from cds.problems import FeatheredgeError, Problem, ProblemsError

PREFIX = "FEATHEREDGE_"
PACKAGE = Path(__file__).resolve().parent

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8642
DEFAULT_MAX_BODY = 262_144  # 256 KiB: about ten times the largest sensible case
LOG_LEVELS = ("debug", "info", "warning", "error")

VARIABLES: Mapping[str, str] = {
    "FEATHEREDGE_RULES": "folder of the rule book; default: the one in the package or checkout",
    "FEATHEREDGE_HOST": f"address to listen on; default {DEFAULT_HOST}",
    "FEATHEREDGE_PORT": f"TCP port, 0 takes a free one; default {DEFAULT_PORT}",
    "FEATHEREDGE_GUARDED": "yes: what stands in front keeps others out, so an address that other "
    "machines can reach may be served; default no",
    "FEATHEREDGE_MAX_BODY": f"largest request body in bytes; default {DEFAULT_MAX_BODY}",
    "FEATHEREDGE_LOG_LEVEL": f"one of {', '.join(LOG_LEVELS)}; default info",
}

_HOST_NAME = re.compile(
    r"(?=.{1,253}$)[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?(\.[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?)*"
)


class SettingsError(ProblemsError):
    """The environment was refused. Each problem's `pointer` is `/` and the variable's name."""

    def __str__(self) -> str:
        return "; ".join(problem.message for problem in self.problems)


class RulesNotFoundError(FeatheredgeError):
    """No rule book was named, none is in the package, and none lies beside it."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What a running service or command needs to know from outside.

    `rules`: the rule book's folder, or None when the default place is to be used (see
    `find_rules`). `port` 0 to 65535, 0 meaning any free one. `max_body` in bytes. `log_level` one
    of `LOG_LEVELS`. `guarded`: something in front of the service (a proxy, a container's published
    port) keeps others out.
    """

    rules: Path | None = None
    host: str = DEFAULT_HOST
    port: int = DEFAULT_PORT
    max_body: int = DEFAULT_MAX_BODY
    log_level: str = "info"
    guarded: bool = False

    def rules_folder(self) -> Path:
        """The rule book to use. Raises `RulesNotFoundError` where there is none."""
        return find_rules(self.rules)


def find_rules(chosen: Path | None = None, package: Path = PACKAGE) -> Path:
    """The rule book's folder: the chosen one, else the packaged one, else the checkout's `rules`.

    A chosen folder is returned as it is, even if it does not exist: the reader says what is wrong
    with it. Raises `RulesNotFoundError` where nothing was chosen and no default exists.
    """
    if chosen is not None:
        return chosen
    for folder in (package / "_rules", package.parent / "rules"):
        if folder.is_dir():
            return folder
    raise RulesNotFoundError("no rule book found: name its folder in FEATHEREDGE_RULES")


def read_settings(environ: Mapping[str, str]) -> Settings:
    """Settings from the variables in `environ` (`os.environ`, or any mapping).

    An empty value counts as absent. Raises `SettingsError` with every problem found.
    """
    problems = _misspelt(environ)

    def refuse(name: str, message: str, advice: str | None = None) -> None:
        problems.append(
            Problem("setting", f"{PREFIX}{name} {message}", pointer=f"/{PREFIX}{name}", help=advice)
        )

    def text(name: str) -> str:
        return environ.get(PREFIX + name, "").strip()

    def whole(name: str, default: int, low: int, high: int) -> int:
        given = text(name)
        if not given:
            return default
        # int() alone would also take `1_000`, `+5` and digits of other scripts.
        if not re.fullmatch(r"[0-9]{1,12}", given) or not low <= int(given) <= high:
            linked = given.startswith("tcp://")
            refuse(
                name,
                f"must be a whole number from {low} to {high}, not `{given}`",
                "a cluster's service links set this variable; turn them off" if linked else None,
            )
            return default
        return int(given)

    rules = Path(text("RULES")) if text("RULES") else None
    if rules is not None and not rules.is_dir():
        refuse("RULES", f"must name an existing folder, not `{rules}`")
    host = text("HOST") or DEFAULT_HOST
    if not _is_host(host):
        refuse("HOST", f"must be an address or a host name, not `{host}`")
    port = whole("PORT", DEFAULT_PORT, 0, 65_535)
    max_body = whole("MAX_BODY", DEFAULT_MAX_BODY, 1_024, 16_777_216)
    log_level = text("LOG_LEVEL").lower() or "info"
    if log_level not in LOG_LEVELS:
        refuse("LOG_LEVEL", f"must be one of {', '.join(LOG_LEVELS)}, not `{log_level}`")
    guarded = text("GUARDED").lower() or "no"
    if guarded not in ("yes", "no"):
        refuse("GUARDED", f"must be yes or no, not `{guarded}`")
    if problems:
        raise SettingsError(problems)
    return Settings(
        rules=rules,
        host=host,
        port=port,
        max_body=max_body,
        log_level=log_level,
        guarded=guarded == "yes",
    )


def _is_host(value: str) -> bool:
    try:
        ipaddress.ip_address(value)
    except ValueError:
        # Digits and dots only is a mistyped address, not a name.
        return bool(_HOST_NAME.fullmatch(value)) and not re.fullmatch(r"[0-9.]+", value)
    return True


def _misspelt(environ: Mapping[str, str]) -> list[Problem]:
    """Names of ours that are nearly, but not quite, a setting."""
    endings = [name.removeprefix(PREFIX) for name in VARIABLES]
    found = []
    for name in environ:
        if not name.startswith(PREFIX) or name in VARIABLES:
            continue
        if near := get_close_matches(name.removeprefix(PREFIX), endings, n=1, cutoff=0.8):
            found.append(
                Problem(
                    "setting",
                    f"{name} is not a setting",
                    pointer=f"/{name}",
                    help=f"did you mean {PREFIX}{near[0]}?",
                )
            )
    return found
