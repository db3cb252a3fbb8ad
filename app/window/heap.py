"""The C library's heap kept from filling with holes, where that library is glibc.

Left to itself glibc raises its threshold with every large piece given back, up to 32 MB, and so
lays pictures and tables of many MB among small pieces that stay; and it gives each thread up to
eight heaps a core of its own. After 1,800 actions of every kind a window then held 71 MB more than
before them though hardly more was in use; with these settings 3 to 23 MB (four such runs).
"""

from __future__ import annotations

import ctypes
import sys

# From glibc's malloc.h; see mallopt(3).
M_MMAP_THRESHOLD, M_ARENA_MAX = -3, -8
LARGE = 2 * 2**20  # bytes: larger pieces are asked of the system, and given back to it at once
HEAPS = 2


def keep_whole() -> bool:
    """Settle both for this process; False where the C library is another."""
    if not sys.platform.startswith("linux"):
        return False
    libc = ctypes.CDLL(None)
    if not hasattr(libc, "gnu_get_libc_version"):
        return False
    return bool(libc.mallopt(M_MMAP_THRESHOLD, LARGE) and libc.mallopt(M_ARENA_MAX, HEAPS))
