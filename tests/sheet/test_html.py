"""A sheet's HTML: in one file, and nothing in it is taken for markup."""

from dataclasses import replace

import pytest
from lxml import html as parser

from holdwright.errors import ParameterError
from holdwright.sheet.choice import SheetChoice
from holdwright.sheet.content import SheetFinding
from holdwright.sheet.html import html_of

EVIL = '<script>alert("1")</script>&amp;\'"><img src=x onerror=a>'


@pytest.fixture(scope="module")
def page(plain_content):
    content = replace(
        plain_content,
        name=EVIL,
        findings=(SheetFinding("error", EVIL, EVIL),),
        made=(EVIL,),
        settings=replace(plain_content.settings, below=EVIL),
    )
    return parser.document_fromstring(html_of(content, "letter"))


def test_nothing_is_taken_for_markup(page):
    assert not page.xpath("//script | //img | //iframe | //object | //link")
    assert page.xpath("string(//h1)") == EVIL
    assert page.xpath("string(//title)") == f"{EVIL}: work sheet"
    assert EVIL in page.xpath("string(//table[@class='findings'])")


def test_it_needs_no_other_file(page):
    refers = page.xpath("//@href | //@src | //@srcset | //@action")
    assert len(refers) == 4
    assert all(each.startswith("data:image/png;base64,") for each in refers)
    style = page.xpath("string(//style)")
    assert "url(" not in style
    assert "@import" not in style
    assert "size: 215.9mm 279.4mm" in style
    assert page.xpath("//meta/@charset") == ["utf-8"]


def test_it_says_what_the_content_says(crimp_content):
    page = parser.document_fromstring(html_of(crimp_content))
    text = " ".join(page.text_content().split())
    cells = {" ".join(each.text_content().split()) for each in page.xpath("//td | //th")}
    for table in (crimp_content.settings, crimp_content.size, crimp_content.hardware, crimp_content.holes):
        assert {" ".join(cell.split()) for row in table.rows for cell in row} <= cells
    for part in (*crimp_content.cautions, *(words for _, words in crimp_content.work)):
        assert part in text
    assert "size: 210mm 297mm" in page.xpath("string(//style)")


@pytest.mark.parametrize("text", ["a5", "a4,letter", "pdf,html", "a4 pdf"])
def test_an_unknown_kind_of_sheet_is_refused_in_a_sentence(text):
    with pytest.raises(ParameterError, match="enter a4 or letter, pdf or html"):
        SheetChoice.of(text)


def test_a_choice_is_written_as_it_is_read():
    for text in ("a4,pdf", "letter,html"):
        assert str(SheetChoice.of(text)) == text
        assert SheetChoice.stored(text) == SheetChoice.of(text)
    assert SheetChoice.of("html") == SheetChoice("a4", "html")
    assert SheetChoice.stored("a5") is SheetChoice.stored("") is None
