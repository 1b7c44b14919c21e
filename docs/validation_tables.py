"""Print how far MuJoCo and Splinewise come to rest apart; `--write` puts it in the docs.

Run it with the Python of `.venv`: `.venv/bin/python docs/validation_tables.py --write`.
"""

from __future__ import annotations

import argparse
import sys
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs/explanation/validation.md"
BEGIN, END = "<!-- engine table: begin -->", "<!-- engine table: end -->"
STEPS = (2e-3, 1e-3, 5e-4)
sys.path.insert(0, str(ROOT / "tests"))


def table() -> str:
    """Return the differences as a table, one row for each case and step."""
    from engine_cases import LAYOUTS, LOADS, car_difference, corner_difference

    rows = []
    for step in STEPS:
        for layout in LAYOUTS:
            cases = [
                corner_difference(layout, load, seed=seed, mirrored=mirrored, step=step)
                for load in LOADS
                for seed, mirrored in ((1, False), (2, True))
            ]
            rows.append(row(f"corner, {layout}", step, cases))
        for front in ("double wishbone", "strut"):
            cases = [car_difference(seed, front=front, step=step) for seed in (0, 1, 2)]
            rows.append(row(f"car, {front} in front", step, cases))
    version = metadata.version("mujoco-core")
    head = [
        f"MuJoCo {version}; the greatest of six pressed corners or of three cars each.",
        "",
        "| what | step ms | loops open by m | places m | arms rad | loads |",
        "|---|---|---|---|---|---|",
    ]
    return "\n".join(head + rows)


def row(name: str, step: float, cases: list) -> str:
    """Return one line: the greatest difference of the cases."""
    most = [max(getattr(c, part) for c in cases) for part in PARTS]
    gap, *apart = most
    shown = [f"{gap:.1e}" if gap else "none to close", *(f"{x:.1e}" for x in apart)]
    return f"| {name} | {1e3 * step:g} | " + " | ".join(shown) + " |"


PARTS = ("gap", "place", "angle", "load")


def main() -> str | int:
    """Print the table, or write it between its marks."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true", help="put it into the page")
    write = parser.parse_args().write
    made = table()
    sys.stdout.write(made + "\n")
    if write:
        page = PAGE.read_text(encoding="utf-8")
        before, _, rest = page.partition(BEGIN)
        _, _, after = rest.partition(END)
        if not rest or END not in rest:
            return f"{PAGE.name} has no marks {BEGIN} and {END}."
        PAGE.write_text(f"{before}{BEGIN}\n{made}\n{END}{after}", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
