"""What every test run keeps to: nothing left unchecked, and how hard to search."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

# "quick" unless the environment names another.  On a shared machine an example may
# take any time; where a run decides something, it must be the same run every time.
settings.register_profile(
    "quick", deadline=None, derandomize=bool(os.environ.get("CI"))
)
settings.register_profile("thorough", deadline=None, max_examples=2000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "quick"))

MUST_RUN = ("cited", "independent")


def pytest_addoption(parser):
    parser.addoption(
        "--no-skips",
        action="store_true",
        default=bool(os.environ.get("CI")),
        help="fail where a test is skipped or expected to fail, or where a cited or "
        "independent one is deselected (the default where CI is set)",
    )


def pytest_configure(config):
    if config.getoption("no_skips"):
        # A plugin of its own, since a conftest's hooks do not see doctests in src.
        config.pluginmanager.register(NothingUnchecked(), "nothing-unchecked")


class NothingUnchecked:
    """Turns a check that was not made into a failure."""

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_runtest_makereport(self):
        """See to each test's set-up, call and tear-down."""
        return self.refuse_skip((yield))

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_make_collect_report(self):
        """See to modules that skip themselves."""
        return self.refuse_skip((yield))

    def refuse_skip(self, report):
        """Return `report`, failed where it says skipped or failed as expected."""
        if report.skipped:
            where = getattr(report, "wasxfail", None) or report.longrepr
            reason = where[2] if isinstance(where, tuple) else where
            report.outcome = "failed"
            report.longrepr = f"not checked, which --no-skips forbids: {reason}"
        return report

    def pytest_deselected(self, items):
        """Stop where a test that proves a figure is left out."""
        lost = [i.nodeid for i in items if any(map(i.get_closest_marker, MUST_RUN))]
        if lost:
            msg = (
                "--no-skips (or CI) forbids to leave out cited or independent tests: "
                + ", ".join(lost)
            )
            raise pytest.UsageError(msg)
