"""The rules, a module a group; each is a function of what the groups before it concluded."""
