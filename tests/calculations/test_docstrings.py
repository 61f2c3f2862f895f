"""Every public function of the calculation module says what it takes, gives and rests on, and shows it."""

import ast
import re
from itertools import pairwise
from pathlib import Path

import pytest

from vehicles import calculations

FOLDER = Path(calculations.__file__).parent
UNIT = re.compile(r"\[[^\]\n]{1,60}\]")
NOTHING = re.compile(r"\[\]|\(\)|None")


def functions():
    return [
        pytest.param(ast.get_docstring(node) or "", id=f"{file.stem}.{node.name}")
        for file in sorted(FOLDER.glob("*.py"))
        for node in ast.parse(file.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


def prose(text):
    """A docstring without its examples: brackets in those are lists."""
    lines = text.splitlines()
    return "\n".join(line for line in lines if not line.lstrip().startswith((">>>", "...", "[", "(", "{", "'")))


@pytest.mark.parametrize("text", functions())
def test_a_public_function_has_units_a_source_and_an_example(text):
    assert UNIT.search(prose(text)), "no unit in brackets; [-] stands for what has none"
    assert re.search(r"Source: \S", text), "no source; “our own rule” is one"
    assert ">>> " in text, "no example"


@pytest.mark.parametrize("text", functions())
def test_an_example_shows_more_than_nothing(text):
    """`windows(hours=[])` that gives `()` holds for any function that gives back its own emptiness."""
    lines = [line.strip() for line in text.splitlines()]
    shown = [
        line
        for before, line in pairwise(lines)
        if before.startswith((">>> ", "... ")) and line and not line.startswith((">>> ", "... "))
    ]
    assert any(not NOTHING.fullmatch(line) for line in shown)


def test_what_only_its_own_file_uses_is_private():
    """A name that nobody else says is no part of the surface."""
    root = FOLDER.parent.parent
    texts = {
        file: file.read_text(encoding="utf-8")
        for folder in ("vehicles", "jobs", "testing", "certificates", "tests")
        for file in (root / folder).rglob("*.py")
    }
    for param in functions():
        home, name = param.id.split(".")
        said = re.compile(rf"\b{name}\b")
        elsewhere = (file for file, text in texts.items() if file != FOLDER / f"{home}.py" and said.search(text))
        assert any(elsewhere), param.id
