"""Reports by other editions: headings, columns, clauses and cautions follow the standard, in every form."""

import csv
import re
from html import unescape
from pathlib import Path

import pytest

import sccr
from sccr.editions import editions
from sccr.report.as_html import as_html
from sccr.report.as_markdown import as_markdown
from sccr.report.as_pdf import as_pdf
from sccr.report.as_text import as_text
from sccr.report.cautions import CAUTIONS
from sccr.report.cautions import cautions
from sccr.report.wording import wording
from tests.nameplate.plates import Document
from tests.nameplate.plates import assembly
from tests.nameplate.plates import canadian
from tests.nameplate.plates import protected_assembly
from tests.nameplate.plates import silo
from tests.report.test_pdf import POINTS_PER_MM
from tests.report.test_pdf import SIZES
from tests.report.test_pdf import letters
from tests.report.test_pdf import pages
from tests.report.test_pdf import run_together

ROOT = Path(__file__).parent.parent.parent
FROM_MEMORY = "[clause from memory]"


def forms(document: Document) -> dict[str, str]:
    """The text of a report in each of its forms, without spaces."""
    rating = sccr.rate(document)
    html = re.sub(r"<[^>]+>", " ", as_html(rating, document).split("</style>")[1])
    return {
        "html": run_together(unescape(html)),
        "pdf": run_together("".join(pages(as_pdf(rating, document)))),
        "markdown": run_together(as_markdown(rating).replace("\\", "")),
        "text": run_together(as_text(rating, width=240, derivation="full")),
    }


@pytest.mark.parametrize("form", ["html", "pdf", "markdown", "text"])
def test_the_rating_of_an_assembly_is_told_by_its_symbols_with_duration_and_peak(form: str) -> None:
    short_time, conditional = forms(assembly())[form], forms(protected_assembly())[form]

    assert "Icw10kA(1s),Ipk17kA,400V" in short_time
    assert "Icc10kA,Ipk17kA," in conditional
    if form != "text":
        for name, value in (
            ("Ratedshort-timecurrentIcw", "10kA"),
            ("Duration", "1s"),
            ("RatedpeakwithstandIpk", "17kA"),
        ):
            assert re.search(f"{name}:?{value}", short_time), name
        assert "RatedconditionalcurrentIcc" in conditional and "Duration" not in conditional


@pytest.mark.parametrize("form", ["html", "pdf", "markdown", "text"])
def test_what_is_from_memory_is_seen_to_be(form: str) -> None:
    """Each step by a clause that is known from memory says so, on the page as in the derivation."""
    rating, found = sccr.rate(assembly()), forms(assembly())[form]
    marked = [step for step in rating.derivation if step.statement.endswith(FROM_MEMORY)]

    assert len(marked) > 5
    assert found.count("memory]") >= len(marked)
    assert run_together(cautions(rating)[len(CAUTIONS)]) in found
    assert all(run_together(caution) in found for caution in CAUTIONS)


def test_headings_and_columns_follow_the_edition() -> None:
    by_iec, by_csa, by_ul = (forms(d)["pdf"] for d in (assembly(), canadian(), silo()))

    assert "Short-circuitwithstandstrengthoftheassembly:calculation" in by_iec
    assert "Short-circuitcurrentrating(SCCR):calculation" in by_csa
    assert "Short-circuitcurrentrating:calculation" in by_ul
    assert "DegreeofprotectionIP54" in by_iec and "Enclosuretype" in by_csa and "Enclosuretype" in by_ul
    assert "aftercredit" in by_ul and "aftercredit" in by_csa and "aftercredit" not in by_iec
    assert "interruptingratings" in by_iec  # said not to count
    assert "Clausesapplied" in by_iec and "Clausesapplied" in by_csa and "Clausesapplied" not in by_ul


def test_the_clauses_applied_are_those_of_the_derivation() -> None:
    rating = sccr.rate(assembly())
    rows = wording(rating).clauses(rating)
    folder = csv.DictReader((ROOT / "sccr/iec61439/clauses.csv").read_text("utf-8").splitlines())
    listed = {row["rule"]: row["clause"] for row in folder}

    assert {row.clause for row in rows} == {step.clause for step in rating.derivation} & set(listed.values())
    assert {"B1", "W1", "W3c"} <= {row.rule for row in rows}
    assert not {"B6", "E2", "W3a"} & {row.rule for row in rows}
    html = as_html(rating, assembly())
    assert all(row.gist in unescape(html) for row in rows)


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("made", [assembly, protected_assembly, canadian], ids=lambda made: made.__name__)
def test_nothing_leaves_the_margins(made: object, paper: str) -> None:
    document: Document = made()  # type: ignore[operator]
    across, down = SIZES[paper]
    margin = 14.5 * POINTS_PER_MM
    for page, letter, left, bottom, right, top in letters(as_pdf(sccr.rate(document), document, paper=paper)):
        assert left >= margin and right <= across - margin, (page, letter)
        assert bottom >= 9 * POINTS_PER_MM and top <= down - 9 * POINTS_PER_MM, (page, letter)


@pytest.mark.parametrize("made", [assembly, canadian], ids=lambda made: made.__name__)
def test_the_lines_of_a_terminal_are_no_wider_than_it_is(made: object) -> None:
    document: Document = made()  # type: ignore[operator]
    lines = as_text(sccr.rate(document), width=100, derivation="full").splitlines()

    assert max(map(len, lines)) <= 100


def test_an_option_of_the_edition_is_named_where_it_is_not_at_its_default() -> None:
    document = {**assembly(), "options": {"skilled_persons_only": True, "coordination": 2}}
    found = as_html(sccr.rate(document), document)
    usual = as_html(sccr.rate(assembly()), assembly())

    assert "<dd>skilled persons only, coordination 2</dd>" in found
    assert "<dt>Options not at their default</dt><dd>none</dd>" in usual


def test_protection_upstream_is_told_with_its_breaking_capacity() -> None:
    document = protected_assembly()

    assert "circuit breaker, 63 A, Icu 50 kA at 400 V" in as_html(sccr.rate(document), document)


def test_every_edition_has_its_words() -> None:
    rows = list(csv.DictReader((ROOT / "sccr/report/wording.csv").read_text("utf-8").splitlines()))
    standards = {row["standard"] for row in rows}
    needed = {"heading", "value", "credited", "enclosure_type", "clause_width"}

    assert standards == {edition.rpartition(":")[0] for edition in editions()}
    for standard in standards:
        assert needed <= {row["name"] for row in rows if row["standard"] == standard}, standard
