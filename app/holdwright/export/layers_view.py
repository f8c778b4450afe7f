"""What the window shows of a print: estimates, figures of every layer, and drawings of those looked at."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.layers.layer_stack import Layer, LayerFigures, LayerRule, figures_of, layers
from holdwright.geometry.measure.sections import Outlines
from holdwright.geometry.mesh.solid import Solid
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.printing.allowances import hold_allowances, in_print_size
from holdwright.printing.part_estimates import all_settings, with_both
from holdwright.printing.print_estimate import PrintEstimate, layer_times, print_estimate
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import Progress

Drawn = tuple[list[Outlines], Outlines, Outlines]
"""Of a part's layer: outlines of each pass, of what is filled solid, and with infill; (n, 2) each, mm."""

_BYTES_A_POINT: Final = 32


@dataclass(frozen=True)
class LayersRequest:
    """Which result is meant: its step, and the key of the result."""

    step: str
    key: str


@dataclass(frozen=True)
class DrawingsRequest(LayersRequest):
    """Which of its layers are to be drawn."""

    heights: Mapping[int, float]
    """By number: the height of each layer's middle, mm."""


@dataclass(frozen=True, eq=False)
class LayersView:
    """A hold as it is printed, its back on the bed, in print size; all by the name of the part."""

    estimates: Mapping[str, PrintEstimate]
    """With what shell and core take together."""
    figures: Mapping[str, LayerFigures]
    times: Mapping[str, Floats]
    """figures, times: of each layer, (n,), times in s."""
    rule: LayerRule
    """How layers are laid."""
    infill: Mapping[str, float]
    """Share of the inside that is filled, 0 to 1."""
    corners: Floats
    """Least and greatest (x, y), (2, 2) mm."""

    @property
    def heights(self) -> Floats:
        """Heights of the layers' middles from the bed up, (n,) mm: of the part that has most."""
        return max((each.middle for each in self.figures.values()), key=len)


def view_layers(context: WorkContext, request: LayersRequest) -> LayersView:
    """Estimate how the hold is printed and measure its layers.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it, where the hold has to be made anew; as of
        `print_settings.part_settings`; or when a part is lower than half a layer.
    """
    parts, stacks = _stacks(context, request)
    settings = all_settings(parts, context.recipe.print, context.catalogue)
    figures = {name: figures_of(stack) for name, stack in stacks.items()}
    estimates = {name: print_estimate(figures[name], settings[name]) for name in parts}
    bounds = np.array([solid.bounds[:, :2] for solid in parts.values()])
    context.progress.report(1.0, "estimated")
    return LayersView(
        with_both(estimates),
        figures,
        {name: layer_times(figures[name], settings[name]) for name in parts},
        next(iter(settings.values())).rule,
        {name: each.infill for name, each in settings.items()},
        np.array([bounds[:, 0].min(axis=0), bounds[:, 1].max(axis=0)]),
    )


def draw_layers(context: WorkContext, request: DrawingsRequest) -> dict[int, dict[str, Drawn]]:
    """Give the lines of some layers, by number and part; errors as of `view_layers`.

    A part that does not reach to a height has no lines there.
    """
    _, stacks = _stacks(context, request)
    half = context.recipe.print.layer_height / 2.0 * (1.0 + 1e-6)
    return {
        number: {
            name: near.outlines()
            for name, stack in stacks.items()
            if abs((near := min(stack, key=lambda layer: abs(layer.middle - height))).middle - height) <= half
        }
        for number, height in request.heights.items()
    }


def _stacks(
    context: WorkContext, request: LayersRequest
) -> tuple[dict[str, Solid], dict[str, tuple[Layer, ...]]]:
    """Give the parts and their filled layers, remembered as long as hold and rule stay."""
    progress, kept = context.progress, context.cache.of_operations
    progress.report(0.0, "cutting layers")
    hold = context.hold(request.step, request.key, progress.part(0.0, 0.3))
    parts = in_print_size(hold.solids, hold_allowances(hold, context.recipe.print, context.catalogue))
    settings = all_settings(parts, context.recipe.print, context.catalogue)
    made_from = request.key, {name: each.rule for name, each in settings.items()}
    stacks = kept.get(PrintParameters.name, made_from)
    if not isinstance(stacks, dict):
        rest = progress.part(0.3, 0.95)
        stacks = {
            name: tuple(layers(solid, settings[name].rule, _share(rest, n, len(parts))))
            for n, (name, solid) in enumerate(parts.items())
        }
        kept.put(PrintParameters.name, made_from, stacks, sum(map(_weight, stacks.values())))
    return parts, stacks


def _share(progress: Progress, number: int, count: int) -> Progress:
    return progress.part(number / count, (number + 1) / count)


def _weight(stack: tuple[Layer, ...]) -> int:
    kept = (part for layer in stack for part in (*layer.passes, layer.solid, layer.infill))
    return _BYTES_A_POINT * sum(int(part.num_vert()) for part in kept)
