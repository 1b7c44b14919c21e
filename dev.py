#!/usr/bin/env python3
"""Everything a developer runs, by one word: `python3 dev.py WORD`.

It needs Python 3.11 or newer and nothing else; what the rest needs it installs into
`.venv` beside itself, at the versions and hashes pinned in `requirements/`.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "splinewise-stamp.json"
PINS = ROOT / "requirements"
# Each level holds all that the levels before it hold.
LEVELS = {"demo": ("run", "build"), "test": ("run", "build", "test")}

CHECKS = {
    "ruff": ["ruff", "check", "."],
    "format": ["ruff", "format", "--check", "."],
    "types": ["mypy"],
    "imports": ["lint-imports"],
}
TESTS = ["pytest", "--no-skips"]
QUICK = ["pytest", "-m", "not slow"]


class SetUpError(Exception):
    """The environment cannot be made; the message says what to do."""


def main() -> int:
    """Run one verb; return its exit code."""
    parser = argparse.ArgumentParser(description=__doc__, allow_abbrev=False)
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="WORD")
    verbs.add_parser("demo", help="set up, then run the main job on the demo car")
    verbs.add_parser("test", help="set up, then every check and every test")
    quick = "the checks, and the quick tests; what follows is given to pytest"
    verbs.add_parser("quick", help=quick)
    lint = verbs.add_parser("lint", help="the checks without the tests")
    lint.add_argument("name", nargs="*", help="only these: " + ", ".join(CHECKS))
    bench = verbs.add_parser("bench", help="time the program beside its peers")
    bench.add_argument("name", nargs="*", help="only these scripts of bench/")
    pins = verbs.add_parser("pins", help="resolve requirements/*.txt again")
    pins.add_argument("--upgrade", action="store_true", help="take newer versions")
    verbs.add_parser("clean", help="remove .venv and all that runs leave behind")
    asked, more = parser.parse_known_args()
    if more and asked.verb != "quick":
        parser.error(f"{asked.verb} does not take {' '.join(more)}")
    if asked.verb == "lint" and (unknown := sorted(set(asked.name) - set(CHECKS))):
        parser.error(f"no check is called {', '.join(unknown)}")

    try:
        return do(asked, more)
    except SetUpError as error:
        print(f"dev.py: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


def do(asked: argparse.Namespace, more: list[str]) -> int:
    """Do what was asked, in an environment that holds what it needs."""
    if asked.verb == "clean":
        return clean()
    if asked.verb == "pins":
        return resolve_pins(upgrade=asked.upgrade)
    set_up("demo" if asked.verb == "demo" else "test")
    if asked.verb == "demo":
        return run_tool(["splinewise", "demo"])
    if asked.verb == "bench":
        return run_benches(asked.name)
    if asked.verb == "lint":
        return run_all({name: CHECKS[name] for name in asked.name or CHECKS})
    if asked.verb == "test":
        return run_all({**CHECKS, "tests": TESTS})
    # A quick run leaves tests out on purpose, wherever it runs.
    os.environ.pop("CI", None)
    return run_all({**CHECKS, "tests": [*QUICK, *more]})


# --- the environment


def set_up(level: str) -> None:
    """Make `.venv` hold at least what `level` needs; do nothing where it does."""
    have = read_stamp()
    if have.get("level") == "test":
        level = "test"  # a demo takes nothing away from a test environment
    want = make_stamp(level)
    if have == want:
        return
    anew = have.get("base") != want["base"]
    if anew:
        make_venv()
    STAMP.unlink(missing_ok=True)  # an interrupted installation leaves no stamp
    if anew or have["level"] != level:
        files = [f"requirements/{name}.txt" for name in LEVELS[level]]
        say(f"installing {' + '.join(files)} (the first time takes a minute or two)")
        pins = [word for file in files for word in ("-r", file)]
        pip("install", "--require-hashes", "--only-binary=:all:", *pins)
    pip("install", "--no-deps", "--no-build-isolation", "--editable", ".")
    run([str(python()), "-m", "compileall", "-q", "src"])
    STAMP.write_text(json.dumps(want, indent=1) + "\n", encoding="utf-8")


def base_key() -> str:
    """Digest of what an environment cannot outlive: place, Python and pins."""
    digest = hashlib.sha256(f"{ROOT}|{sys.version_info[:2]}".encode())
    for file in sorted(PINS.glob("*.txt")):
        digest.update(file.name.encode() + file.read_bytes())
    return digest.hexdigest()


def make_stamp(level: str) -> dict[str, str]:
    """Return what `.venv` holds once `level` is installed."""
    project = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    return {"base": base_key(), "level": level, "project": project}


def read_stamp() -> dict[str, str]:
    """Return what `.venv` says of itself; nothing where it is not whole."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) and python().exists() else {}


def make_venv() -> None:
    """Make an empty `.venv` with the Python that runs this script."""
    if Path(sys.prefix).resolve() == VENV:
        msg = "run this with a Python outside .venv, which must be made anew"
        raise SetUpError(msg)
    say(f"making .venv with Python {sys.version.split()[0]}")
    venv(VENV)


