"""The craft: lettering, methods, setups, readings, plans."""
