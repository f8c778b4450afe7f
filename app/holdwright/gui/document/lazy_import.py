"""Keeps what the window may never need from being loaded before it is seen."""

import importlib.util
import sys


def put_off(name: str) -> None:
    """Have a module loaded when something of it is first used, not when it is imported.

    Does nothing where it is loaded already, or is not installed. See `importlib.util.LazyLoader`.
    """
    if name in sys.modules:
        return
    try:
        spec = importlib.util.find_spec(name)
    except ModuleNotFoundError:
        return
    if spec is None or spec.loader is None:
        return
    loader = importlib.util.LazyLoader(spec.loader)
    spec.loader = loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    loader.exec_module(module)
