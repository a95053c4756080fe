"""The sentences that every form of the report shares."""

from sccr.adequacy import Adequacy
from sccr.adequacy import Comparison
from sccr.result import SHORT
from sccr.result import Rating
from sccr.units import current_text


def title(rating: Rating) -> str:
    """Return the panel's designation, title and revision in one line."""
    panel = rating.panel
    words = [panel.get("designation", ""), panel.get("title", "")]
    if panel.get("revision"):
        words.append(f"revision {panel['revision']}")
    return " · ".join(word for word in words if word)


def headline(rating: Rating) -> str:
    """Return the rating as it is marked, or that there is none."""
    if rating.rating is not None:
        return rating.rating.text
    needless = any(finding.code == "rating-not-required" for finding in rating.findings)
    return "no rating needed" if needless else "no rating may be marked"


def derivation_heading(extent: str) -> str:
    """Return the heading of a derivation that is written in full or in short."""
    return "Derivation: what the marking rests on" if extent == SHORT else "Derivation"


def adequacy_lines(adequacy: Adequacy) -> list[tuple[bool | None, str]]:
    """Return a sentence for each comparison, with whether it is covered."""
    lines: list[tuple[bool | None, str]] = [
        (c.adequate, f"available at {c.supply}: {current_text(c.current)}{_how(c)}, {verdict(c)}")
        for c in adequacy.supplies
    ]
    if not lines:
        lines.append((None, "the available fault current is not stated: adequacy is not known"))
    if adequacy.target is not None:
        target = adequacy.target
        lines.append((target.adequate, f"target of the order: {current_text(target.current)}, {verdict(target)}"))
    return lines


def _how(comparison: Comparison) -> str:
    return " (computed)" if comparison.basis.startswith("computed") else ""


def verdict(comparison: Comparison) -> str:
    """Return whether a current is covered, and by what margin."""
    if comparison.margin is None:
        return "not covered: there is no rating"
    if comparison.adequate:
        return f"covered, margin {current_text(comparison.margin)}"
    if comparison.margin >= 0:
        devices = ", ".join(comparison.exceeded)
        return f"NOT covered: for its X/R, {devices} would have to interrupt more than marked"
    return f"NOT covered, short by {current_text(-comparison.margin)}"


def method_line(rating: Rating) -> str:
    """Return by what the rating was made."""
    method = rating.method
    catalogue = f", catalogue {method.catalogue_digest[:12]}" if method.catalogue_digest else ""
    return (
        f"{method.standard}; {method.edition}; engine {method.engine_version}; "
        f"tables {method.tables_digest[:12]}{catalogue}; document {rating.document_digest[:12]}"
    )
