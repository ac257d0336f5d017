"""The compile decorator of every kernel; the only import of numba."""

import functools
import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager
from importlib import import_module
from typing import ParamSpec, TypeVar

from melodex.private_folder import private_folder


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
    try:
        return _compiled(function, kept=True)
    except RuntimeError:  # numba may write neither beside the code nor in the user's home
        return _compiled(function, kept=_keep_elsewhere())


def _compiled(
    function: Callable[_Arguments, _Result], *, kept: bool
) -> Callable[_Arguments, _Result]:
    kernel: Callable[_Arguments, _Result] = numba.njit(cache=kept, nogil=True)(function)
    return kernel


@functools.cache
def _keep_elsewhere() -> bool:
    """Have compiled kernels kept among the user's temporary files; return whether that can be."""
    folder = private_folder()
    if folder is None:
        sys.stderr.write(
            "Compiled kernels can be kept nowhere, so each command compiles them again, which "
            "takes some seconds.\nNext: name a folder for them in NUMBA_CACHE_DIR.\n"
        )
        return False
    kernels = folder / "kernels"
    if not kernels.exists():
        sys.stderr.write(
            f"Compiled kernels are kept in {kernels}, since neither melodex's own folder nor your "
            "home may be written to.\nNext: name another folder in NUMBA_CACHE_DIR if you like.\n"
        )
    vars(import_module("numba.core.config"))["CACHE_DIR"] = str(kernels)
    return True
