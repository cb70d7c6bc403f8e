"""What the README shows is what the command says today."""

import io
import re
from pathlib import Path

from rich.console import Console

from cds.cli.casefile import read_case_data
from cds.cli.render import render
from cds.decide import Decider
from cds.rulebook.vetting import load_program
from cds.vocabulary.reading import read_case

ROOT = Path(__file__).parents[2]


def blocks(text: str) -> list[str]:
    """The parts of the shown answer, between blank lines."""
    return [part.strip("\n") for part in text.split("\n\n")]


def test_the_answer_in_the_readme_is_a_real_one() -> None:
    """Each block of the shown answer stands word for word in the printed advice, in that order."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(r"<!-- answer: (\S+) -->\n```\n(.*?)\n```", readme, re.DOTALL)
    assert found is not None
    decider = Decider(load_program(ROOT / "rules"))
    case = read_case(decider.vocabulary, read_case_data(str(ROOT / found[1])))
    out = io.StringIO()
    render(decider.decide(case), Console(file=out, width=96, highlight=False))
    printed = out.getvalue()
    at = 0
    for block in blocks(found[2]):
        at = printed.index(block, at)


def test_the_commands_in_the_readme_exist() -> None:
    """Every `make` target and linked file of the README is there."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    for target in set(re.findall(r"^make (\w+)|`make (\w+)`", readme, re.MULTILINE)):
        name = target[0] or target[1]
        assert re.search(rf"^{name}:", makefile, re.MULTILINE), name
    for link in re.findall(r"\]\(([^)#:]+)\)", readme):
        assert (ROOT / link).exists(), link
