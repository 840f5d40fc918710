"""A docstring that names parameters names those that the function has; every public function has one."""

import importlib
import inspect
import pkgutil
import re

import pytest

import asfound

ROOMS = [
    "quantity",
    "shutter",
    "focus",
    "springs",
    "shape",
    "teardown",
    "job",
    "plots",
    "capture",
    "book",
    "report",
    "bench",
]


def modules():
    for room in ROOMS:
        package = importlib.import_module(f"{asfound.__name__}.{room}")
        yield package.__name__
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if ".migrations." not in found.name and not found.name.endswith(".env"):
                yield found.name


def public_functions(name):
    module = importlib.import_module(name)
    for function_name, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ == name and not function_name.startswith("_"):
            yield function


def documented(docstring):
    """Return the names in the section "Parameters" of a numpydoc docstring, or None without one."""
    lines = inspect.cleandoc(docstring).splitlines()
    if "Parameters" not in lines:
        return None
    names = []
    for line, following in zip(
        lines[lines.index("Parameters") + 2 :], [*lines[lines.index("Parameters") + 3 :], ""], strict=True
    ):
        if following.startswith("---"):
            break
        if line and not line.startswith(" "):
            names += [name.lstrip("*") for name in re.split(r",\s*", line.split(" :")[0])]
    return names


@pytest.mark.parametrize("module", list(modules()))
def test_public_functions_are_documented_as_they_are(module):
    for function in public_functions(module):
        assert function.__doc__, f"{module}.{function.__name__} has no docstring"
        named = documented(function.__doc__)
        if named is not None:
            unknown = set(named) - set(inspect.signature(function).parameters)
            assert not unknown, f"{module}.{function.__name__} documents {sorted(unknown)}, which it does not have"


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_names_its_public_things_and_defines_nothing(room):
    package = importlib.import_module(f"{asfound.__name__}.{room}")
    assert package.__doc__
    own = [name for name, value in vars(package).items() if getattr(value, "__module__", None) == package.__name__]
    assert own == []
