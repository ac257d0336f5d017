"""The compile decorator of every kernel; the only import of numba."""

from collections.abc import Callable
from typing import ParamSpec, TypeVar

import numba

_Arguments = ParamSpec("_Arguments")
_Result = TypeVar("_Result")


def compiled(function: Callable[_Arguments, _Result]) -> Callable[_Arguments, _Result]:
    """Compile a loop over arrays to machine code, once a machine; it runs without the GIL."""
    kernel: Callable[_Arguments, _Result] = numba.njit(cache=True, nogil=True)(function)
    return kernel
