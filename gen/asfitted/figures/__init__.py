"""Figures: an abstract diagram is laid out in millimetres, then drawn as SVG with IEC 60617 symbols."""
