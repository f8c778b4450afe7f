"""What of each step's form is shown at once, and the words that stand for a zero that is no size."""

from collections.abc import Mapping
from typing import Final

MAIN: Final[Mapping[str, tuple[str, ...]]] = {
    "import_sculpt": ("unit", "ground_block", "loose_pieces", "leave_out"),
    "orient_to_base": ("by", "rank", "face", "points", "plane", "flip", "turn"),
    "scale_to_envelope": ("rule", "diameter", "box_x", "box_y", "box_z", "length", "factor"),
    "trim_base": ("by", "share", "height", "rim"),
    "chamfer_tips": ("tips", "limit", "picks", "leave_out", "width"),
    "cut_bore": ("screw", "washer", "place", "at", "seat", "under_seat", "depth"),
    "cut_screw_hole": ("screw", "place", "at", "tilt", "toward", "under_head", "at_most"),
    "split_core": ("along", "at", "height", "wall_diameter", "top_diameter", "least_shell"),
}
"""Fields shown at once, by operation; the others stand beneath "More". An operation not listed shows all."""

ZERO: Final[Mapping[tuple[str, str], str]] = {
    ("scale_to_envelope", "box_x"): "free",
    ("scale_to_envelope", "box_y"): "free",
    ("scale_to_envelope", "box_z"): "free",
    ("scale_to_envelope", "detail"): "all",
    ("split_core", "collar_diameter"): "chosen",
    ("split_core", "wall_diameter"): "chosen",
    ("split_core", "top_diameter"): "chosen",
}
"""Words for zero, by operation and field."""
