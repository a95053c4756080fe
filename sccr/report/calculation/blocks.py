"""What a report is made of: sections of facts, tables, sentences, the diagram and a place to sign."""

from dataclasses import dataclass

NOTHING = "–"


@dataclass(frozen=True, slots=True)
class Facts:
    """Names with what is stated of them."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, and its share of the width."""

    heading: str
    share: float


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells; `strong` are the numbers of the rows that stand out, counted from 0."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Sentences:
    """Sentences, each on its own; where `listed`, as a list."""

    texts: tuple[str, ...]
    listed: bool = False


@dataclass(frozen=True, slots=True)
class Diagram:
    """The place of the one-line diagram."""

    legend: str


@dataclass(frozen=True, slots=True)
class Signatures:
    """Who signs: a line each for name, signature and date."""

    signers: tuple[str, ...]


Block = Facts | Table | Sentences | Diagram | Signatures


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands below it; with a page of its own, it can be filed by itself."""

    heading: str
    blocks: tuple[Block, ...]
    own_page: bool = False


@dataclass(frozen=True, slots=True)
class Report:
    """The whole report. `rated` says whether there is a rating to print large."""

    heading: str
    subject: str
    designation: str
    status: str
    headline: str
    rated: bool
    digest: str
    sections: tuple[Section, ...]
