"""What is large is asked of the system piece by piece, and goes back to it.

Checked by the C library's own count, mallinfo2 (see mallinfo(3)).
"""

from __future__ import annotations

import ctypes
import sys

import numpy as np
import pytest

from tests.app.census import Heap
from tests.app.conftest import Driver


@pytest.mark.skipif(
    not sys.platform.startswith("linux") or not hasattr(ctypes.CDLL(None), "mallinfo2"),
    reason="needs mallinfo2, of glibc from 2.33 on",
)
def test_a_large_table_is_no_part_of_the_heap_whatever_went_before(shared: Driver) -> None:
    libc = ctypes.CDLL(None)
    libc.mallinfo2.restype = Heap
    for _ in range(3):
        first = np.empty(24 * 2**20, np.uint8)  # left to itself, glibc would learn from this one
        del first
    before = libc.mallinfo2().hblkhd
    table = np.empty(4 * 2**20, np.uint8)
    assert libc.mallinfo2().hblkhd - before >= table.nbytes
    del table
    assert libc.mallinfo2().hblkhd <= before
