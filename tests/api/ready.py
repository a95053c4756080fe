"""What a process has ready before a service is forked of it: all that services import, the lazily imported, too."""

from pathlib import Path

import alembic.command as alembic_command
import yaml as yaml

import api.plates as plates
import api.reports as reports
import api.server as server
import sccr.comparison as comparison
import sccr.report.diagram.as_svg as as_svg
from api.page import files
from sccr import Catalogue
from sccr import rate

__all__ = ["alembic_command", "as_svg", "comparison", "plates", "reports", "server", "yaml"]

FIXTURES = Path(__file__).parents[2] / "fixtures"  # of `conftest`, which imports much that no service needs

parts = Catalogue.from_document((FIXTURES / "catalogue" / "grain.json").read_bytes())
rate((FIXTURES / "panels" / "all_marked.json").read_bytes(), parts)
files.index()
