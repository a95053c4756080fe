"""The schema, step by step. A step that was released never changes; a change is a new step."""
