"""Procedures: which steps apply to a build, on which of its devices, with which reading, in which state."""
