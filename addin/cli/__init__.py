"""The weavefuncs command."""
