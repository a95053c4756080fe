"""Many panels: in their order, each once, whoever rates and whatever happens to him."""
