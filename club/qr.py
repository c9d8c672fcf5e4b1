"""Links as codes to scan."""

from io import BytesIO

import qrcode
from qrcode.image.svg import SvgPathImage


def qr_svg(text: str) -> str:
    """The text as a QR code: an SVG element, drawn in the colour of the text around it."""
    drawn = BytesIO()
    qrcode.make(text, image_factory=SvgPathImage, border=2).save(drawn)
    return drawn.getvalue().decode()
