"""Imports run one way, and the inner layers touch neither disk nor clock.

Read from the syntax trees of the sources, so that an import inside a function or under
TYPE_CHECKING counts as well.
"""

from __future__ import annotations

import ast
import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import armbot

if TYPE_CHECKING:
    from collections.abc import Iterator

PACKAGE = Path(armbot.__file__).parent
SHELL = "shell"
"""Modules right in the package: they wire, and nothing below imports them."""

MAY_IMPORT = {
    "model": {"model"},
    "core": {"core", "model"},
    "language": {"language", "model", "core"},
    "content": {"content", "model", "core", "language"},
    "engine": {"engine", "model", "core", "language"},
    "desk": {"desk", "model", "core", "language", "engine"},
    "store": {"store", "model"},
    "channels": {"channels", "model", "engine"},
    "pictures": {"pictures", "model", "core", "engine"},
    "calendars": {"calendars", "model", "core", "engine"},
    SHELL: {
        *(SHELL, "model", "core", "language", "content", "engine", "desk", "store", "channels"),
        *("pictures", "calendars"),
    },
}
"""Each layer, and the layers it may import.

The content check compiles the word lists and runs the rule cases, so content may use
language and core; nothing of those may use content.
"""
LANGUAGE_USES_OF_CORE = {"armbot.core.triage"}
"""Reading a message ends in a tier; that rule is core, and all that language needs of it."""

ONLY_IN = {
    "yaml": {"armbot.content.strict"},
    "tinydb": {"armbot.store.tiny"},
    "textstat": {"armbot.content.readability"},
    "rapidfuzz": {"armbot.language.spelling"},
    "sklearn": {"armbot.content.learning"},
    "cattrs": {"armbot.store.records"},
    "apscheduler": {"armbot.ticker"},
}
"""Each third-party package, and the one module that may import it."""
IN_FOLDER = {
    "telegram": "armbot.channels.telegram.",
    "aiohttp": "armbot.channels.telegram.",
    "yarl": "armbot.channels.telegram.",
    "matplotlib": "armbot.pictures.",
    "icalendar": "armbot.calendars.",
}
"""Packages that a channel, the pictures and the calendars are made with, and their folders."""

PURE = ("model", "core", "language", "engine", "desk")
"""Layers without disk, clock, network or chance."""
IMPURE_MODULES = {"os", "io", "pathlib", "random", "secrets", "socket", "subprocess", "time"}
IMPURE_MODULES |= {"urllib", "http", "tempfile", "shutil", "threading", "logging", "sys"}
IMPURE_CALLS = {"open", "print", "input", "datetime.now", "datetime.today", "date.today"}
IMPURE_CALLS |= {"datetime.utcnow", "datetime.datetime.now", "datetime.date.today"}


@dataclass(frozen=True, slots=True)
class Source:
    """One module and its syntax tree."""

    name: str
    layer: str
    tree: ast.Module

    def imports(self) -> Iterator[tuple[str, int]]:
        """Every module imported, with its line."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Import):
                yield from ((alias.name, node.lineno) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0, f"{self.name}:{node.lineno}: relative import"
                yield from self._imported_from(node)

    @staticmethod
    def _imported_from(node: ast.ImportFrom) -> Iterator[tuple[str, int]]:
        """``from armbot import x`` imports the module armbot.x, where there is one."""
        module = node.module or ""
        for alias in node.names:
            inner = f"{module}.{alias.name}"
            is_module = _path(inner).is_file() or (_path(inner).with_suffix("")).is_dir()
            yield (inner if is_module else module), node.lineno

    def calls(self) -> Iterator[tuple[str, int]]:
        """Every function called by a plain dotted name, with its line."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Call):
                yield ast.unparse(node.func), node.lineno


def _path(module: str) -> Path:
    return PACKAGE.parent.joinpath(*module.split(".")).with_suffix(".py")


def layer_of(module: str) -> str:
    """The layer a module of ours belongs to; the package itself counts as model."""
    parts = module.split(".")
    if len(parts) == 1:
        return "model"  # armbot/__init__.py holds the version and imports nothing
    return parts[1] if (PACKAGE / parts[1]).is_dir() else SHELL


def source_of(text: str, name: str) -> Source:
    """A module as the checks see it."""
    return Source(name, layer_of(name), ast.parse(text))


