"""From JSON to a panel: the only package that doubts what it is given and that knows marshmallow and pint."""
