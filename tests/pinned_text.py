"""Texts kept in files: what a command prints, and what is generated for the docs.

They are *pinned*: what the program gave on the day they were written down.  Renew them
with `RENEW_TEXTS=1 python3 dev.py quick -k pinned`, then read the difference as a
restorer would before you commit it.
"""

import difflib
import os
from pathlib import Path

ROOT = Path(__file__).parent.parent
GOLDEN = Path(__file__).parent / "golden"


def renewing():
    """Whether texts are written anew in this run; never where CI is set."""
    return bool(os.environ.get("RENEW_TEXTS")) and not os.environ.get("CI")


def same_as_kept(path, text):
    """Compare a text with the file that keeps it, or write it there anew."""
    path = Path(path)
    if renewing():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return
    kept = path.read_text(encoding="utf-8") if path.exists() else ""
    if kept != text:
        name = path.relative_to(ROOT) if path.is_relative_to(ROOT) else path
        change = difflib.unified_diff(
            kept.splitlines(), text.splitlines(), f"{name} as kept", "now", lineterm=""
        )
        told = "\n".join(change)
        msg = f"{told}\nIf this is meant: see tests/pinned_text.py"
        raise AssertionError(msg)
