"""The build description: reader with positions, kinds of equipment, short forms, schema, starter."""
