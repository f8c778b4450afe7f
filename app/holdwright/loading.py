"""Loading the program's modules quickly: nothing of theirs that is never used, no search for garbage."""

import gc
import importlib.util
import inspect
import os
import sys
from typing import Final

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


def load_lazily(*names: str) -> None:
    """Have modules loaded when something of them is first used, not when they are imported.

    The packages they are in are loaded. Nothing is done for what is loaded already, or not installed.
    See `importlib.util.LazyLoader`.
    """
    for name in names:
        parent, _, own = name.rpartition(".")
        try:
            spec = None if name in sys.modules else importlib.util.find_spec(name)
        except ModuleNotFoundError:
            continue
        if spec is None or spec.loader is None:
            continue
        loader = importlib.util.LazyLoader(spec.loader)
        spec.loader = loader
        module = importlib.util.module_from_spec(spec)
        sys.modules[name] = module
        loader.exec_module(module)
        setattr(sys.modules[parent], own, module)
