"""Three years of an invented laboratory, as the acts of its people (tools/make_hollowmere.py)."""
