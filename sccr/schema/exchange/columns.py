"""The columns of a table of parts, in their order. What people write in them: columns.md."""

from dataclasses import dataclass
from typing import Final

from sccr.schema.exchange.forms import Form
from sccr.schema.exchange.forms import Number
from sccr.schema.exchange.forms import Unwritten
from sccr.schema.exchange.forms import Whole
from sccr.schema.exchange.forms import Words
from sccr.schema.exchange.forms import YesNo
from sccr.schema.exchange.ratings import AmbientForm
from sccr.schema.exchange.ratings import CapacityForm
from sccr.schema.exchange.ratings import LetThroughForm
from sccr.schema.exchange.ratings import RatingForm
from sccr.schema.exchange.ratings import ShortTimeForm


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its header, the place in a document that it fills, and how a value is written.

    many: a list, of which the form is that of an entry, and which may be continued in further columns of the name;
    single: a list of one is written without brackets in a document; required: no table is without it.
    """

    name: str
    form: Form
    many: bool = False
    single: bool = False
    required: bool = False
    field: str | None = None

    @property
    def path(self) -> tuple[str, ...]:
        """Return the place in a document."""
        return tuple((self.field or self.name).split("."))


_INTERRUPTING: Final = RatingForm("35 kA @ 480Y/277 V")
_SHORT_CIRCUIT: Final = RatingForm("100 kA @ 480 V behind fuse J, CC max 30 A", "protected_by")
_SERIES: Final = RatingForm(
    "25 kA @ 480Y/277 V behind breaker OAT-3P-100 max 100 A [record 7]", "line_side", reference=True
)
_CONDITIONAL: Final = RatingForm("50 kA @ 400 V behind fuse gG max 63 A type 2", "protected_by", coordination=True)
_BACK_UP: Final = RatingForm("50 kA @ 230/400 V behind fuse gG max 100 A [record 8]", "line_side", reference=True)

#: What is marked on a part: the columns that parts and the components of a panel have in common.
MARKING_COLUMNS: Final = (
    Column("poles", Whole()),
    Column("ampere_rating", Words()),
    Column("voltage_rating", Words()),
    Column("horsepower", Words()),
    Column("phases", Whole()),
    Column("fuse_class", Words()),
    Column("interrupting_ratings", _INTERRUPTING, many=True),
    Column("short_circuit_ratings", _SHORT_CIRCUIT, many=True),
    Column("series_ratings", _SERIES, many=True),
    Column("current_limiting", YesNo()),
    Column("let_through", LetThroughForm(), many=True),
    Column("self_protected", YesNo()),
    Column("line_to_line", YesNo()),
    Column("full_load_current", Words()),
    Column("transformer.kva", Words()),
    Column("transformer.primary", Words()),
    Column("transformer.secondary", Words(), many=True, single=True),
    Column("transformer.secondary_system", Words(), many=True, single=True),
    Column("transformer.phases", Whole()),
    Column("transformer.impedance", Words()),
    Column("transformer.isolated", YesNo()),
    Column("transformer", Unwritten()),
    Column("standards", Words(), many=True),
    Column("accessories", Words(), many=True),
    Column("accessory_limit", Whole()),
    Column("mounting", Words()),
    Column("trip_curve", Words()),
    Column("utilization_category", Words()),
    Column("breaking_capacities", CapacityForm("icu 36 kA @ 400 V"), many=True),
    Column("conditional_ratings", _CONDITIONAL, many=True),
    Column("short_time_ratings", ShortTimeForm(), many=True),
    Column("back_up_ratings", _BACK_UP, many=True),
    Column("clearing_time", Words()),
)

PART_COLUMNS: Final = (
    Column("part", Words(), required=True),
    Column("kind", Words(), required=True),
    Column("description", Words()),
    *MARKING_COLUMNS,
    Column("time_delay", YesNo()),
    Column("ambient_ratings", AmbientForm(), many=True),
    Column("price", Words()),
    Column("price_number", Number(), field="price"),
    Column("stock", Whole()),
)
