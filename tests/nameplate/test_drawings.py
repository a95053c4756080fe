"""The plate as SVG, PDF and PNG: the same in all three, and the code reads back from each."""

import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pypdfium2
import pytest
import resvg_py
import zxingcpp
from PIL import Image

from sccr.nameplate import InvalidSize
from sccr.nameplate import Size
from sccr.nameplate.as_pdf import render_pdf
from sccr.nameplate.as_png import render_png
from sccr.nameplate.as_svg import render_svg
from sccr.nameplate.code import Symbology
from sccr.nameplate.layout import plate
from sccr.nameplate.record import read_code
from tests.nameplate.plates import MARKED
from tests.nameplate.plates import demo_plate
from tests.nameplate.plates import plate_of
from tests.nameplate.plates import silo

SIZES = [Size(76, 46), Size(100, 60), Size(148, 105)]
FORMATS = {
    Symbology.DATA_MATRIX: zxingcpp.BarcodeFormat.DataMatrix,
    Symbology.QR: zxingcpp.BarcodeFormat.QRCode,
}
Pixels = np.ndarray[Any, Any]


def pixels(png: bytes) -> Pixels:
    return np.asarray(Image.open(BytesIO(png)).convert("L"))


def from_svg(svg: str, dpi: int = 300) -> Pixels:
    """An SVG drawn by another renderer than ours."""
    return pixels(bytes(resvg_py.svg_to_bytes(svg_string=svg, dpi=dpi, skip_system_fonts=True)))


def assert_same(one: Pixels, other: Pixels) -> None:
    """Whatever is dark in one is dark in the other, or a dot or two beside: renderers round in their own ways."""
    rows, columns = (min(lengths) for lengths in zip(one.shape, other.shape, strict=True))
    assert abs(one.shape[0] - other.shape[0]) <= 1
    assert abs(one.shape[1] - other.shape[1]) <= 1
    dark = [image[:rows, :columns] < 128 for image in (one, other)]
    for here, there in (dark, reversed(dark)):
        assert here.mean() > 0.05
        assert (here & ~widened(there)).sum() < 20


def widened(dark: Pixels) -> Pixels:
    """Every dark dot two dots wider to each side."""
    found = dark.copy()
    for down in range(-2, 3):
        for right in range(-2, 3):
            found |= np.roll(dark, (down, right), axis=(0, 1))
    return found


def from_pdf(pdf: bytes, dpi: int = 300) -> Pixels:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return np.asarray(document[0].render(scale=dpi / 72).to_pil().convert("L"))
    finally:
        document.close()


@pytest.mark.parametrize("code", [*Symbology])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.text)
def test_the_code_reads_back_from_each_form(size: Size, code: Symbology) -> None:
    nameplate = demo_plate("upstream_protection")
    images = [
        pixels(render_png(nameplate, size, code)),
        pixels(render_png(nameplate, size, code, dpi=203)),
        from_svg(render_svg(nameplate, size, code)),
        from_pdf(render_pdf(nameplate, size, code)),
    ]
    for image in images:
        found = zxingcpp.read_barcodes(image)
        assert [barcode.format for barcode in found] == [FORMATS[code]]
        assert read_code(found[0].text) == nameplate.record


@pytest.mark.parametrize("name", MARKED)
def test_svg_and_png_show_the_same(name: str) -> None:
    nameplate, size = demo_plate(name), Size(120, 80)
    ours = pixels(render_png(nameplate, size))

    assert_same(ours, from_svg(render_svg(nameplate, size)))
    with pytest.raises(AssertionError):
        assert_same(ours, from_svg(render_svg(replace(nameplate, record=None), size)))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.text)
def test_the_image_has_whole_dots_its_resolution_and_nothing_outside_of_the_frame(size: Size) -> None:
    for dpi in (203, 300, 600):
        png = render_png(demo_plate("all_marked"), size, dpi=dpi)
        image = Image.open(BytesIO(png))
        shown = pixels(png)

        assert image.size == (round(size.width_mm / 25.4 * dpi), round(size.height_mm / 25.4 * dpi))
        assert image.info["dpi"] == pytest.approx((dpi, dpi), abs=0.1)
        edge = int(0.6 / 25.4 * dpi)
        for strip in (shown[:edge], shown[-edge:], shown[:, :edge], shown[:, -edge:]):
            assert strip.min() == 255
        assert shown.min() == 0


