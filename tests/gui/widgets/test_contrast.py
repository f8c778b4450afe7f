"""Every text, mark and border of both schemes stands out from its ground, as WCAG 2.2 level AA asks."""

import numpy as np
import pytest

from holdwright.gui.viewport import drawing_style
from holdwright.gui.widgets import style
from holdwright.render import tones

SCHEMES = pytest.mark.parametrize("scheme", ["light", "dark"])
TEXT, MARK = 4.5, 3.0
"""Least contrast of text (success criterion 1.4.3) and of what is not text (1.4.11)."""

SEEN_BY = {
    "usual": np.eye(3),
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
"""Of linear RGB, at full severity: Machado, Oliveira and Fernandes 2009, table 1 (from memory)."""


def linear(colour: str) -> np.ndarray:
    """Give (3,) linear sRGB, by the definition of relative luminance in WCAG 2.2."""
    parts = np.array(tones.rgb(colour))
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio as WCAG 2.2 defines it, 1 to 21."""
    dark, light = sorted(float(linear(each) @ (0.2126, 0.7152, 0.0722)) for each in (one, other))
    return (light + 0.05) / (dark + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    """Give CIE 1976 L*a*b* (3,) of linear sRGB under D65 (IEC 61966-2-1, CIE 15)."""
    to_xyz = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    share = np.clip(np.array(to_xyz) @ np.clip(rgb, 0.0, 1.0) / (0.9505, 1.0, 1.089), 0.0, None)
    x, y, z = np.where(share > 0.008856, np.cbrt(share), 7.787 * share + 16 / 116)
    return np.array((116 * y - 16, 500 * (x - y), 200 * (y - z)))


def tints(tone: style.Colours) -> list[str]:
    """Give the grounds of findings and notices: as they are, out of date, and under the pointer."""
    plain = [tone.note, tone.warning, tone.error]
    stale = [style.mixed(each, tone.paper, 0.7) for each in plain]
    return plain + stale + [style.mixed(each, tone.ink, 0.06) for each in plain]


def texts(tone: style.Colours) -> dict[str, list[tuple[str, str]]]:
    """Give what is written on what, by the kind of place."""
    papers = [tone.paper, tone.raised, tone.sunken, style.mixed(tone.paper, tone.sunken, 0.6)]
    hot = [style.mixed(tone.raised, tone.ink, 0.07)]
    pressed = [style.mixed(tone.sunken, tone.hairline, share) for share in (0.25, 0.35, 0.6)]
    view = [tone.sky, tone.floor]
    return {
        "ink": [(tone.ink, each) for each in papers + hot + pressed + view + tints(tone)],
        "faint": [(tone.faint, each) for each in papers + hot + view],
        "quiet": [(tone.quiet, each) for each in tints(tone)],
        "button": [(tone.on_accent, each) for each in (tone.accent, style.mixed(tone.accent, tone.ink, 0.2))],
    }


def marks(tone: style.Colours) -> dict[str, list[tuple[str, str]]]:
    """Give what is told by a line or mark on what."""
    papers = [tone.paper, tone.raised, tone.sunken]
    return {
        "fields": [(tone.edge, each) for each in papers],
        "boxes": [(style.mixed(tone.paper, tone.ink, 0.65), each) for each in papers],
        "focus": [(tone.ink, each) for each in papers] + [(tone.on_accent, tone.accent)],
        "handles": [(tone.accent, each) for each in (*papers, tone.sky, tone.floor)],
        "icons": [(tone.faint, each) for each in papers] + [(tone.ink, each) for each in tints(tone)],
        "drawings": [(tone.ink, style.mixed(tone.paper, each, 0.5)) for each in (tone.shell, tone.core)],
    }


@SCHEMES
@pytest.mark.parametrize(("pairs", "least"), [(texts, TEXT), (marks, MARK)])
def test_all_that_is_told_stands_out_from_its_ground(scheme, pairs, least):
    faults = [
        f"{kind}: {front} on {ground} {contrast(front, ground):.2f}"
        for kind, each in pairs(style.colours(scheme)).items()
        for front, ground in each
        if contrast(front, ground) < least
    ]
    assert faults == []


def test_the_formula_gives_the_standards_own_figures():
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21.0)
    # The grey at the limit, as published in "Understanding SC 1.4.3".
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)


@SCHEMES
def test_lines_of_the_view_stand_out_from_stone(scheme):
    look = drawing_style.look(scheme, 1.0)
    for part in ("shell", "core"):
        lit = style.mixed(look.stone(part), "#FFFFFF", 0.35)
        assert contrast(tones.INK, lit) >= MARK
        assert contrast(tones.INK, look.cut(part)) >= MARK


@SCHEMES
@pytest.mark.parametrize("eye", SEEN_BY)
def test_shell_and_core_are_told_apart_by_every_eye(scheme, eye):
    look = drawing_style.look(scheme, 1.0)
    for tone in (look.stone, look.cut):
        seen = [lab(np.array(SEEN_BY[eye]) @ linear(tone(part))) for part in ("shell", "core")]
        # Five times what is just noticed (CIE 1976, about 2.3).
        assert float(np.linalg.norm(seen[0] - seen[1])) > 5 * 2.3
