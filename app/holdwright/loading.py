"""Loading the program's modules quickly: nothing of theirs that is never used, no search for garbage."""

import gc
import importlib.util
import inspect
import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from importlib.abc import Loader
from types import ModuleType
from typing import Any, Final

UNUSED: Final = ("numpy.f2py", "numpy.testing", "numpy.ma", "numpy.polynomial")
"""What scipy loads at every start, in a twentieth of a second, and we never use."""

_GETDOC: Final = inspect.getdoc


def _no_documentation(object: object) -> str | None:  # noqa: A002, ARG001  named as in inspect
    """Give nothing: scipy takes the texts of some 350 of its functions apart to add a paragraph to each.

    That is a third of its loading.
    """
    return None


def begin_loading() -> None:
    """Make what is loaded from here on load quickly, until `end_loading`.

    Matrices have three columns here: threads for them do no more than wait for each other, a tenth of a
    replay's processor time. A user's own setting stays.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.disable()  # loading makes no garbage, and looking for it takes a tenth of the time
    inspect.getdoc = _no_documentation


def end_loading() -> None:
    """Look for garbage again, though never among what was loaded."""
    inspect.getdoc = _GETDOC
    gc.freeze()
    gc.enable()


@contextmanager
def standing_in(modules: Mapping[str, ModuleType]) -> Iterator[None]:
    """Have loaded modules found under other names for as long as this lasts, unless those are loaded too."""
    added = {name: module for name, module in modules.items() if name not in sys.modules}
    sys.modules.update(added)
    try:
        yield
    finally:
        for name in added:
            del sys.modules[name]


def load_lazily(*names: str) -> None:
    """Have modules loaded when something of them is first asked for, not when they are imported.

    The packages they are in are loaded. Of a package, modules can be imported meanwhile without the rest of
    it. Nothing is done for what is loaded already, or not installed.
    """
    for name in names:
        parent, _, own = name.rpartition(".")
        try:
            spec = None if name in sys.modules else importlib.util.find_spec(name)
        except ModuleNotFoundError:
            continue
        if spec is None or spec.loader is None:
            continue
        module = sys.modules[name] = importlib.util.module_from_spec(spec)
        vars(module)["__getattr__"] = partial(_loaded, module, spec.loader)
        if parent:
            setattr(sys.modules[parent], own, module)


def _loaded(module: ModuleType, loader: Loader, name: str) -> Any:
    """Load a module to give something of it; who merely looks through all modules does not load it."""
    if name.startswith("__") and name not in ("__all__", "__version__"):
        raise AttributeError(name)
    whole = f"{module.__name__}.{name}"
    if hasattr(module, "__path__") and importlib.util.find_spec(whole) is not None:
        return importlib.import_module(whole)
    del vars(module)["__getattr__"]
    loader.exec_module(module)
    return getattr(module, name)
