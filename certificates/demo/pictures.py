"""Photos for the demo: line drawings made here, so that no picture of a real vehicle is needed."""

from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw, ImageFont

PAPER, INK, ACCENT = "#fcfbf7", "#15233f", "#9a3412"


def drawn(caption):
    """A drawing of a vehicle from the side, with the caption under it, as an uploaded PNG."""
    image = Image.new("RGB", (960, 640), PAPER)
    draw = ImageDraw.Draw(image)
    draw.line([(90, 430), (90, 330), (250, 310), (340, 200), (640, 200), (760, 310), (870, 330), (870, 430)], INK, 5)
    draw.line([(90, 430), (870, 430)], INK, 5)
    for x in (240, 720):
        draw.ellipse([x - 85, 360, x + 85, 530], outline=INK, width=6, fill=PAPER)
        draw.ellipse([x - 30, 415, x + 30, 475], outline=INK, width=3)
    draw.line([(40, 530), (920, 530)], INK, 2)
    draw.line([(480, 430), (480, 530)], ACCENT, 3)
    draw.text((40, 560), caption, INK, font=ImageFont.load_default(34))
    return _upload(image)


def written(caption):
    """A sheet of paper with the caption as its heading and nothing to read on it, as an uploaded PNG."""
    image = Image.new("RGB", (640, 900), PAPER)
    draw = ImageDraw.Draw(image)
    draw.text((50, 50), caption, INK, font=ImageFont.load_default(26))
    for y in range(140, 820, 40):
        draw.line([(50, y), (590 if y % 120 else 380, y)], INK, 2)
    return _upload(image)


def _upload(image):
    data = BytesIO()
    image.save(data, "PNG")
    return SimpleUploadedFile("drawing.png", data.getvalue(), "image/png")
