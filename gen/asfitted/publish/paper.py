"""Sheet sizes and type sizes of the book; shared by the Typst templates and the table widths."""

from dataclasses import asdict, dataclass

from asfitted.publish.model import PaperName

PT_PER_MM = 72 / 25.4


@dataclass(frozen=True)
class Paper:
    """A sheet and its type area; lengths in mm, type in pt.

    `figure_…` are the margins of a sheet that holds one figure alone.
    """

    width_mm: float
    height_mm: float
    inner_mm: float
    outer_mm: float
    top_mm: float
    bottom_mm: float
    body_pt: float
    figure_side_mm: float
    figure_top_mm: float
    figure_bottom_mm: float

    def text_width_pt(self, landscape: bool = False) -> float:
        """Width of the type area in pt."""
        across_mm = self.height_mm if landscape else self.width_mm
        return (across_mm - self.inner_mm - self.outer_mm) * PT_PER_MM

    def text_height_pt(self, landscape: bool = False) -> float:
        """Height of the type area in pt."""
        down_mm = self.width_mm if landscape else self.height_mm
        return (down_mm - self.top_mm - self.bottom_mm) * PT_PER_MM

    def figure_room_pt(self, landscape: bool) -> tuple[float, float]:
        """Width and height of a sheet that holds nothing but a figure and its caption, in pt."""
        across_mm, down_mm = self.width_mm, self.height_mm
        if landscape:
            across_mm, down_mm = down_mm, across_mm
        return (
            (across_mm - 2 * self.figure_side_mm) * PT_PER_MM,
            (down_mm - self.figure_top_mm - self.figure_bottom_mm) * PT_PER_MM,
        )

    def data(self) -> dict[str, float]:
        """The lengths as the templates read them."""
        return asdict(self)


PAPERS: dict[PaperName, Paper] = {
    "A4": Paper(210, 297, 24, 20, 26, 24, 10, figure_side_mm=14, figure_top_mm=15.5, figure_bottom_mm=13.5),
    "Letter": Paper(
        215.9, 279.4, 25, 22, 25, 23, 10, figure_side_mm=14, figure_top_mm=15, figure_bottom_mm=13.5
    ),
    "A5": Paper(148, 210, 15, 13, 19, 17, 9, figure_side_mm=12, figure_top_mm=13, figure_bottom_mm=12),
}