def venv(place: Path) -> None:
    """Make an empty environment with pip at `place`, replacing what is there."""
    try:
        import ensurepip  # noqa: F401  Debian's bare python3 lacks it
        import venv  # noqa: F401
    except ImportError:
        msg = (
            "this Python cannot make a virtual environment: "
            "install its venv module (on Debian or Ubuntu: apt-get install "
            "python3-venv), then run this again"
        )
        raise SetUpError(msg) from None
    if run([sys.executable, "-m", "venv", "--clear", str(place)]):
        msg = f"{place.name} could not be made; the reason stands above"
        raise SetUpError(msg)


def pip(*words: str, environment: Path = VENV) -> None:
    """Run pip in an environment; say so where it fails."""
    quiet = ("--quiet", "--disable-pip-version-check", "--no-input")
    if run([str(python(environment)), "-m", "pip", *words, *quiet]):
        msg = "pip could not install what is pinned; its reason stands above"
        raise SetUpError(msg)


def python(environment: Path = VENV) -> Path:
    """Return the interpreter of an environment."""
    windows = os.name == "nt"
    return environment / ("Scripts/python.exe" if windows else "bin/python")


# --- running


def run(command: list[str]) -> int:
    """Run a command in the project's root and return its exit code."""
    sys.stdout.flush()
    return subprocess.run(command, cwd=ROOT, check=False).returncode


def run_tool(words: list[str]) -> int:
    """Run a command that is installed in `.venv`, with its arguments."""
    return run([str(python().with_name(words[0])), *words[1:]])


def run_all(checks: dict[str, list[str]]) -> int:
    """Run every check whatever the others say; return the first bad exit code."""
    bad: dict[str, int] = {}
    began = time.perf_counter()
    for name, words in checks.items():
        say(f"{name}: {' '.join(words)}")
        start = time.perf_counter()
        code = run_tool(words)
        if code:
            bad[name] = code
        verdict = f"FAILED with exit code {code}" if code else "passed"
        say(f"{name}: {verdict} in {time.perf_counter() - start:.1f} s")
    took = f"in {time.perf_counter() - began:.0f} s"
    if bad:
        say(f"{', '.join(bad)} FAILED, of {len(checks)} checks {took}")
        return next(iter(bad.values()))
    say(f"all passed ({', '.join(checks)}) {took}")
    return 0


def run_benches(names: Iterable[str]) -> int:
    """Run the scripts of `bench/` that are asked for, or all that stand alone."""
    there = sorted(p for p in (ROOT / "bench").glob("*.py") if p.stem != "measure")
    wanted = [p for p in there if p.stem in names] if names else there
    missing = set(names) - {p.stem for p in there}
    if missing:
        msg = f"bench/ has no {', '.join(sorted(missing))}; it has " + ", ".join(
            p.stem for p in there
        )
        raise SetUpError(msg)
    codes = []
    for script in wanted:
        say(f"bench/{script.name}")
        codes.append(run([str(python()), str(script)]))
    return next((code for code in codes if code), 0)


def say(words: str) -> None:
    """Print a line that stands out from what the tools print."""
    print(f"== {words}", flush=True)


# --- housekeeping


def resolve_pins(*, upgrade: bool) -> int:
    """Write `requirements/*.txt` from their `.in` files, with uv."""
    options = ["--no-header", "--no-annotate", "--generate-hashes", "--universal"]
    options += ["--python-version", "3.11", "--quiet", "--no-config"]
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "venv"
        venv(place)
        pip("install", "uv", environment=place)
        uv = [str(python(place)), "-m", "uv", "pip", "compile", *options]
        # The largest first: the others then take their versions from it.
        for name in ("test", "run", "build"):
            out = f"requirements/{name}.txt"
            limits = [] if name == "test" else ["-c", "requirements/test.txt"]
            fresh = ["--upgrade"] if upgrade else []
            source = f"requirements/{name}.in"
            if code := run([*uv, *fresh, *limits, source, "-o", out]):
                return code
            if "://" in (ROOT / out).read_text(encoding="utf-8"):
                msg = f"{out} names a host, which no committed file may"
                raise SetUpError(msg)
            say(f"{out} written")
    return 0


def clean() -> int:
    """Remove what set-up, checks and tests leave in the tree."""
    if Path(sys.prefix).resolve() == VENV:
        msg = "run this with a Python outside .venv, which is to be removed"
        raise SetUpError(msg)
    left = [".venv", "build", "dist", "htmlcov", ".hypothesis", ".coverage"]
    left += [f".{tool}_cache" for tool in ("mypy", "pytest", "ruff", "import_linter")]
    places = [ROOT / name for name in left]
    for part in ("src", "tests", "bench"):
        places += (ROOT / part).rglob("__pycache__")
    for place in places:
        if place.is_dir():
            shutil.rmtree(place)
        else:
            place.unlink(missing_ok=True)
    return 0


if __name__ == "__main__":
    if sys.version_info < (3, 11):  # noqa: UP036  told in a sentence, not a traceback
        print(f"dev.py needs Python 3.11 or newer; this is {sys.version.split()[0]}")
        sys.exit(2)
    sys.exit(main())