def test_the_modules_are_whole_dots_at_300_dots_an_inch() -> None:
    for size in SIZES:
        drawing = plate(demo_plate("all_marked"), size, Symbology.DATA_MATRIX)
        image = pixels(render_png(demo_plate("all_marked"), size))
        symbol = drawing.symbol
        assert symbol is not None
        dots = round(symbol.module / 25.4 * 300)
        left, top = (round(corner / 25.4 * 300) for corner in (symbol.x, symbol.y))
        for row, across in enumerate(symbol.modules):
            for column, dark in enumerate(across):
                y, x = top + row * dots, left + column * dots
                module = image[y : y + dots, x : x + dots]
                assert (module.max() < 64) if dark else (module.min() > 191)


@pytest.mark.parametrize("name", MARKED)
def test_the_text_of_the_pdf_can_be_selected_and_stands_within_the_page(name: str) -> None:
    nameplate, size = demo_plate(name), Size(120, 80)
    document = pypdfium2.PdfDocument(render_pdf(nameplate, size))
    page = document[0]
    text = page.get_textpage()
    written = re.sub(r"\s+", " ", text.get_text_range())

    assert len(document) == 1
    assert page.get_size() == pytest.approx((size.width_mm / 25.4 * 72, size.height_mm / 25.4 * 72), abs=0.01)
    assert nameplate.rating.text in written
    assert nameplate.identity.designation in written
    for number in range(text.count_chars()):
        left, bottom, right, top = text.get_charbox(number)
        assert 0 < left <= right < page.get_width()
        assert 0 < bottom <= top < page.get_height()
    text.close()
    page.close()
    document.close()


def test_the_svg_holds_no_script_style_font_or_reference_and_says_what_is_on_it() -> None:
    svg = render_svg(demo_plate("whole_line"), Size(148, 105))
    root = ElementTree.fromstring(svg)
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    attributes = {name for element in root.iter() for name in element.attrib}

    assert tags == {"svg", "title", "desc", "rect", "g", "path"}
    assert not attributes & {"style", "href", "class", "id", "onload"}
    assert root.get("width") == "148mm"
    description = root.find("{http://www.w3.org/2000/svg}desc")
    assert description is not None
    assert "10 kA rms symmetrical, 480Y/277 V maximum" in (description.text or "")


def test_markup_in_a_text_is_text() -> None:
    maker = """<script>alert("1")</script> & 'Söhne'"""
    nameplate = plate_of(silo(builder=maker, designation='"><g onload="x'))
    root = ElementTree.fromstring(render_svg(nameplate, Size(148, 105)))

    assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {"svg", "title", "desc", "rect", "g", "path"}
    assert not any("onload" in element.attrib for element in root.iter())
    assert any(element.get("aria-label") == maker for element in root.iter())


def test_the_same_nameplate_is_the_same_byte_for_byte_from_several_threads() -> None:
    plates = [demo_plate(name) for name in MARKED[:4]]

    def drawn(number: int) -> tuple[str, bytes, bytes]:
        nameplate = plates[number % len(plates)]
        size = Size(110, 66)
        return render_svg(nameplate, size), render_pdf(nameplate, size), render_png(nameplate, size, dpi=100)

    alone = [drawn(number) for number in range(len(plates))]
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(drawn, range(3 * len(plates))))

    assert all(found == alone[number % len(plates)] for number, found in enumerate(together))


def test_letters_beyond_the_basic_plane_and_with_accents_are_the_same_in_both() -> None:
    nameplate, size = plate_of(silo(builder="Žďár Ångström Ếç Μύλοι Зерно 𝔸𝕏")), Size(120, 80)

    assert_same(pixels(render_png(nameplate, size)), from_svg(render_svg(nameplate, size)))


@pytest.mark.parametrize("dpi", [0, -300, 71, 1201])
def test_a_resolution_out_of_bounds_is_refused(dpi: int) -> None:
    with pytest.raises(InvalidSize, match="dots an inch are not made"):
        render_png(plate_of(silo()), dpi=dpi)


def test_an_image_of_too_many_dots_is_refused() -> None:
    with pytest.raises(InvalidSize, match="too many dots"):
        render_png(plate_of(silo()), Size(420, 420), dpi=600)
