"""Imports modules of ours, each where nothing of ours is loaded but what it imports itself.

`python -m tests.imported_alone NAME …`, every name after those it needs. A module runs once; whoever imports
it later gets it as it is, without what it imports in turn.
"""

from __future__ import annotations

import importlib
import sys
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from importlib.util import spec_from_loader
from types import ModuleType


class _HaveRun(MetaPathFinder, Loader):
    """Finds the modules that have run already, and does not run them again."""

    def __init__(self) -> None:
        self.modules: dict[str, ModuleType] = {}

    def find_spec(self, name: str, *_: object) -> ModuleSpec | None:
        return spec_from_loader(name, self) if name in self.modules else None

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        return self.modules[spec.name]

    def exec_module(self, module: ModuleType) -> None:
        """Nothing is left to do."""


def _forget(top: str) -> None:
    """Of all modules below, none is loaded, and none is an attribute of its package."""
    for name in [module_name for module_name in sys.modules if module_name.split(".")[0] == top]:
        package, _, leaf = name.rpartition(".")
        if package in sys.modules and getattr(sys.modules[package], leaf, None) is sys.modules[name]:
            delattr(sys.modules[package], leaf)
    for name in [module_name for module_name in sys.modules if module_name.split(".")[0] == top]:
        del sys.modules[name]


def _import_each(names: list[str]) -> None:
    have_run = _HaveRun()
    sys.meta_path.insert(0, have_run)
    for name in names:
        top = name.split(".")[0]
        _forget(top)
        module = importlib.import_module(name)
        early = {module_name for module_name in sys.modules if module_name.split(".")[0] == top} - {
            name,
            *have_run.modules,
        }
        assert not early, f"{name} runs {', '.join(sorted(early))}, which the order does not have before it"
        have_run.modules[name] = module


if __name__ == "__main__":
    _import_each(sys.argv[1:])
