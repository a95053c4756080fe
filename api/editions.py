"""The editions of the method that a document may ask for."""

from flask import Blueprint
from flask import Response

from sccr.editions import DEFAULT_EDITION
from sccr.editions import RuleSet
from sccr.editions import editions

from .access import Role
from .access import require
from .answers import as_fixed
from .answers import as_json
from .answers import require_acceptable

blueprint = Blueprint("editions", __name__, url_prefix="/v1")


@blueprint.get("/editions")
@require(Role.READ)
def list_editions() -> Response:
    """List the editions, the default first."""
    require_acceptable()
    return as_fixed(as_json({"editions": [_edition(rules) for rules in editions().values()]}))


def _edition(rules: RuleSet) -> dict[str, str | bool]:
    return {
        "id": rules.id,
        "title": rules.title,
        "standard": rules.standard,
        "status": rules.status,
        "default": rules.id == DEFAULT_EDITION,
        "tables_digest": rules.tables_digest(),
    }
