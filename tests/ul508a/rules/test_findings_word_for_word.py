"""Findings that change no rating, whole: severity, code, component, clause and message, as an engineer reads them."""

import pytest

from sccr import rate
from tests.drawing import DELTA
from tests.drawing import TWO_WIRE
from tests.drawing import WYE
from tests.drawing import Document
from tests.drawing import behind_fuse
from tests.drawing import breaker
from tests.drawing import contactor
from tests.drawing import interrupts
from tests.drawing import panel
from tests.drawing import part
from tests.drawing import transformer

Told = tuple[str, str, str | None, str, str]

NO_REFERENCE: Told = (
    "warning",
    "exemption-without-reference",
    "KM1",
    "SB4.2",
    "the exemption names no reference: state where it is written",
)
NOT_ISOLATED: Told = (
    "note",
    "isolation-not-stated",
    "TA1",
    "SB4.3.1",
    "isolated is not stated: taken as two windings",
)
NO_IMPEDANCE: Told = (
    "warning",
    "impedance-missing",
    "TA1",
    "SB4.3.1",
    "no %Z is stated: what the secondary can deliver is not known",
)


def one(severity: str, code: str, component: str | None, clause: str, message: str) -> Told:
    return severity, code, component, clause, message


def with_transformer(kva: str | None = "5 kVA", **more: object) -> Document:
    return panel(breaker("FC1"), transformer("TA1", "FC1", kva, phases=1, **more), breaker("FC2", "TA1", "5 kA"))


