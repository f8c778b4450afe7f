"""What a report says of the sculpt's pieces."""

import numpy as np

from holdwright.export.report import ApartSection, CountedSection, DistanceSection, PieceSection
from holdwright.geometry.measure.deviation import Deviation
from holdwright.hold.piece_account import PieceAccount
from holdwright.operations.import_sculpt import ImportSculptParameters
from holdwright.pipeline.excluded_pieces import why_left_out
from holdwright.pipeline.recipe import Recipe
from holdwright.pipeline.replay import Replay


def pieces_of(recipe: Recipe, replay: Replay) -> tuple[PieceSection, ...]:
    """Tell of every piece that the import met, in mm of the finished hold."""
    scale = float(np.linalg.norm(replay.hold.placement[:3, 0]))
    parameters_of = {step.id: step.parameters for step in recipe.steps}
    told = []
    for step in replay.results:
        parameters = parameters_of.get(step.id)
        for piece in step.pieces:
            why = why_left_out(piece, parameters) if isinstance(parameters, ImportSculptParameters) else ""
            told.append(_piece(piece, why, scale))
    return tuple(told)


def _piece(piece: PieceAccount, why: str, scale: float) -> PieceSection:
    x, y, z = (extent * scale for extent in piece.size)
    return PieceSection(
        name=piece.name,
        triangles=piece.triangles,
        size_mm=(x, y, z),
        left_out=bool(why),
        reason=why,
        grade=piece.grade,
        problem=piece.problem,
        done=piece.done,
        counted=tuple(CountedSection(what=each.what, count=each.count) for each in piece.counted),
        overlap_share=piece.doubled,
        anew_share=piece.anew,
        distance=_apart(piece, scale),
        volume_before_mm3=_volume(piece.before, scale),
        volume_after_mm3=_volume(piece.volume, scale),
    )


def _apart(piece: PieceAccount, scale: float) -> ApartSection | None:
    if piece.away is None or piece.added is None:
        return None
    return ApartSection(
        sculpt_to_solid=_distance(piece.away, scale),
        solid_to_sculpt_outside_fills=_distance(piece.added, scale),
    )


def _distance(found: Deviation, scale: float) -> DistanceSection:
    return DistanceSection(largest_mm=found.largest * scale, mean_mm=found.mean * scale)


def _volume(volume: float | None, scale: float) -> float | None:
    return None if volume is None else volume * scale**3
