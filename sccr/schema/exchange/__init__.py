"""A catalogue as a table, in and out: CSV and XLSX. What stands in the cells is told in columns.md."""

from sccr.schema.exchange.exporting import export_csv as export_csv
from sccr.schema.exchange.exporting import export_xlsx as export_xlsx
from sccr.schema.exchange.importing import CSV as CSV
from sccr.schema.exchange.importing import XLSX as XLSX
from sccr.schema.exchange.importing import ImportResult as ImportResult
from sccr.schema.exchange.importing import import_table as import_table
from sccr.schema.exchange.problem import RowProblem as RowProblem
from sccr.schema.exchange.problem import UnsupportedTable as UnsupportedTable

__all__ = [
    "CSV",
    "XLSX",
    "ImportResult",
    "RowProblem",
    "UnsupportedTable",
    "export_csv",
    "export_xlsx",
    "import_table",
]