CASES: dict[str, tuple[Document, list[Told]]] = {
    "an exemption without a reference": (
        panel(breaker("FC1"), contactor("KM1", "FC1", exempt={"reason": "tested as built"})),
        [one("warning", "exempted", "KM1", "SB4.2", "exempted by the document: tested as built"), NO_REFERENCE],
    ),
    "an exemption with one": (
        panel(breaker("FC1"), contactor("KM1", "FC1", exempt={"reason": "tested as built", "reference": "report 7"})),
        [one("warning", "exempted", "KM1", "SB4.2", "exempted by the document: tested as built, reference report 7")],
    ),
    "a wye point that is no contactor": (
        panel(breaker("FC1"), part("overload_relay", "FR1", "FC1", position="wye_point")),
        [
            one(
                "warning",
                "position-without-effect",
                "FR1",
                "SB4.2",
                "position wye_point exempts a contactor only; this overload relay counts",
            )
        ],
    ),
    "the output of a drive": (
        panel(breaker("FC1"), contactor("KM1", "FC1", position="drive_output")),
        [
            one(
                "note",
                "drive-output-counted",
                "KM1",
                "SB4.2",
                "on the output of a drive: not settled whether it needs a rating; it counts",
            )
        ],
    ),
    "another position says nothing": (panel(breaker("FC1"), contactor("KM1", "FC1", position="wye_point")), []),
    "a transformer without its size": (
        with_transformer(None),
        [
            one("warning", "transformer-size-missing", "TA1", "SB4.3.1", "kva is not stated: no size rule applies"),
            NO_IMPEDANCE,
            NOT_ISOLATED,
        ],
    ),
    "a supply that feeds nothing": (
        panel(breaker("FC1"), supplies=[{"id": "S", **WYE}, {"id": "T", **DELTA}]),
        [one("note", "supply-without-load", None, "SB4.4", "supply T feeds nothing")],
    ),
    "a supplementary protector behind two feeders": (
        panel(
            breaker("FC0"),
            breaker("FC1"),
            part("supplementary_protector", "FA1", ["FC0", "FC1"]),
            breaker("FC2", "FC0"),
            breaker("FC3", "FC1"),
        ),
        [
            one(
                "warning",
                "supplementary-behind-feeder",
                "FA1",
                "SB4.2",
                "a supplementary protector behind FC0, FC1, which also feeds branch devices",
            )
        ],
    ),
    "a primary that does not suit its circuit": (
        with_transformer(primary="431 V"),
        [
            one("warning", "transformer-primary-voltage", "TA1", "SB4.3.1", "primary 431 V in a circuit of 480 V"),
            NOT_ISOLATED,
        ],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_is_found(name: str) -> None:
    document, told = CASES[name]

    assert [tuple(finding) for finding in rate(document).findings] == told


@pytest.mark.parametrize(
    ("primary", "warned"), [("432 V", False), ("431.9 V", True), ("528 V", False), ("528.1 V", True)]
)
def test_a_primary_may_lie_a_tenth_off(primary: str, warned: bool) -> None:
    """Common practice, no source: 10 % of 480 V."""
    codes = [finding.code for finding in rate(with_transformer(primary=primary)).findings]

    assert ("transformer-primary-voltage" in codes) == warned


def test_a_transformer_without_a_primary_hides_none_of_the_next() -> None:
    document = panel(
        breaker("FC1"),
        transformer("TA1", "FC1", phases=1, isolated=True),
        breaker("FC2", "TA1", "5 kA"),
        transformer("TA2", "FC1", phases=1, isolated=True, primary="240 V"),
        breaker("FC3", "TA2", "5 kA"),
    )

    found = [finding.component for finding in rate(document).findings if finding.code == "transformer-primary-voltage"]

    assert found == ["TA2"]


def test_a_part_that_marks_anything_needs_no_catalogue() -> None:
    def told(**marks: object) -> bool:
        document = panel(breaker("FC1"), contactor("KM1", "FC1", part="C-9", **marks), supply=TWO_WIRE)
        return "part-not-looked-up" in [finding.code for finding in rate(document).findings]

    assert told()
    assert not told(short_circuit_ratings=[{"voltage": "600 V", "current": "5 kA"}])


ERRORS: dict[str, tuple[Document, list[Told]]] = {
    "control circuits only": (
        panel(part("terminal_block", "XT1", circuit="control"), part("load", "PL1", "XT1", circuit="control")),
        [
            one(
                "note",
                "rating-not-required",
                None,
                "SB4.2",
                "control circuits only: the panel needs no short-circuit current rating",
            )
        ],
    ),
    "a field device below its voltage": (
        panel(
            contactor("KM1", "S", "5 kA"),
            supply={
                **WYE,
                "upstream_protection": {
                    "device": "fuse",
                    "fuse_class": "J",
                    "ampere_rating": "100 A",
                    "interrupting_ratings": interrupts("200 kA", "300 V"),
                },
            },
        ),
        [
            one(
                "error",
                "upstream-not-relied-on",
                "S",
                "SB4.2",
                "the branch device outside the panel cannot be relied on: "
                "marked 200 kA at 300 V: none serves 480 V, solidly grounded wye",
            )
        ],
    ),
    "a field breaker that states nothing": (
        panel(
            contactor("KM1", "S", "5 kA"),
            supply={**WYE, "upstream_protection": {"device": "circuit_breaker", "ampere_rating": "100 A"}},
        ),
        [
            one(
                "error",
                "upstream-not-relied-on",
                "S",
                "SB4.2",
                "the branch device outside the panel cannot be relied on: "
                "a breaker outside the panel needs a stated interrupting rating",
            )
        ],
    ),
    "a part below its circuit's voltage": (
        panel(breaker("FC1"), contactor("KM1", "FC1", "5 kA", voltage_rating="240 V")),
        [
            one(
                "error",
                "voltage-above-rating",
                "KM1",
                "SB4.2",
                "voltage rating 240 V does not serve 480 V, solidly grounded wye",
            )
        ],
    ),
    "a slash voltage on a delta": (
        panel(breaker("FC1", voltage_rating="480Y/277 V"), supply=DELTA),
        [
            one(
                "error",
                "slash-rating-on-system",
                "FC1",
                "SB4.2",
                "voltage rating 480Y/277 V does not serve 480 V, ungrounded delta",
            )
        ],
    ),
    "a single pole between lines": (
        panel(breaker("FC1", poles=1), supply=DELTA),
        [
            one(
                "error",
                "single-pole-line-to-line",
                "FC1",
                "SB4.2",
                "single-pole on 480 V, ungrounded delta without a neutral: needs a line-to-line marking",
            )
        ],
    ),
    "a supplementary one": (
        panel(
            breaker("QA1"),
            part("supplementary_protector", "FA1", "QA1", poles=1, interrupting_ratings=interrupts("5 kA")),
            supply=DELTA,
        ),
        [
            one(
                "error",
                "single-pole-line-to-line",
                "FA1",
                "SB4.2",
                "single-pole on 480 V, ungrounded delta without a neutral: needs a line-to-line marking",
            )
        ],
    ),
    "several markings, none of which serves": (
        panel(
            part(
                "circuit_breaker", "FC1", interrupting_ratings=interrupts("5 kA", "120 V") + interrupts("3 kA", "240 V")
            )
        ),
        [
            one(
                "error",
                "voltage-above-rating",
                "FC1",
                "SB4.2",
                "marked 5 kA at 120 V, 3 kA at 240 V: none serves 480 V, solidly grounded wye",
            )
        ],
    ),
}


@pytest.mark.parametrize("name", ERRORS)
def test_what_withholds_or_spares_a_rating(name: str) -> None:
    document, told = ERRORS[name]

    assert [tuple(finding) for finding in rate(document).findings if finding.severity != "warning"] == told


def test_an_assumed_value_is_cut_by_a_lower_marking_that_does_not_hold() -> None:
    document = panel(
        breaker("FC1"), contactor("KM1", "FC1", short_circuit_ratings=[behind_fuse("3 kA", ["J"], "30 A")])
    )

    assert rate(document).components[1].because == (
        "unmarked contactor, 0 to 50 hp (0 to 37.3 kW): 5 kA, Table SB4.1, but no more than its marked 3 kA"
    )
