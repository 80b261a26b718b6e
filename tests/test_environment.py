"""pyproject.toml, environment.yml and the package say the same."""

import re
import tomllib
from pathlib import Path

import airside

TOP = Path(__file__).parents[1]
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
# conda-forge's name of a package, where it is not PyPI's.
CONDA_NAMES = {"matplotlib": "matplotlib-base"}


def normal(requirement: str) -> str:
    """Name and versions without spaces, extras or case."""
    return re.sub(r"\[.*?\]|\s", "", requirement).lower()


def environment() -> tuple[list[str], list[str]]:
    """What environment.yml asks of conda, and what of pip."""
    lines = (TOP / "environment.yml").read_text(encoding="utf-8").splitlines()
    items = [line for line in lines if line.lstrip().startswith("- ")]
    packages = items[items.index("  - conda-forge") + 1 :]
    split = packages.index("  - pip:")
    return ([p.strip().removeprefix("- ") for p in part] for part in (packages[:split], packages[split + 1 :]))


def test_environment_holds_the_packages_of_pyproject():
    conda, pip = environment()
    wanted = [normal(r) for r in PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]]
    renamed = [re.sub(r"^[\w.-]+?(?=[<>=!~]|$)", lambda m: CONDA_NAMES.get(m[0], m[0]), r) for r in wanted]
    found = [normal(r) for r in (*conda, *pip)]
    extra = {"pip", "-e.", f"python{PROJECT['requires-python']}"}
    assert sorted(found) == sorted([*renamed, *extra])


def test_environment_installs_the_project_last():
    _, pip = environment()
    assert list(pip)[-1] == "-e ."


def test_the_version_is_said_once_and_the_same():
    assert airside.__version__ == PROJECT["version"]


def test_the_command_and_the_public_names_exist():
    module, name = PROJECT["scripts"]["airside"].split(":")
    assert callable(getattr(__import__(module, fromlist=[name]), name))
    for public in airside.__all__:
        assert getattr(airside, public) is not None
