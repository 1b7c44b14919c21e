"""What a public name of the core promises in its docstring; used by the tests of it.

Every check returns a list of plain sentences, empty when all is well.
"""

import dataclasses
import inspect
import re
import types

# Annotations that hold numbers with axes, and those that hold numbers at all.
ARRAYS = re.compile(r"\b(ArrayLike|Array|NDArray|ndarray|\w+Array)\b")
NUMBERS = re.compile(
    r"\b(ArrayLike|Array|NDArray|ndarray|\w+Array|float|int|complex|Fraction|Decimal)\b"
)
# One notation: base and named SI units, raised dots between, one stroke, superscripts;
# `unit` and `parameter` where a function takes any quantity.
_SYMBOL = r"(?:m|rad|N|Pa|kg|s|Hz|J|K|W|unit|parameter)[⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]*"
_PRODUCT = rf"{_SYMBOL}(?:·{_SYMBOL})*"
UNIT = re.compile(rf"(?:1|{_PRODUCT})(?:/(?:{_PRODUCT}|\({_PRODUCT}\)))?")
BRACKETS = re.compile(r"\[([^\[\]]+)\](?!_)")


def sections(text):
    """Split a numpydoc text into {title: body}."""
    parts = re.split(r"^(\w[\w ]*)\n-{3,}[ ]*$", text or "", flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def entries(body):
    """Return [(header, text), ...]: a line at the margin, what is indented under it."""
    found = []
    for line in body.splitlines():
        if line and not line[0].isspace():
            found.append((line.strip(), []))
        elif line.strip() and found:
            found[-1][1].append(line.strip())
    return [(header, " ".join(lines)) for header, lines in found]


def named_entries(body):
    """Return {name: (kind, text)}; `a, b : kind` counts for both names."""
    found = {}
    for header, text in entries(body):
        names, _, kind = header.partition(" : ")
        for name in names.split(","):
            found[name.strip().lstrip("*")] = (kind, text)
    return found


def annotation(thing):
    """Return an annotation as text, however it was written; empty for none."""
    if thing is inspect.Parameter.empty:
        return ""
    if isinstance(thing, str):
        return thing
    if isinstance(thing, type) and not isinstance(thing, types.GenericAlias):
        return thing.__name__
    return str(thing)


def numbers(kind):
    """Whether an annotation holds numbers; what a callable takes or gives does not."""
    return bool(NUMBERS.search(kind)) and "Callable" not in kind


def unit_faults(where, text):
    """Say what is wrong with the unit that must end `text`."""
    ending = re.search(r"\[([^\[\]]+)\]$", text)
    if not ending:
        return [f"{where} must end with its unit in brackets, as [N·m/rad]; {text!r}"]
    if not UNIT.fullmatch(ending[1]):
        found = f"{where} has the unit [{ending[1]}]; "
        return [found + "use SI and radians as in [N·m/rad], [1] for a plain number"]
    return []


def entry_faults(where, kind, declared, text):
    """Check one documented argument, field or result against its annotation."""
    faults = []
    if ARRAYS.search(declared) and "shape (" not in kind:
        faults.append(f"{where} must say its shape, as 'array_like, shape (...)'")
    if numbers(declared):
        faults += unit_faults(where, text)
    return faults


def argument_faults(function):
    """Check that every argument is documented, with shape and unit."""
    where = function.__qualname__
    parameters = {
        name: annotation(p.annotation)
        for name, p in inspect.signature(function).parameters.items()
        if name not in {"self", "cls"}
    }
    documented = named_entries(sections(inspect.getdoc(function)).get("Parameters", ""))
    faults = [
        f"{where}: argument '{name}' is not under Parameters"
        for name in parameters
        if name not in documented
    ]
    faults += [
        f"{where}: '{name}' is under Parameters but not an argument"
        for name in documented
        if name not in parameters
    ]
    for name, declared in parameters.items():
        if name in documented:
            kind, text = documented[name]
            faults += entry_faults(f"{where}: '{name}'", kind, declared, text)
    return faults


def result_faults(function):
    """Check that what comes back is documented, with shape and unit.

    A result object answers for its own fields; every entry of a tuple needs a unit.
    """
    where = function.__qualname__
    declared = annotation(inspect.signature(function).return_annotation)
    if declared in {"None", "NoneType", "NoReturn", "Never"}:
        return []
    parts = sections(inspect.getdoc(function))
    found = entries(parts.get("Returns", parts.get("Yields", "")))
    if not found:
        return [f"{where} must have a Returns section"]
    if not numbers(declared):
        return []
    if declared.startswith(("tuple[", "list[", "Sequence[", "Mapping[", "dict[")):
        return [
            fault
            for header, text in found
            for fault in _units_within(f"{where}: Returns, '{header}'", text)
        ]
    faults = []
    for header, text in found:
        faults += entry_faults(f"{where}: Returns", header, declared, text)
    return faults


def field_faults(kind):
    """Check that the class docstring lists each field of a dataclass, with its unit."""
    where = kind.__qualname__
    parts = sections(inspect.getdoc(kind))
    listed = named_entries(parts.get("Parameters", "") + parts.get("Attributes", ""))
    faults = []
    for field in dataclasses.fields(kind):
        if field.name.startswith("_"):
            continue
        if field.name not in listed:
            faults.append(f"{where}: field '{field.name}' is not under Attributes")
        elif numbers(annotation(field.type)):
            _, text = listed[field.name]
            faults += unit_faults(f"{where}: field '{field.name}'", text)
    return faults


def method_faults(kind):
    """Check the public methods and properties that a class itself defines.

    A method may be told in a line or two, so long as the line names the unit of what
    comes back; where it lists its arguments, it must list them all, as a function does.
    """
    faults = []
    for name, member in vars(kind).items():
        if name.startswith("_"):
            continue
        where = f"{kind.__qualname__}.{name}"
        if isinstance(member, property):
            faults += _brief_faults(where, member.fget)
            continue
        if isinstance(member, (staticmethod, classmethod)):
            member = member.__func__
        if inspect.isfunction(member):
            parts = sections(inspect.getdoc(member))
            faults += argument_faults(member) if "Parameters" in parts else []
            long = "Returns" in parts
            faults += result_faults(member) if long else _brief_faults(where, member)
    return faults


def _units_within(where, text):
    """Ask for one good unit; other brackets may stand for ranges."""
    found = BRACKETS.findall(text)
    if any(UNIT.fullmatch(unit) for unit in found):
        return []
    if not found:
        return [f"{where} must name its unit in brackets, as [N·m/rad]"]
    return [f"{where} has the unit [{found[-1]}]; use SI and radians as in [N·m/rad]"]


def _brief_faults(where, function):
    text = inspect.getdoc(function)
    if not text:
        return [f"{where} must have a docstring"]
    declared = annotation(inspect.signature(function).return_annotation)
    return _units_within(where, text) if numbers(declared) else []
