"""Makes the file of a work sheet."""

from holdwright.catalogue.catalogue import Catalogue
from holdwright.sheet.choice import SheetChoice
from holdwright.sheet.collect import SheetSource, sheet_content


def sheet_file(source: SheetSource, catalogue: Catalogue, choice: SheetChoice) -> bytes:
    """Give the bytes of the sheet's file.

    Each kind's own library is loaded when it is asked for: starting the program need not wait for it.
    """
    content = sheet_content(source, catalogue)
    if choice.ending == "html":
        from holdwright.sheet.html import html_of

        return html_of(content, choice.paper)
    from holdwright.sheet.pdf import pdf_of

    return pdf_of(content, choice.paper)
