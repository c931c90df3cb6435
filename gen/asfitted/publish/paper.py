"""Sheet sizes and type sizes of the book; shared by the Typst templates and the table widths."""

from dataclasses import asdict, dataclass

from asfitted.publish.model import PaperName

PT_PER_MM = 72 / 25.4


@dataclass(frozen=True)
class Paper:
    """A sheet and its type area; lengths in mm, type in pt."""

    width_mm: float
    height_mm: float
    inner_mm: float
    outer_mm: float
    top_mm: float
    bottom_mm: float
    body_pt: float

    def text_width_pt(self, landscape: bool = False) -> float:
        """Width of the type area in pt."""
        across_mm = self.height_mm if landscape else self.width_mm
        return (across_mm - self.inner_mm - self.outer_mm) * PT_PER_MM

    def text_height_pt(self, landscape: bool = False) -> float:
        """Height of the type area in pt."""
        down_mm = self.width_mm if landscape else self.height_mm
        return (down_mm - self.top_mm - self.bottom_mm) * PT_PER_MM

    def data(self) -> dict[str, float]:
        """The lengths as the templates read them."""
        return asdict(self)


PAPERS: dict[PaperName, Paper] = {
    "A4": Paper(210, 297, inner_mm=24, outer_mm=20, top_mm=26, bottom_mm=24, body_pt=10),
    "Letter": Paper(215.9, 279.4, inner_mm=25, outer_mm=22, top_mm=25, bottom_mm=23, body_pt=10),
    "A5": Paper(148, 210, inner_mm=15, outer_mm=13, top_mm=19, bottom_mm=17, body_pt=9),
}
