"""Energy: what each kind of day takes and brings, how long the battery lasts, what may run together."""
