"""Run all benchmarks, or those whose names are given; end with 1 where a target is missed."""

from __future__ import annotations

import sys
from importlib import import_module
from pkgutil import iter_modules

import tests.benchmarks as package


def main(names: list[str]) -> int:
    """Print every figure of the named modules, or of all."""
    known = [m.name for m in iter_modules(package.__path__) if m.name != "__main__"]
    modules = [(name, import_module(f"{package.__name__}.{name}")) for name in names or known]
    missed = 0
    for name, module in modules:
        if not hasattr(module, "measure"):
            continue
        print(name.replace("_", " "))
        for figure in module.measure():
            print(f"  {figure.name:<58}{figure.value:>10.4g} {figure.unit:<10}{figure.verdict}", flush=True)
            missed += not figure.met
    print(f"{missed} target(s) missed" if missed else "all targets met")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
