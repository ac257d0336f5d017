"""The compile decorator of every kernel; the only import of numba."""

import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager
from importlib import import_module
from typing import ParamSpec, TypeVar


@contextmanager
def _not_found(*names: str) -> Generator[None]:
    """Let an import within find none of these modules, unless they are loaded already."""
    hidden = {name: None for name in names if name not in sys.modules}
    sys.modules.update(hidden)  # type: ignore[arg-type]  # None is Python's own way to say so
    try:
        yield
    finally:
        for name in hidden:
            del sys.modules[name]


# Where they are installed numba loads both as it starts, a fifth of a whole search; our kernels use
# no linear algebra, and coverage does not see into compiled code.
with _not_found("scipy.linalg", "coverage"):
    import numba

    import_module("numba.np.arraymath")  # looks for scipy, else in the middle of a search

_Arguments = ParamSpec("_Arguments")
_Result = TypeVar("_Result")


def compiled(function: Callable[_Arguments, _Result]) -> Callable[_Arguments, _Result]:
    """Compile a loop over arrays to machine code, once a machine; it runs without the GIL."""
    kernel: Callable[_Arguments, _Result] = numba.njit(cache=True, nogil=True)(function)
    return kernel
