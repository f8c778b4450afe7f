"""Pages of a PDF as pictures."""

import io

import pypdfium2


def page_pictures(pdf: bytes, dots: float) -> tuple[bytes, ...]:
    """Draw each page of a PDF file and give PNG files' bytes.

    Parameters
    ----------
    dots
        To an inch.
    """
    document = pypdfium2.PdfDocument(pdf)
    try:
        found = []
        for page in document:
            stream = io.BytesIO()
            page.render(scale=dots / 72.0).to_pil().save(stream, format="PNG", compress_level=1)
            found.append(stream.getvalue())
        return tuple(found)
    finally:
        document.close()
