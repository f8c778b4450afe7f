"""Where the data that ships with Holdwright lies."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def resource_folder() -> Path:
    """Give the folder of tables, recipes and icons: inside an installed package, else beside `app`."""
    return _beside_or_inside("_resources", "resources")


def sample_folder() -> Path:
    """Give the folder of sample sculpts: inside an installed package, else beside `app`."""
    return _beside_or_inside("_sample_data", "sample_data")


def _beside_or_inside(inside: str, beside: str) -> Path:
    packed = _PACKAGE / inside
    return packed if packed.is_dir() else _PACKAGE.parent.parent / beside
