"""Where the books of these tests stand: in memory, where the system has such a place.

What is tested is what we ask of the system, in which order, and what is left when it
fails; not the disk, whose waiting would be most of the time.
"""

import os
import tempfile
from pathlib import Path

import pytest

MEMORY = Path("/dev/shm")


@pytest.fixture
def tmp_path(tmp_path):
    """Return an empty folder of the test's own."""
    if not (MEMORY.is_dir() and os.access(MEMORY, os.W_OK)):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        yield Path(folder)
