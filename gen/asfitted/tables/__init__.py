"""Published data as CSV, each row with its source, and their look-ups; one module per rule set.

`data/` holds the rows. A look-up returns a `Looked` (value, source, how far it was verified) or raises
`NoRowError`; what to do without a published row is decided by the study, which prints it as an assumption.
"""
