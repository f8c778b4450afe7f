"""How a surface takes light and ink: programs for the graphics card.

The light is that of a window at the upper left and of the sky, as in the pictures of the work sheet; ink runs
where the surface turns away from the camera. The width of that line is even on screen: the angle between
surface and line of sight is divided by how fast it changes from pixel to pixel. A surface of flat triangles
ends a little before it is seen edge on, so the line begins as much earlier, by a few pixels at most.
"""

from typing import Final

from vtkmodules.vtkCommonDataModel import vtkDataObject
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

from holdwright.render.polydata import HOLLOW
from holdwright.render.tones import INK, rgb

_INK: Final = "vec3({:.3f}, {:.3f}, {:.3f})".format(*rgb(INK))

_LIGHT: Final = """//VTK::Light::Impl
  vec3 towardWindow = vec3(-0.520, 0.660, 0.542);
  float square = clamp((dot(normalVCVSOutput, towardWindow) + 0.35) / 1.35, 0.0, 1.0);
  float arriving = 0.13 + 0.17 * (0.5 + 0.5 * normalVCVSOutput.y) + 0.10 * normalVCVSOutput.z
                 + 0.64 * square * sqrt(square);
  arriving *= hollowVS > 0.0 ? 1.0 - 0.55 * hollowVS : 1.0 - 0.16 * hollowVS;
  vec3 stone = pow(diffuseColor, vec3(2.2));
  stone *= mix(exposure * arriving + 0.05, 0.62 + 0.42 * arriving, plain);
  fragOutput0 = vec4(pow(stone, vec3(0.4545)), opacity);
"""

_INKED: Final = f"""
  vec3 toEye = cameraParallel == 1 ? vec3(0.0, 0.0, 1.0) : normalize(-vertexVC.xyz);
  float facing = abs(dot(normalVCVSOutput, toEye));
  float change = max(length(vec2(dFdx(facing), dFdy(facing))), 1e-5);
  float pixels = (facing - min(0.05, 3.5 * pen * change)) / change;
  float line = (1.0 - smoothstep(0.9 * pen, 1.9 * pen, pixels)) * (1.0 - smoothstep(0.2, 0.45, facing));
  fragOutput0.rgb = mix(fragOutput0.rgb, {_INK}, 0.9 * line);
"""

_CUT: Final = """//VTK::Light::Impl
  float along = gl_FragCoord.x + slant * gl_FragCoord.y;
  float hatch = abs(fract(along / (7.0 * pen)) - 0.5) * 7.0 * pen;
  fragOutput0 = vec4(diffuseColor * mix(0.80, 1.0, smoothstep(0.3 * pen, 0.9 * pen, hatch)), opacity);
"""


def shade(actor: vtkActor, mapper: vtkPolyDataMapper) -> None:
    """Let a surface take light and ink; its mesh carries how hollow it is at each point."""
    mapper.MapDataArrayToVertexAttribute("hollowMC", HOLLOW, vtkDataObject.FIELD_ASSOCIATION_POINTS, -1)
    program = actor.GetShaderProperty()
    _add(program, "Vertex", "//VTK::Normal::Dec", "in float hollowMC; out float hollowVS;")
    _add(program, "Vertex", "//VTK::Normal::Impl", "hollowVS = hollowMC;")
    _add(program, "Fragment", "//VTK::Normal::Dec", "in float hollowVS;")
    program.AddFragmentShaderReplacement("//VTK::Light::Impl", True, _LIGHT + _INKED, False)


def shade_cut(actor: vtkActor, slant: float) -> None:
    """Let a cut face be hatched, as on a drawing, `slant` 1 or -1."""
    actor.GetShaderProperty().AddFragmentShaderReplacement("//VTK::Light::Impl", True, _CUT, False)
    set_uniform(actor, slant=slant)


def set_uniform(actor: vtkActor, **values: float) -> None:
    """Change what the shaders read.

    Parameters
    ----------
    values
        exposure: as of a style. pen: width of ink lines and hatching in device pixels. plain: 1 where light
        changes colours less. slant: of the hatching.
    """
    uniforms = actor.GetShaderProperty().GetFragmentCustomUniforms()
    for name, value in values.items():
        uniforms.SetUniformf(name, value)


def _add(program: object, shader: str, hook: str, code: str) -> None:
    getattr(program, f"Add{shader}ShaderReplacement")(hook, True, f"{hook}\n{code}", False)
