"""The build as a graph: terminals, conductors, contacts, operating states, flow of current."""