@cache
def sources() -> tuple[Source, ...]:
    """Every module of the package."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        name = ".".join(part for part in parts if part != "__init__")
        found.append(source_of(path.read_text("utf-8"), name))
    return tuple(found)


def wrong_arrows(source: Source) -> list[str]:
    """Imports against the direction of the layers."""
    found = []
    for module, line in source.imports():
        if module.split(".")[0] != "armbot":
            continue
        layer = layer_of(module)
        allowed = layer in MAY_IMPORT[source.layer]
        if source.layer == "language" and layer == "core":
            allowed = module in LANGUAGE_USES_OF_CORE
        if not allowed:
            found.append(f"{source.name}:{line} imports {module}")
    return found


def strangers(source: Source) -> list[str]:
    """Third-party imports outside their one module."""
    found = []
    for module, line in source.imports():
        top = module.split(".")[0]
        if top == "armbot" or top in sys.stdlib_module_names:
            continue
        folder = IN_FOLDER.get(top)
        if folder and source.name.startswith(folder):
            continue
        if source.name not in ONLY_IN.get(top, set()):
            found.append(f"{source.name}:{line} imports {module}")
    return found


def impurities(source: Source) -> list[str]:
    """What a pure layer must not do."""
    used = [(m, n) for m, n in source.imports() if m.split(".")[0] in IMPURE_MODULES]
    used += [(c, n) for c, n in source.calls() if c in IMPURE_CALLS]
    return [f"{source.name}:{line} uses {name}" for name, line in used]


def test_every_layer_is_known() -> None:
    """A new folder has to be given its place here."""
    assert {source.layer for source in sources()} <= set(MAY_IMPORT)


def test_imports_run_one_way() -> None:
    """The order: model <- core, language, content <- engine, desk <- store, channels <- shells."""
    assert [arrow for source in sources() for arrow in wrong_arrows(source)] == []


def test_third_party_packages_have_one_door() -> None:
    """So that any of them can be replaced in one file."""
    assert [stranger for source in sources() for stranger in strangers(source)] == []


@pytest.mark.parametrize("package", IN_FOLDER)
def test_each_folder_door_is_used(package: str) -> None:
    """As for single modules."""
    imports = ((source.name, module) for source in sources() for module, _ in source.imports())
    users = {name for name, module in imports if module.split(".")[0] == package}
    assert users
    assert all(name.startswith(IN_FOLDER[package]) for name in users)


@pytest.mark.parametrize("package", ONLY_IN)
def test_each_door_is_used(package: str) -> None:
    """A rule about a module that is gone would guard nothing."""
    imports = ((source.name, module) for source in sources() for module, _ in source.imports())
    users = {name for name, module in imports if module.split(".")[0] == package}
    assert users == ONLY_IN[package]


def test_the_inner_layers_are_pure() -> None:
    """The time is passed in, the content is passed in, and nothing is read or written."""
    inner = [source for source in sources() if source.layer in PURE]
    assert inner
    assert [found for source in inner for found in impurities(source)] == []


@pytest.mark.parametrize(
    ("name", "text", "check"),
    [
        ("armbot.core.x", "from armbot.engine.say import Voice", wrong_arrows),
        ("armbot.core.x", "from armbot import cli", wrong_arrows),
        ("armbot.engine.x", "def f():\n    import armbot.store.tiny", wrong_arrows),
        ("armbot.language.x", "from armbot.core.rest import rest", wrong_arrows),
        ("armbot.store.x", "from armbot.app import change", wrong_arrows),
        ("armbot.engine.x", "import yaml", strangers),
        ("armbot.store.x", "if TYPE_CHECKING:\n    from requests import get", strangers),
        ("armbot.serve", "import telegram", strangers),
        ("armbot.core.x", "import time", impurities),
        ("armbot.model.x", "from pathlib import Path", impurities),
        ("armbot.engine.x", "now = datetime.now(tz=UTC)", impurities),
        ("armbot.language.x", "with open('x') as f: pass", impurities),
    ],
)
def test_the_checks_see_a_breach(name: str, text: str, check: object) -> None:
    """Each check fails on a module written to break its rule."""
    assert callable(check)
    assert check(source_of(text, name))
