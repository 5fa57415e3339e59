"""Pages and tables about the functions, generated from the registry."""
