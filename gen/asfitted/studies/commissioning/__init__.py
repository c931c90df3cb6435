"""Commissioning: the tests of this build, what they should read, and what was read."""
