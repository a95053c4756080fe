"""Rules as they are cited: the clause, what is known from memory alone, and what UL 508A decides otherwise."""

from functools import lru_cache

from sccr.iec61439.tables import Tables

FROM_MEMORY = " [clause from memory]"


@lru_cache(maxsize=256)
def clause(tables: Tables, rule: str) -> str:
    """Return the clause of a rule, such as 'IEC 61439-1 10.11.2'."""
    return tables.clauses[rule].text


@lru_cache(maxsize=1024)
def told(tables: Tables, rule: str, statement: str) -> str:
    """Return a statement of the derivation with how UL 508A differs and whether the clause is known from memory."""
    difference = tables.differences.get(rule)
    if difference is not None:
        statement += f"; UL 508A: {difference}"
    return statement + (FROM_MEMORY if tables.clauses[rule].from_memory else "")
