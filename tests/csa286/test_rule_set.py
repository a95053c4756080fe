"""The Canadian rule set rates by the method of UL 508A (from memory), and withholds where a device is not certified."""

from typing import Any

import pytest

import sccr
from sccr.csa286.tables import tables
from sccr.result import Rating
from tests.drawing import Document
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import fuse
from tests.drawing import motor
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer
from tests.golden.kept import catalogue
from tests.golden.kept import kept

CSA = "CSA C22.2 No. 286:2017"
UL = "UL 508A:2018"
REFUSED = "not-certified-for-canada"


def canada(*components: Document, **more: Any) -> Rating:
    return sccr.rate(panel(*components, edition=CSA, **more))


def told(rating: Rating, code: str) -> list[tuple[str, str | None]]:
    return [(finding.severity, finding.component) for finding in rating.findings if finding.code == code]


BOTH = {"standards": ["UL 489", "CSA C22.2 No. 5"]}
UL_ONLY = {"standards": ["UL 489"]}


@pytest.mark.parametrize("block", range(4))
def test_every_kept_panel_is_worth_what_ul_508a_makes_of_it(block: int) -> None:
    """500 drawn panels and the fixtures: only a device that is refused changes anything but words."""
    parts, refused = catalogue(), 0
    for line in by_ul_508a()[block::4]:
        own = None if line["name"].startswith(("random_", "edge_")) else parts
        document = {**line["document"], "edition": CSA}
        found, ul = sccr.rate(document, own), line["answer"]
        without = {each for severity, each in told(found, REFUSED) if severity == "error"}
        refused += bool(without)
        if without:
            assert (found.status, found.rating) == ("withheld", None), line["name"]
            continue
        answer = found.as_dict()
        assert (answer["status"], answer["rating"]) == (ul["status"], ul["rating"]), line["name"]
        for name in ("circuits", "adequacy", "options"):
            assert answer[name] == ul[name], (line["name"], name)
        assert [each["component"] for each in answer["limited_by"]] == [each["component"] for each in ul["limited_by"]]
        assert [each["rating"] for each in answer["next_limits"]] == [each["rating"] for each in ul["next_limits"]]
        assert numbers(answer) == numbers(ul), line["name"]
    assert refused < 10  # of the fixtures, whose parts are certified for one country


def by_ul_508a() -> list[dict[str, Any]]:
    return [line for line in kept() if line["answer"]["method"]["edition"] == UL]


def numbers(answer: dict[str, Any]) -> list[Any]:
    """Return what an answer says of components and steps in numbers, without words."""
    values = [(each["id"], each["value"], each["after_credit"], each["basis"]) for each in answer["components"]]
    steps = [(each["number"], each["component"], each["before"], each["after"]) for each in answer["derivation"]]
    return [*values, *steps]


def test_no_word_of_the_united_states_is_left_but_the_method() -> None:
    spoken = 0
    for line in by_ul_508a():
        answer = sccr.rate({**line["document"], "edition": CSA}, catalogue()).as_dict() if _spoken(line) else None
        if answer is not None:
            spoken += 1
            words = str([answer["findings"], answer["limited_by"], answer["conditions"], answer["derivation"]])
            assert "NEC" not in words, line["name"]
            assert "CEC Rule" in words, line["name"]
    assert spoken >= 5


def _spoken(line: dict[str, Any]) -> bool:
    known = not line["name"].startswith(("random_", "edge_"))
    return known and "NEC" in str([line["answer"]["findings"], line["answer"]["derivation"]])


def test_a_device_for_the_united_states_alone_withholds_the_rating() -> None:
    rated = canada(breaker("-FC1", **BOTH), motor("-MA1", "-FC1"))
    withheld = canada(breaker("-FC1", **UL_ONLY), motor("-MA1", "-FC1"))

    assert rated.rating is not None and rated.rating.current == 65_000_000
    assert withheld.rating is None
    assert told(withheld, REFUSED) == [("error", "-FC1")]
    finding = next(each for each in withheld.findings if each.code == REFUSED)
    assert "UL 489" in finding.message and "CSA C22.2 No. 5" in finding.message  # what is stated, and the remedy
    value = next(each for each in withheld.components if each.id == "-FC1")
    assert (value.value, value.after, value.basis) == (None, None, "missing")
    step = next(each for each in withheld.derivation if each.component == "-FC1")
    assert (step.clause, step.after, step.basis) == ("CEC Rule 2-024", None, "missing")
    assert step.statement.endswith("; UL 508A: certification for Canada is not asked for [clause from memory]")
    assert sccr.rate(panel(breaker("-FC1", **UL_ONLY), motor("-MA1", "-FC1"))).rating is not None


def test_a_fuse_and_a_self_protected_controller_are_devices_too() -> None:
    holder = part(
        "fuseholder", "-XF1", fuse_class="J", short_circuit_ratings=[{"current": "200 kA", "voltage": "600 V"}]
    )
    fused = canada(holder, fuse("-FC1", "-XF1", standards=["UL 248-8"]), motor("-MA1", "-FC1"))
    assert told(fused, REFUSED) == [("error", "-FC1")]
    ratings = [{"current": "30 kA", "voltage": "480Y/277 V"}]
    controller = part(
        "combination_motor_controller",
        "-QM1",
        short_circuit_ratings=ratings,
        self_protected=True,
        standards=["UL 60947-4-1"],
    )
    assert told(canada(controller, motor("-MA1", "-QM1")), REFUSED) == [("error", "-QM1")]


