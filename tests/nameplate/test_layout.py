"""A plate is never clipped, its letters are never too small, and what must stand on it does."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import settings
from hypothesis import strategies as st

from sccr.nameplate import DoesNotFit
from sccr.nameplate import InvalidSize
from sccr.nameplate import Nameplate
from sccr.nameplate import Size
from sccr.nameplate import Unletterable
from sccr.nameplate.as_svg import render_svg
from sccr.nameplate.code import Symbology
from sccr.nameplate.contents import BLANK
from sccr.nameplate.contents import may_be_left_off
from sccr.nameplate.font import lettered
from sccr.nameplate.layout import plate
from sccr.nameplate.size import LEAST_CAPITALS
from tests.nameplate.measure import Shown
from tests.nameplate.measure import flat_capitals
from tests.nameplate.measure import shown
from tests.nameplate.plates import MARKED
from tests.nameplate.plates import RECORD_ID
from tests.nameplate.plates import demo_plate
from tests.nameplate.plates import plate_of
from tests.nameplate.plates import silo

SIZES = [Size(100, 60), Size(148, 105), Size(210, 90), Size(80, 80), Size(297, 210)]
CODES = [*Symbology, None]
#: The quiet zone that the standards of the two codes ask for [modules] (ISO/IEC 16022, ISO/IEC 18004; from memory).
ASKED_FOR = {Symbology.DATA_MATRIX: 1, Symbology.QR: 4}


def assert_sound(found: Shown, nameplate: Nameplate) -> None:
    """Nothing is clipped or covered, no letter is too small, and every field that must be marked is there."""
    assert found.faults() == []
    measured = 0
    for letter, text in flat_capitals(found):
        assert letter.height == pytest.approx(text.capitals, abs=0.01)
        measured += 1
    assert measured > 10
    assert min(text.capitals for text in found.texts) >= LEAST_CAPITALS - 0.001
    for field in mandatory(nameplate):
        assert lettered(field).replace(" ", "") in found.words


def mandatory(nameplate: Nameplate) -> list[str]:
    """What the method's section 9 asks to be marked, written out here once more."""
    identity, load = nameplate.identity, nameplate.largest_load
    texts = [identity.designation, identity.maker or BLANK, identity.diagram_number or BLANK]
    texts += [identity.enclosure_type or BLANK, nameplate.rating.text]
    for supply in nameplate.supplies:
        texts += [supply.id, supply.voltage, supply.frequency or "", supply.rating.text if supply.rating else ""]
        texts.append(BLANK if supply.full_load_current is None else f"{supply.full_load_current / 1000:g} A")
        device = supply.protective_device
        if device is not None and device.ampere_rating is not None:
            texts.append(f"{device.ampere_rating / 1000:g} A maximum")
    if load is not None:
        texts.append(f"{load.full_load_current / 1000:g} A ({load.id})")
    if nameplate.more_than_one_disconnect:
        texts.append("Open more than one disconnect to de-energize this panel.")
    return texts + [c.text for c in nameplate.conditions if c.code in ("upstream-protection", "supply-grounding")]


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.text)
@pytest.mark.parametrize("name", MARKED)
def test_every_demo_panel_is_sound_at_every_size_that_holds_it(name: str, size: Size, code: Symbology | None) -> None:
    nameplate = demo_plate(name)
    try:
        svg = render_svg(nameplate, size, code)
    except DoesNotFit as error:
        assert (name, size) == ("whole_line", Size(80, 80))
        assert error.needed is not None
        size, svg = error.needed, render_svg(nameplate, error.needed, code)
    found = shown(svg)

    assert (found.width, found.height) == (size.width_mm, size.height_mm)
    assert (found.code is None) == (code is None)
    assert_sound(found, nameplate)


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("name", MARKED)
def test_what_does_not_fit_says_which_size_is_needed_and_that_is_the_least(name: str, code: Symbology | None) -> None:
    nameplate = demo_plate(name)
    with pytest.raises(DoesNotFit, match=r"does not fit 50 × 30 mm: at least \d+ × \d+ mm is needed") as refused:
        render_svg(nameplate, Size(50, 30), code)
    needed = refused.value.needed

    assert needed is not None
    assert needed.width_mm / needed.height_mm == pytest.approx(50 / 30, rel=0.03)
    assert_sound(shown(render_svg(nameplate, needed, code)), nameplate)
    with pytest.raises(DoesNotFit):
        render_svg(nameplate, Size(needed.width_mm - 2, needed.height_mm - 2), code)


