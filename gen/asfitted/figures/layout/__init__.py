"""Layered layout of diagrams after Sugiyama, with the habits of electrical drawings. Pure geometry in millimetres."""

from .page import PAPERS, Bar, Box, Dot, Frame, Line, Page, Paper, Port, Text
from .sheets import Sheet, divide, lay_out, lay_out_sheet

__all__ = [
    "PAPERS",
    "Bar",
    "Box",
    "Dot",
    "Frame",
    "Line",
    "Page",
    "Paper",
    "Port",
    "Sheet",
    "Text",
    "divide",
    "lay_out",
    "lay_out_sheet",
]