def test_other_parts_are_warned_of() -> None:
    rated = canada(
        breaker("-FC1", **BOTH), contactor("-QA1", "-FC1", "18 kA", standards=["UL 508"]), motor("-MA1", "-QA1")
    )
    assert rated.rating is not None and rated.rating.current == 18_000_000
    assert told(rated, REFUSED) == [("warning", "-QA1")]


def test_a_device_that_does_not_count_is_warned_of() -> None:
    """What stands in a control circuit holds no rating, but it goes to Canada with the panel."""
    tap = breaker("-FC2", circuit="control", **BOTH)
    behind = breaker("-FC3", "-TA2", circuit="control", **UL_ONLY)
    control = [tap, transformer("-TA2", "-FC2", circuit="control"), behind, part("load", "-KF3", "-FC3")]
    rated = canada(breaker("-FC1", **BOTH), motor("-MA1", "-FC1"), *control)
    assert rated.rating is not None
    assert told(rated, REFUSED) == [("warning", "-FC3")]


def test_what_states_no_standard_is_noted_once() -> None:
    rated = canada(breaker("-FC1"), contactor("-QA1", "-FC1", "18 kA"), motor("-MA1", "-QA1"))
    assert told(rated, "canadian-certification-unstated") == [("note", None)]
    message = next(each.message for each in rated.findings if each.code == "canadian-certification-unstated")
    assert message.endswith(": -FC1, -QA1")
    many = canada(*(breaker(f"-FC{n}") for n in range(25)), *(motor(f"-MA{n}", f"-FC{n}") for n in range(25)))
    message = next(each.message for each in many.findings if each.code == "canadian-certification-unstated")
    assert message.endswith("-FC19 and 5 more")


@pytest.mark.parametrize(
    ("standard", "counts"),
    [
        ("CSA C22.2 No. 5", True),
        ("csa C22.2 No. 5", True),
        ("C22.2 No. 5", True),
        ("CAN/CSA-C22.2 No. 60947-2", True),
        ("cULus", True),
        ("CUL listed", True),
        ("CSA US", False),
        ("CSAus", False),
        ("UL 489 (CSA too)", False),
        ("IEC 60947-2", False),
        ("ULC", False),
    ],
)
def test_which_standards_speak_for_canada(standard: str, counts: bool) -> None:
    rated = canada(breaker("-FC1", standards=["UL 489", standard]), motor("-MA1", "-FC1"))
    assert (rated.rating is not None) is counts


def test_every_step_says_what_is_known_from_memory_and_cites_a_clause_that_is_listed() -> None:
    rated = canada(breaker("-FC1", **BOTH), contactor("-QA1", "-FC1"), motor("-MA1", "-QA1"))
    listed = {clause.text for clause in tables().clauses.values()}
    assert rated.derivation
    for step in rated.derivation:
        assert step.statement.endswith(" [clause from memory]")
        assert step.clause in listed
    assert {each.clause for each in rated.limited_by} <= listed
    assert {each.clause for each in rated.findings} <= listed
    first = rated.derivation[0]
    assert "; UL 508A: the rating is one by UL 489, here by CSA C22.2 No. 5 [" in first.statement
    assert "Table SB4.1 of UL 508A" in next(each for each in rated.derivation if each.component == "-QA1").statement


def test_what_the_document_says_stays_as_it_says_it() -> None:
    exempt = contactor("NEC 110.9", "-FC1", exempt={"reason": "see Table SB4.1", "reference": "SB4.3"})
    rated = canada(breaker("-FC1", **BOTH), exempt, motor("-MA1", "NEC 110.9"))
    message = next(each.message for each in rated.findings if each.code == "exempted")
    assert "see Table SB4.1, reference SB4.3" in message
    assert next(each for each in rated.components if each.id == "NEC 110.9").because.count("of UL 508A") == 0


@pytest.mark.parametrize(
    ("voltage", "noted"), [("600Y/347 V", False), ("208Y/120 V", False), ("480Y/277 V", True), ("400Y/230 V", True)]
)
def test_a_voltage_that_is_not_nominal_is_noted(voltage: str, noted: bool) -> None:
    supply = {"voltage": voltage, "system": "solidly_grounded_wye"}
    rated = canada(breaker("-FC1", voltage="600Y/347 V", **BOTH), motor("-MA1", "-FC1"), supply=supply)
    assert rated.rating is not None
    assert bool(told(rated, "voltage-not-nominal")) is noted


def test_the_method_names_the_standard_and_a_digest_of_its_own() -> None:
    method = canada(breaker("-FC1"), motor("-MA1", "-FC1")).method
    assert (method.standard, method.edition) == ("CSA C22.2 No. 286", CSA)
    assert method.tables_digest == tables().digest != sccr.rate(panel(breaker("-FC1"))).method.tables_digest
