"""How the standard is applied: a module a clause, each a function of what the clauses before it concluded."""