def test_what_fits_no_plate_says_so() -> None:
    nameplate = plate_of(silo(builder="W" * 500, drawing="W" * 500))
    with pytest.raises(DoesNotFit, match=r"nor does it fit 420 × 16\.8 mm, the largest made") as refused:
        render_svg(nameplate, Size(400, 16))

    assert refused.value.needed is None


def test_larger_plates_have_larger_letters() -> None:
    nameplate = demo_plate("upstream_protection")
    drawings = [plate(nameplate, Size(width, width * 0.6)) for width in (100, 150, 200, 300)]
    heights = [max(line.capitals for line in drawing.lines) for drawing in drawings]

    assert all(larger > smaller * 1.2 for smaller, larger in pairwise(heights))


def test_the_rating_stands_in_the_largest_letters() -> None:
    drawing = plate(demo_plate("upstream_protection"))
    largest = max(drawing.lines, key=lambda line: line.capitals)

    assert largest.text == "65 kA rms symmetrical, 480 V maximum"


def test_a_long_text_shrinks_then_wraps() -> None:
    def title(text: str) -> list[tuple[str, float]]:
        drawing = plate(plate_of(silo(title=text)), Size(150, 110))
        return [(line.text, line.capitals) for line in drawing.lines if line.text and line.text in text]

    usual = title("Silo")[0][1]
    shrunk = title("Bucket elevator, dust collector, conveyors and dryer of the intake building")
    wrapped = title("Bucket elevator, dust collector, conveyors and dryer of the intake building, " * 2 + "all of it")

    assert len(shrunk) == 1
    assert LEAST_CAPITALS <= shrunk[0][1] < usual
    assert len(wrapped) > 1
    assert {capitals for _, capitals in wrapped} == {LEAST_CAPITALS}


def test_number_and_unit_stay_on_one_line_when_a_condition_is_wrapped() -> None:
    for width in range(80, 130):
        try:
            lines = plate(demo_plate("all_marked"), Size(width, 70)).lines
        except DoesNotFit:
            continue
        assert not any(line.text.startswith(("V ", "A ", "kA ")) for line in lines)


def test_a_word_longer_than_the_plate_is_broken_after_a_hyphen_where_there_is_one() -> None:
    number = "TM-1001-SHEETS-01-TO-37-REVISION-C-WITH-SUPPLEMENT-AND-TERMINAL-PLAN"
    lines = [line.text for line in plate(plate_of(silo(drawing=number)), Size(70, 70)).lines]
    parts = [text for text in lines if text in number and "-" in text and text != "T-1"]

    assert "".join(parts) == number
    assert len(parts) > 1
    assert all(part.endswith("-") for part in parts[:-1])


def test_what_may_be_left_off_goes_first_and_conditions_leave_where_they_are_written() -> None:
    nameplate = demo_plate("current_limiting_feeder_fuse")
    roomy = " ".join(line.text for line in plate(nameplate, Size(148, 105)).lines)
    with pytest.raises(DoesNotFit) as refused:
        plate(nameplate, Size(50, 30))
    tight = " ".join(line.text for line in plate(nameplate, refused.value.needed).lines)

    assert all(condition.text in roomy for condition in nameplate.conditions)
    assert "Storage bin aeration panel" in roomy
    assert RECORD_ID in roomy
    assert "Storage bin" not in tight
    assert "class J" not in tight
    assert f"3 more conditions: see file {RECORD_ID}" in tight


