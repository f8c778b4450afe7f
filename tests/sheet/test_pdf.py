"""A sheet's PDF, judged by poppler's tools, skipped where these are absent."""

import re
import shutil
import subprocess
from dataclasses import replace
from itertools import combinations

import pytest

from holdwright.errors import ExportError
from holdwright.render import picture
from holdwright.resources import resource_folder
from holdwright.sheet.content import SheetFinding
from holdwright.sheet.pdf import MARGIN, pdf_of
from holdwright.sheet.pdf_blocks import table_block
from holdwright.sheet.pdf_front import LEAST_CORNER

POINTS = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (8.5 * 72, 11 * 72)}
"""A4 by ISO 216, letter by ANSI/ASME Y14.1 (size A)."""

pytestmark = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils are not installed")


def said(tool, *arguments):
    done = subprocess.run([tool, *map(str, arguments)], capture_output=True, text=True, check=True)
    assert not done.stderr
    return done.stdout


def words_of(path):
    """(page, left, top, right, bottom, word) of every word in points."""
    found, page = [], 0
    for line in said("pdftotext", "-bbox", path, "-").splitlines():
        page += "<page " in line
        if match := re.search(r'xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)">(.*)</word>', line):
            *places, word = match.groups()
            found.append((page, *map(float, places), word))
    return found


def assert_well_set(path, paper):
    """No word runs off the paper's margins or into another."""
    width, height = POINTS[paper]
    margin = MARGIN / 25.4 * 72
    words = words_of(path)
    for _, left, top, right, bottom, word in words:
        assert left >= margin - 1.0, word
        assert right <= width - margin + 1.0, word
        assert top >= margin - 6.0, word
        assert bottom <= height - 12.0, word
    for one, other in combinations(words, 2):
        if one[0] == other[0]:
            across = min(one[3], other[3]) - max(one[1], other[1])
            # A box is as high as the tallest letter the font has: lines may touch by a third of it.
            along = min(one[4], other[4]) - max(one[2], other[2])
            assert across < 0.5 or along < 0.45 * min(one[4] - one[2], other[4] - other[2]), (one, other)


@pytest.fixture(scope="module", params=["a4", "letter"])
def sheet(request, crimp_content, tmp_path_factory):
    path = tmp_path_factory.mktemp("sheet") / "crimp.pdf"
    path.write_bytes(pdf_of(crimp_content, request.param))
    return path, request.param


def test_two_pages_of_the_paper_asked_for(sheet):
    path, paper = sheet
    told = dict(line.split(":", 1) for line in said("pdfinfo", path).splitlines())
    assert told["Pages"].strip() == "2"
    size = [float(word) for word in re.findall(r"[\d.]+", told["Page size"])[:2]]
    assert size == pytest.approx(POINTS[paper], abs=0.01)
    assert told["Title"].strip() == "hall-crimp: work sheet"


def test_all_fonts_are_inside_and_are_the_bundled_ones(sheet):
    lines = said("pdffonts", sheet[0]).splitlines()[2:]
    assert len(lines) == 2
    for line in lines:
        name, *_, embedded, subset, unicode, _, _ = line.split()
        assert "DejaVuSansCondensed" in name
        assert (embedded, subset, unicode) == ("yes", "yes", "yes")
    licence = (resource_folder() / "fonts" / "LICENSE").read_text("utf-8")
    assert "Bitstream" in licence
    assert "permission" in licence.lower()


def test_pictures_are_crisp(sheet):
    lines = said("pdfimages", "-list", sheet[0]).splitlines()
    dots = [line.split()[lines[0].split().index("x-ppi")] for line in lines[2:]]
    assert len(dots) == 4
    assert min(map(int, dots)) >= 299


def test_it_says_what_the_content_says(sheet, crimp_content):
    text = " ".join(said("pdftotext", "-layout", sheet[0], "-").split())
    for words in (
        crimp_content.name,
        *crimp_content.made,
        *(" ".join(row) for row in crimp_content.settings.rows),
        *(f"{title}." for title, _ in crimp_content.work),
        "Front, up on the wall",
        "Section A\N{EN DASH}A",
        f"{crimp_content.drawing.size[0]:.1f}",
        "page 2 of 2",
    ):
        assert " ".join(words.split()) in text, words
    flat = re.sub(r"\W+", "", said("pdftotext", "-raw", sheet[0], "-"))
    for finding in crimp_content.findings:
        assert re.sub(r"\W+", "", finding.text) in flat, finding.text


def test_words_keep_to_the_paper_and_off_each_other(sheet):
    assert_well_set(*sheet)


def test_heads_of_columns_do_not_wrap_in_the_least_corner(crimp_content):
    mark, _, *figures = crimp_content.holes.rows[0]
    table = replace(crimp_content.holes, rows=((mark, "screw", *figures),))
    assert table_block(table, LEAST_CORNER).height == pytest.approx(table_block(table, 150.0).height)


@pytest.mark.parametrize("name", ["W" * 60, "Гриф-Ω-岩の把手-" + "long name " * 6, "i"])
def test_long_and_foreign_names_and_many_findings(name, plain_content, tmp_path):
    many = tuple(
        SheetFinding("warning", f"Finding {n} {'of many words ' * (n % 9)}.", "Mend it.") for n in range(99)
    )
    content = replace(
        plain_content,
        name=name,
        findings=many,
        made=(*plain_content.made, "a recipe " * 30),
        report=f"{name}.json",
    )
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf_of(content, "letter"))
    assert "Pages:           2" in said("pdfinfo", path)
    assert_well_set(path, "letter")
    text = " ".join(said("pdftotext", path, "-").split())
    shown = len(re.findall(r"Finding \d+", text))
    assert 5 < shown < 99
    assert f"{99 - shown} more are in" in text
    if "岩" in name:
        assert r"Гриф-Ω-\u5ca9\u306e" in text  # what the font lacks, as it is escaped elsewhere


def test_without_opengl_a_sentence_stands_in_place_of_the_views(plain_content, tmp_path, monkeypatch):
    def none(*_):
        raise ExportError("This machine has no OpenGL; install libgl1.")

    monkeypatch.setattr(picture, "open_off_screen", none)
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf_of(plain_content))
    assert "This machine has no OpenGL; install libgl1." in said("pdftotext", path, "-")
