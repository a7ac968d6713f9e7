"""Giving memory back to the system, where the C library would keep it."""

from __future__ import annotations

import ctypes
import sys

_M_MMAP_THRESHOLD = -3  # of malloc.h
_BLOCK = 256 * 2**10


def give_back() -> None:
    """Return freed frames to the system: the allocator keeps a dead thread's share otherwise.

    The next recording's thread would not find it, and opening one after another would grow.
    """
    trim = _function("malloc_trim")
    if trim is not None:
        trim(0)


def return_blocks() -> None:
    """Have every larger block of memory go back as soon as it is freed, from now on.

    Left alone, the C library learns to keep frames in a heap for each thread; those kept for long
    leave holes there, and beside 4K it grows for minutes. It costs about a fifth of decoding
    1080p, so it is for recordings whose memory is the greater worry.
    """
    set_option = _function("mallopt")
    if set_option is not None:
        set_option(_M_MMAP_THRESHOLD, _BLOCK)


def _function(name: str) -> ctypes._NamedFuncPointer | None:
    """A function of the C library; some libraries have nothing to set or trim."""
    return getattr(ctypes.CDLL(None), name, None) if sys.platform == "linux" else None
