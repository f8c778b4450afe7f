"""Tables of other programs, to compare ours with: of one version each, where that is installed."""

from importlib import metadata

import pytest


def require(package: str, version: str) -> None:
    """Skip the test where a package of that version is not installed."""
    try:
        met = metadata.version(package)
    except metadata.PackageNotFoundError:
        pytest.skip(f"{package} {version} is not installed (pip install --no-deps {package}=={version})")
    if met != version:
        pytest.skip(f"{package} is {met}, the comparison was made with {version}")
