"""The example that newcomers copy must itself keep to the rules."""

import doctest
import re
from pathlib import Path

import pytest

from docrules import argument_faults, result_faults
from splinewise.errors import QuantityError

TEXT = (Path(__file__).parent.parent / "CONTRIBUTING.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def stored_energy():
    code = re.search(r"^```python\n(import .+?)^```$", TEXT, re.MULTILINE | re.DOTALL)
    names = {}
    exec(compile(code[1], "CONTRIBUTING.md", "exec"), names)  # noqa: S102  our own page
    return names["stored_energy"]


def test_the_example_has_its_shapes_and_units(stored_energy):
    assert argument_faults(stored_energy) + result_faults(stored_energy) == []


def test_the_example_runs(stored_energy):
    tests = doctest.DocTestFinder().find(
        stored_energy, "example", globs={"stored_energy": stored_energy}, module=False
    )
    results = doctest.DocTestRunner().run(tests[0])

    assert results.attempted == 1
    assert results.failed == 0
    with pytest.raises(QuantityError, match="rate must be positive"):
        stored_energy(1.0, 0.0)


def test_every_word_of_dev_py_is_told():
    """The table and the parser name the same words; `test` stands above the table."""
    script = (Path(__file__).parent.parent / "dev.py").read_text(encoding="utf-8")
    words = set(re.findall(r'add_parser\("(\w+)"', script))
    told = set(re.findall(r"^\| `(\w+)` \|", TEXT, re.MULTILINE))

    assert words == told | {"test"}
