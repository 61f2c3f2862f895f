"""The pages of a PDF as pictures, to look at before signing."""

import base64
import io

_DOTS_PER_INCH = 82


def pictures(content):
    """Each page as a PNG in a `data:` address."""
    import pypdfium2

    document = pypdfium2.PdfDocument(content)
    try:
        return [_address(page) for page in document]
    finally:
        document.close()


def _address(page):
    image = page.render(scale=_DOTS_PER_INCH / 72).to_pil()
    out = io.BytesIO()
    # Paper, ink and a few tones: a palette halves the size.
    image.quantize(64).save(out, "PNG", optimize=True)
    return f"data:image/png;base64,{base64.b64encode(out.getvalue()).decode()}"
