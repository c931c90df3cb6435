"""Layered layout after Sugiyama, with the habits of electrical drawings. Pure geometry in millimetres."""

from .choose import lay_out_sheet
from .page import PAPERS, Bar, Box, Dot, Frame, Line, Page, Paper, Port, Text
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