def test_what_must_hold_in_the_field_is_never_left_off() -> None:
    left = {c.code for name in MARKED for c in demo_plate(name).conditions if may_be_left_off(c)}
    kept = {c.code for name in MARKED for c in demo_plate(name).conditions if not may_be_left_off(c)}

    assert left == {"fuses"}
    assert kept == {"supply-grounding", "upstream-protection"}


def test_without_a_record_there_is_no_code_and_conditions_refer_to_the_diagram() -> None:
    bare = replace(demo_plate("current_limiting_feeder_fuse"), record=None)
    with pytest.raises(DoesNotFit) as refused:
        plate(bare, Size(50, 30), Symbology.QR)
    drawing = plate(bare, refused.value.needed, Symbology.QR)

    assert drawing.symbol is None
    assert "see file TM-1003" in " ".join(line.text for line in drawing.lines)


def test_fields_that_are_not_stated_leave_room_to_write_them_in() -> None:
    document = silo()
    for name in ("builder", "drawing", "enclosure_type"):
        del document["panel"][name]
    texts = [line.text for line in plate(plate_of(document)).lines]

    assert sum(BLANK in text for text in texts) == 3


@pytest.mark.parametrize("code", [*Symbology])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.text)
def test_the_quiet_zone_of_the_code_is_kept_free(size: Size, code: Symbology) -> None:
    drawing = plate(demo_plate("upstream_protection"), size, code)
    found = shown(render_svg(demo_plate("upstream_protection"), size, code))
    symbol = drawing.symbol
    assert symbol is not None
    assert found.code is not None
    zone = ASKED_FOR[code] * symbol.module
    left, top, right, bottom = found.code
    for text in found.texts:
        x0, y0, x1, y1 = text.box
        assert x1 <= left - zone or y0 >= bottom + zone or y1 <= top - zone or x0 >= right + zone
    assert found.frame[2] - right >= zone
    assert top - found.frame[1] >= zone


@pytest.mark.parametrize("sides", [(14.9, 60), (100, 420.1), (float("nan"), 60), (float("inf"), 60), (-100, 60)])
def test_a_size_that_is_not_made_is_refused(sides: tuple[float, float]) -> None:
    with pytest.raises(InvalidSize, match="is no side of a nameplate"):
        Size(*sides)


LETTERS = st.characters(codec="latin-1", categories=["Lu", "Ll", "Nd", "Po", "Pd"]) | st.sampled_from(" -/.ŘÅẾçĄΩЖ")
TEXTS = st.text(LETTERS, min_size=1, max_size=120).filter(lambda text: not text.isspace())
SIDES = st.integers(40, 200)


@settings(max_examples=40, deadline=None)
@given(TEXTS, TEXTS, TEXTS, TEXTS, SIDES, SIDES, st.sampled_from(CODES))
def test_any_text_on_any_plate_is_sound_or_told_the_size_that_is_needed(
    maker: str, title: str, diagram: str, enclosure: str, width: int, height: int, code: Symbology | None
) -> None:
    nameplate = plate_of(silo(builder=maker, title=title, drawing=diagram, enclosure_type=enclosure))
    try:
        svg = render_svg(nameplate, Size(width, height), code)
    except DoesNotFit as error:
        if error.needed is None:
            return
        svg = render_svg(nameplate, error.needed, code)
    assert_sound(shown(svg), nameplate)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("谷物", "U+8C37, U+7269"),
        ("אבג", "U+05D0"),
        ("x\u0334y", "U\\+0334"),
        ("a\u200bb", "U\\+200B"),
        ("\U0001f33e", "U\\+1F33E"),
    ],
    ids=["no letter", "right to left", "combining", "invisible", "picture"],
)
def test_what_cannot_be_lettered_is_refused_by_character(text: str, named: str) -> None:
    with pytest.raises(Unletterable, match=named.replace("U+", r"U\+")):
        plate(plate_of(silo(builder=text)))
