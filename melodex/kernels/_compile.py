"""The decorators that compile every kernel; the only module that imports numba."""

import functools
import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager, suppress
from importlib import import_module
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, cast

from melodex.private_folder import private_folder


@contextmanager
def _not_found(*names: str) -> Generator[None]:
    """Hide some modules from imports inside the block, unless they are already loaded."""
    hidden = {name: None for name in names if name not in sys.modules}
    sys.modules.update(hidden)  # type: ignore[arg-type]  # None hides a module
    try:
        yield
    finally:
        for name in hidden:
            del sys.modules[name]


# If they are installed, numba loads both at start, which takes a fifth of a whole search; our
# kernels use no linear algebra, and coverage cannot trace compiled code.
with _not_found("scipy.linalg", "coverage"):
    import numba

    import_module("numba.np.arraymath")  # imports scipy now, not in the middle of a search

# Untyped in numba.
_FunctionCache: Any = import_module("numba.core.caching").FunctionCache
_Arguments = ParamSpec("_Arguments")
_Result = TypeVar("_Result")


@functools.cache
def _sources() -> tuple[tuple[str, int, int], ...]:
    """Return name, time and size of every file of kernels."""
    files = sorted(Path(__file__).parent.glob("*.py"))
    return tuple((file.name, file.stat().st_mtime_ns, file.stat().st_size) for file in files)


class _KeptKernels(_FunctionCache):  # type: ignore[misc]
    """numba's cache of compiled kernels; damaged files and a full disk only cost time."""

    def _index_key(self, sig: object, codegen: object) -> tuple[object, ...]:
        """Add the code of all kernels to the cache key, as they are compiled into each other."""
        return (*_FunctionCache._index_key(self, sig, codegen), _sources())

    def load_overload(self, sig: object, target_context: object) -> object:
        """Return a cached kernel; None if there is none, or it cannot be read."""
        try:
            return _FunctionCache.load_overload(self, sig, target_context)
        except Exception:  # noqa: BLE001 - unpickling damaged files raises anything
            with suppress(OSError):
                self.flush()
            return None

    def save_overload(self, sig: object, data: object) -> None:
        """Cache a compiled kernel if possible."""
        with suppress(OSError):
            _FunctionCache.save_overload(self, sig, data)


def compiled(function: Callable[_Arguments, _Result]) -> Callable[_Arguments, _Result]:
    """Compile a loop over arrays to machine code, cached on disk; it runs without the GIL."""
    try:
        return _compiled(function, kept=True)
    except RuntimeError:  # numba can write neither beside the code nor in the user's home
        return _compiled(function, kept=_keep_elsewhere())


def inlined(function: Callable[_Arguments, _Result]) -> Callable[_Arguments, _Result]:
    """Compile a part of a kernel into each kernel that calls it."""
    return cast("Callable[_Arguments, _Result]", numba.njit(nogil=True, forceinline=True)(function))


def _compiled(
    function: Callable[_Arguments, _Result], *, kept: bool
) -> Callable[_Arguments, _Result]:
    kernel: Any = numba.njit(nogil=True)(function)
    if kept:
        kernel._cache = _KeptKernels(function)  # what njit(cache=True) does with numba's own class
    return cast("Callable[_Arguments, _Result]", kernel)


@functools.cache
def _keep_elsewhere() -> bool:
    """Cache compiled kernels among the user's temporary files; return whether that is possible."""
    folder = private_folder()
    if folder is None:
        sys.stderr.write(
            "Compiled kernels cannot be stored, so each command compiles them again, which "
            "takes some seconds.\nNext: name a folder for them in NUMBA_CACHE_DIR.\n"
        )
        return False
    kernels = folder / "kernels"
    if not kernels.exists():
        sys.stderr.write(
            f"Compiled kernels are stored in {kernels}, since neither melodex's own folder nor "
            "your home is writable.\nNext: name another folder in NUMBA_CACHE_DIR if you like.\n"
        )
    vars(import_module("numba.core.config"))["CACHE_DIR"] = str(kernels)
    return True
