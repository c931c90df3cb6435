"""Layered layout of diagrams after Sugiyama, with the habits of electrical drawings. Pure geometry in millimetres."""

from .page import PAPERS, Bar, Box, Dot, Frame, Line, Page, Paper, Port, Text
from .choose import lay_out_sheet
from .sheets import Sheet, Wording, divide, lay_out

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
    "Wording",
    "divide",
    "lay_out",
    "lay_out_sheet",
]
