"""The test run itself: what is not checked must not look checked."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = """
    import pytest

    def test_passes():
        assert True

    @pytest.mark.skip(reason="no reason")
    def test_skipped():
        assert False

    @pytest.mark.xfail(reason="known to be wrong")
    def test_expected_to_fail():
        assert False

    @pytest.mark.cited
    def test_figure():
        assert True
"""
MODULE_SKIPS = """
    import pytest

    pytest.importorskip("a_package_that_nobody_has")
"""
DOCTEST_SKIPS = """
    def double(number):
        '''Twice `number`.

        >>> double(2)  # doctest: +SKIP
        5
        '''
        return 2 * number
"""


@pytest.fixture
def run(tmp_path):
    """Run pytest on a small project that has our conftest; return code and output."""
    (tmp_path / "tests").mkdir()
    (tmp_path / "src").mkdir()
    shutil.copy(Path(__file__).with_name("conftest.py"), tmp_path / "tests")
    (tmp_path / "pyproject.toml").write_text(
        '[tool.pytest.ini_options]\ntestpaths = ["src", "tests"]\n'
        'markers = ["cited", "independent"]\naddopts = ["--doctest-modules"]\n'
    )

    def run(text, *words, place="tests/test_it.py", ci=""):
        lines = [line.removeprefix("    ") for line in text.splitlines()]
        (tmp_path / place).write_text("\n".join(lines))
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *words],
            cwd=tmp_path,
            env={**os.environ, "CI": ci},
            capture_output=True,
            text=True,
            check=False,
        )
        return done.returncode, done.stdout + done.stderr

    return run


def test_skips_pass_where_nobody_forbids_them(run):
    code, said = run(TESTS)

    assert code == 0, said
    assert "2 passed, 1 skipped, 1 xfailed" in said


@pytest.mark.parametrize(("words", "ci"), [(["--no-skips"], ""), ([], "true")])
def test_a_skip_and_an_expected_failure_fail(run, words, ci):
    code, said = run(TESTS, *words, ci=ci)

    assert code == pytest.ExitCode.TESTS_FAILED, said
    assert "2 passed" in said
    assert "skipped," not in said
    assert "xfailed" not in said
    assert "which --no-skips forbids: Skipped: no reason" in said
    assert "which --no-skips forbids: known to be wrong" in said


def test_a_module_that_skips_itself_fails(run):
    code, said = run(MODULE_SKIPS, "--no-skips")

    assert code == pytest.ExitCode.INTERRUPTED, said
    assert "could not import 'a_package_that_nobody_has'" in said


def test_a_skipped_example_in_the_sources_fails(run):
    code, said = run(DOCTEST_SKIPS, "--no-skips", place="src/double.py")

    assert code == pytest.ExitCode.TESTS_FAILED, said
    assert "which --no-skips forbids" in said


@pytest.mark.parametrize("words", [["-k", "passes"], ["-m", "not cited"]])
def test_a_cited_test_left_out_stops_the_run(run, words):
    code, said = run(TESTS, "--no-skips", *words)

    assert code == pytest.ExitCode.USAGE_ERROR, said
    assert "tests/test_it.py::test_figure" in said
