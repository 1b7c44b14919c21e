"""What the core promises in its docstrings: every argument, with shape and unit."""

import dataclasses
import importlib
import inspect
import pkgutil
from dataclasses import dataclass

import pytest

import docrules
import splinewise.core

# The door-keeper takes a name and a unit as arguments, and has none of its own.
LEFT_OUT = {"splinewise.core.quantities"}

MODULES = [
    importlib.import_module(found.name)
    for found in pkgutil.walk_packages(splinewise.core.__path__, "splinewise.core.")
    if found.name not in LEFT_OUT
]


def public(wanted):
    """Return each public thing of the core once, where it is defined."""
    return [
        pytest.param(thing, id=f"{module.__name__.removeprefix('splinewise.')}.{name}")
        for module in MODULES
        for name in getattr(module, "__all__", ())
        if wanted(thing := getattr(module, name, None))
        and thing.__module__ == module.__name__
    ]


FUNCTIONS = public(inspect.isfunction)
CLASSES = public(
    lambda thing: inspect.isclass(thing) and dataclasses.is_dataclass(thing)
)


def told(faults):
    """One fault a line, fit to be read without the code at hand."""
    return "\n".join(faults)


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__)
def test_every_module_says_what_it_is_and_what_it_offers(module):
    """A docstring, and an `__all__` of names that exist."""
    offered = getattr(module, "__all__", None)

    assert module.__doc__, f"{module.__name__} has no docstring"
    if not hasattr(module, "__path__"):
        assert offered is not None, f"{module.__name__} has no __all__"
    missing = [name for name in offered or () if not hasattr(module, name)]
    assert not missing, f"{module.__name__}: __all__ names what is not there: {missing}"


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_argument_has_its_shape_and_unit(function):
    """Names match the signature; each number ends with its unit, each array its shape."""
    faults = docrules.argument_faults(function)

    assert not faults, told(faults)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_the_result_has_its_shape_and_unit(function):
    """The Returns section says both, too; a result object says it field by field."""
    faults = docrules.result_faults(function)

    assert not faults, told(faults)


@pytest.mark.parametrize("kind", CLASSES)
def test_every_field_has_its_unit(kind):
    """The class docstring lists each field of a dataclass under Attributes."""
    faults = docrules.field_faults(kind)

    assert not faults, told(faults)


@pytest.mark.parametrize("kind", CLASSES)
def test_every_method_and_property_has_its_unit(kind):
    """Methods are held to what functions are; a property names its unit."""
    faults = docrules.method_faults(kind)

    assert not faults, told(faults)


# ---- the rules themselves: each must catch what it is there for ----


def good(length: "ArrayLike", count: int, label: str, *rates: float) -> "Array":  # noqa: F821
    """Do a thing.

    Parameters
    ----------
    length : array_like, shape (...)
        A length, from the first [1]_. [m]
    count : int
        How many. [1]
    label : str
        A word.
    *rates : float
        Rates. [N·m/rad]

    Returns
    -------
    ndarray, shape (...)
        A thing. [kg·m/s²]

    References
    ----------
    .. [1] A book.
    """


def two() -> "tuple[Array, NDArray[np.float64]]":  # noqa: F821
    """Return two things.

    Returns
    -------
    first : ndarray, shape (...)
        One. [m]
    second : ndarray, shape (...)
        Another. [rad]
    """


def edited(function, old, new):
    """Copy of a function whose docstring was changed."""
    assert old in function.__doc__

    def copy():
        pass

    copy.__doc__ = function.__doc__.replace(old, new)
    copy.__signature__ = inspect.signature(function)
    copy.__qualname__ = "edited"
    return copy


@pytest.mark.parametrize("function", [good, two])
def test_the_rules_pass_what_is_right(function):
    """Neither checker finds fault with a complete docstring."""
    assert docrules.argument_faults(function) == []
    assert docrules.result_faults(function) == []


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("[1]_. [m]", "[1]_.", "'length' must end with its unit"),
        ("[1]_. [m]", "[1]_. [mm]", r"'length' has the unit \[mm\]"),
        ("array_like, shape (...)", "array_like", "'length' must say its shape"),
        ("How many. [1]", "How many.", "'count' must end with its unit"),
        ("[N·m/rad]", "[N m/rad]", r"'rates' has the unit \[N m/rad\]"),
        ("label : str", "lable : str", "'label' is not under Parameters"),
        ("label : str", "lable : str", "'lable' is under Parameters but not"),
    ],
)
def test_the_rules_catch_a_poor_argument(old, new, fault):
    """A missing or misspelt name, shape or unit is told by name."""
    with pytest.raises(AssertionError, match=fault):
        test_every_argument_has_its_shape_and_unit(edited(good, old, new))


@pytest.mark.parametrize(
    ("function", "old", "new", "fault"),
    [
        (good, "Returns\n", "Remarks\n", "must have a Returns section"),
        (good, "ndarray, shape (...)", "ndarray", "must say its shape"),
        (good, "thing. [kg·m/s²]", "thing.", "must end with its unit"),
        (good, "[kg·m/s²]", "[°]", r"has the unit \[°\]"),
        (two, "Another. [rad]", "Another.", "'second : .*' must name its unit"),
        (two, "Another. [rad]", "Another. [deg]", r"has the unit \[deg\]"),
    ],
)
def test_the_rules_catch_a_poor_result(function, old, new, fault):
    """Likewise for what comes back."""
    with pytest.raises(AssertionError, match=fault):
        test_the_result_has_its_shape_and_unit(edited(function, old, new))


def test_the_rules_catch_a_poor_class():
    """A field left out, a field without unit, a property without unit."""

    @dataclass(frozen=True)
    class Poor:
        """Hold things.

        Attributes
        ----------
        mass : float
            Mass.
        """

        mass: float
        length: float

        @property
        def double(self) -> float:
            """Twice the mass."""
            return 2.0 * self.mass

    with pytest.raises(AssertionError, match="'mass' must end with its unit") as found:
        test_every_field_has_its_unit(Poor)
    assert "'length' is not under Attributes" in str(found.value)
    with pytest.raises(AssertionError, match=r"Poor\.double must name its unit"):
        test_every_method_and_property_has_its_unit(Poor)
