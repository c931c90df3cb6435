"""What every chapter draws on: the study, the names and anchors of things, the figures."""

from dataclasses import dataclass, field
from functools import cached_property

from markupsafe import Markup

from asfitted.chapters.anchors import anchors
from asfitted.description.audience import Edition
from asfitted.description.kinds import Inline
from asfitted.escape import escape
from asfitted.network.labels import kind_word
from asfitted.network.model import Item
from asfitted.studies.decisions import DecisionResult
from asfitted.studies.procedures.model import Procedures
from asfitted.studies.procedures.study import procedures
from asfitted.studies.study import Study


@dataclass(frozen=True)
class Picture:
    """A figure as a chapter places it: its file and anchor, named by us, and its words."""

    path: Markup
    anchor: Markup
    alt: str
    caption: str


@dataclass(frozen=True)
class Book:
    """One edition of one build, before it is cut into pages.

    `states` has the figures of each state, `links_in_use` the earthing with each set of links in use,
    `fault_paths` the worst faults, `energy` the plots of each house battery, `time_lines` the changeovers,
    `time_currents` the curves of each chain of devices, `wiring` the boards, `plan` where things are;
    `decisions` are studied apart, since that takes longest of all.
    """

    study: Study
    edition: Edition
    draft: bool
    single_line: tuple[Picture, ...]
    states: dict[str, tuple[Picture, ...]]
    earthing: tuple[Picture, ...] = ()
    links_in_use: tuple[Picture, ...] = ()
    fault_paths: tuple[Picture, ...] = ()
    energy: dict[str, tuple[Picture, ...]] = field(default_factory=dict)
    time_lines: tuple[Picture, ...] = ()
    time_currents: tuple[Picture, ...] = ()
    wiring: tuple[Picture, ...] = ()
    plan: tuple[Picture, ...] = ()
    decisions: tuple[DecisionResult, ...] = ()

    @cached_property
    def state_names(self) -> dict[str, str]:
        """State -> its name on pages."""
        return {state.id: state.name for state in self.study.states}

    @cached_property
    def state_anchors(self) -> dict[str, Markup]:
        """State -> its anchor on the page of states."""
        return anchors("state", (state.id for state in self.study.states))

    @cached_property
    def cable_anchors(self) -> dict[str, Markup]:
        """Cable -> its anchor on the page of circuits."""
        return anchors("cable", self.study.network.cables)

    @cached_property
    def item_anchors(self) -> dict[str, Markup]:
        """Equipment -> its anchor: a device on its page, all else in the list of parts."""
        return anchors("part", self.study.network.items)

    @cached_property
    def procedures(self) -> Procedures:
        """What to do with this build, step by step."""
        return procedures(self.study)

    def is_device(self, item: Item) -> bool:
        """Tell whether a piece of equipment stands on the page of protective and switching devices."""
        return isinstance(item.spec, Inline) and item.kind != "meter"

    def state(self, id_: str) -> Markup:
        """Return a link to a state by its name."""
        return _link(self.state_names[id_], f"states.md#{self.state_anchors[id_]}")

    def item(self, id_: str) -> Markup:
        """Return a link to a piece of equipment by its name."""
        item = self.study.network.items[id_]
        page = "devices" if self.is_device(item) else "parts"
        return _link(item.name, f"{page}.md#{self.item_anchors[id_]}", designation=True)

    def cable(self, id_: str) -> Markup:
        """Return a link to a cable."""
        return _link(id_, f"circuits.md#{self.cable_anchors[id_]}", designation=True)

    def thing(self, id_: str) -> Markup:
        """Return a link to equipment or cable, whichever bears the id; else the id itself."""
        if id_ in self.study.network.items:
            return self.item(id_)
        return self.cable(id_) if id_ in self.study.network.cables else Markup(escape(id_))  # noqa: S704  (escaped)

    def things(self, ids: tuple[str, ...]) -> Markup:
        """Return links to several things, with commas between."""
        return Markup(", ").join(self.thing(id_) for id_ in dict.fromkeys(ids))

    def states_text(self, ids: tuple[str, ...]) -> Markup:
        """Return links to several states, with semicolons between."""
        return Markup("; ").join(self.state(id_) for id_ in ids)

    def described(self, id_: str) -> str:
        """Return name and kind of a piece of equipment: `F1 (RCBO)`."""
        item = self.study.network.items[id_]
        return f"{item.name} ({kind_word(item)})"


def _link(label: str, target: str, designation: bool = False) -> Markup:
    mark = "{: .designation }" if designation else ""
    return Markup(f"[{escape(label)}]({target}){mark}")  # noqa: S704  (escaped; targets are ours)
