"""What the window needs of a finished hold to compute and draw its joint, measured on the exact solids."""

from dataclasses import dataclass

from holdwright.errors import GeometryError
from holdwright.hold.feature import BackPocket
from holdwright.hold.hold import Hold
from holdwright.joint.advice.relief_gain import relieved
from holdwright.joint.holding.joint_shape import JointShape, joint_shape
from holdwright.joint.holding.section_profile import Profile, profile_of
from holdwright.pipeline.replaying.joint_verdict import measured_shape
from holdwright.pipeline.views.work_context import WorkContext


@dataclass(frozen=True)
class JointRequest:
    """Which result is meant: its step, and the key of the result."""

    step: str
    key: str


@dataclass(frozen=True, eq=False)
class JointView:
    """A hold's joint, measured once however often bolt, torque or load are changed."""

    shape: JointShape
    """What the figures need."""
    profiles: tuple[Profile, ...]
    """The hold cut open along each bore, in the order of `shape.bores`."""
    relieved: JointShape | None = None
    """The same with its back relieved; None where that cannot be."""


def view_joint(context: WorkContext, request: JointRequest) -> JointView:
    """Measure a hold's joint.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it, where the hold has to be made anew; or when it has no
        bore, or nothing that a bolt could clamp.
    """
    context.progress.report(0.0, "measuring the joint")
    hold = context.hold(request.step, request.key, context.progress.part(0.0, 0.5))
    context.progress.report(0.5, "measuring the joint")
    view = joint_view(hold, measured_shape(request.key, hold, context.cache.of_operations))
    context.progress.report(1.0, "measured")
    return view


def joint_view(hold: Hold, shape: JointShape | None = None) -> JointView:
    """Give the joint of a finished hold, whole or split; errors as of `joint_shape`, unless it is given."""
    shape = shape or joint_shape(hold)
    return JointView(shape, tuple(profile_of(hold, bore) for bore in shape.bores), _relieved(hold, shape))


def _relieved(hold: Hold, shape: JointShape) -> JointShape | None:
    if hold.find(BackPocket):
        return None
    try:
        return relieved(shape)
    except GeometryError:
        return None
