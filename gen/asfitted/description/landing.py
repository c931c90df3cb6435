"""Where a core lands: on the terminal a thing has for it, or else on the bar of the thing's board."""

from dataclasses import dataclass, field

from asfitted.description.draft import Draft
from asfitted.description.kinds import Equipment, Inline
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, meant
from asfitted.description.tree import Scalar, Sequence

#: kind of run -> conductors of its cables
CONDUCTORS = {
    "ac": ("L", "N", "PE"),
    "dc": ("plus", "minus"),
    "plus": ("plus",),
    "minus": ("minus",),
    "earth": ("PE",),
    "bond": ("bond",),
    "L": ("L",),
    "N": ("N",),
}
BAR_OF = {
    "L": "line bar",
    "L1": "line 1 bar",
    "L2": "line 2 bar",
    "N": "neutral bar",
    "PE": "earth bar",
    "plus": "plus bar",
    "minus": "minus bar",
}


@dataclass(frozen=True)
class Thing:
    """An item of a run that a conductor can reach: equipment, one of its ports, or a whole board."""

    id: str
    port: str | None
    mark: Mark
    board: bool = False


def poles_contacts(poles: str, conductors: tuple[str, ...]) -> tuple[str, ...]:
    """Return the conductors in which a device has contacts: as many as it has poles, lines first."""
    live = [c for c in conductors if c != "PE"]
    lines = [c for c in live if c in ("L", "L1", "L2", "plus")]
    if poles in ("1P", ""):
        return tuple((lines or live)[:1])
    if poles == "2P" and len(lines) >= 2:
        return tuple(lines[:2])
    return tuple(live[: {"1P+N": 2, "2P": 2, "3P": 3, "4P": 4}[poles]])


def give_contacts(draft: Draft, conductors: tuple[str, ...], kind: str) -> None:
    """Write into an in-line device in which conductors it has contacts, if the description has not."""
    if draft.kind is None or not issubclass(draft.kind, Inline) or "contacts" in draft.fields:
        return
    poles = draft.text("poles")
    if poles not in ("", "1P", "1P+N", "2P", "3P", "4P"):
        return
    contacts = poles_contacts(poles, conductors)
    mark = draft.id.mark
    draft.put("contacts", Sequence(tuple(Scalar(c, mark) for c in contacts), mark))


@dataclass
class Landing:
    """Finds the terminal for each end of a core; what cannot be landed is a problem."""

    equipment: dict[str, Draft]
    boards: dict[str, dict[str, str]]
    problems: list[Problem] = field(default_factory=list)

    def known(self, thing: Thing) -> bool:
        """Tell whether the thing exists and has the port named; if not, it becomes a problem."""
        if thing.board:
            return True
        draft = self.equipment.get(thing.id)
        if draft is None:
            advice = meant(thing.id, [*self.equipment, *self.boards])
            self._say("unknown id", thing.mark, id=thing.id, meant=advice)
            return False
        if draft.kind is None:
            return False
        if thing.port is not None and thing.port not in self._ports(draft.kind):
            ports = [port for port in self._ports(draft.kind) if port]
            self._say(
                "unknown port",
                thing.mark,
                id=thing.id,
                port=thing.port,
                kind=draft.kind.KIND,
                meant=meant(thing.port, ports),
            )
            return False
        return True

    def board_of(self, thing: Thing) -> str | None:
        """Return the board in which a thing sits, if it is known."""
        if thing.board:
            return thing.id
        draft = self.equipment.get(thing.id)
        return (draft.text("in") or None) if draft is not None else None

    def ends(self, a: Thing, b: Thing, conductor: str, cable: str) -> tuple[str, str]:
        """Return the terminals at which a conductor from `a` to `b` lands; an empty one has been reported."""
        if conductor == "bond":
            return self._end(a, "N", "left", cable), self._end(b, "PE", "entered", cable)
        return self._end(a, conductor, "left", cable), self._end(b, conductor, "entered", cable)

    def _end(self, thing: Thing, conductor: str, side: str, cable: str) -> str:
        terminal = "" if thing.board else self._terminal(thing, conductor, side)
        if terminal == "ambiguous":
            return ""
        return terminal or self._bar(thing, conductor, cable)

    def _terminal(self, thing: Thing, conductor: str, side: str) -> str:
        draft = self.equipment[thing.id]
        kind = draft.kind
        assert kind is not None  # noqa: S101  (`known` has made sure)
        if kind.PORTS.get("") == ("*",):
            return thing.id
        ports = [port for port in self._ports(kind) if self._has(draft, kind, port, conductor)]
        if thing.port is not None:
            ports = [port for port in ports if port == thing.port]
        elif len(ports) > 1:
            route = kind.THROUGH or next(iter(kind.ROUTES.values()), None)
            wanted = (route[0] if side == "entered" else route[1]) if route else ""
            if wanted not in ports:
                self._say(
                    "which port", thing.mark, id=thing.id, ports=", ".join(f"{thing.id}.{p}" for p in ports)
                )
                return "ambiguous"
            ports = [wanted]
        if not ports:
            return ""
        name = conductor if self._exact(draft, kind, ports[0], conductor) else "L"
        return ".".join(part for part in (thing.id, ports[0], name) if part)

    def _ports(self, kind: type[Equipment]) -> list[str]:
        return list(kind.PORTS)

    def _exact(self, draft: Draft, kind: type[Equipment], port: str, conductor: str) -> bool:
        return issubclass(kind, Inline) or conductor in kind.PORTS[port]

    def _has(self, draft: Draft, kind: type[Equipment], port: str, conductor: str) -> bool:
        """Whether the port takes this conductor. An in-line device takes those it has a contact in, and
        passes the
        other live ones straight through unless its board has a bar for them. PE never passes through a
        device.
        """
        if not issubclass(kind, Inline):
            single_phase = conductor in ("L1", "L2") and "L" in kind.PORTS[port]
            return conductor in kind.PORTS[port] or single_phase
        if conductor == "PE":
            return False
        contacts = draft.fields.get("contacts", (None, None))[1]
        names = (
            {i.text for i in contacts.items if isinstance(i, Scalar)}
            if isinstance(contacts, Sequence)
            else set()
        )
        if conductor in names:
            return True
        return BAR_OF[conductor] not in self.boards.get(draft.text("in"), {})

    def _bar(self, thing: Thing, conductor: str, cable: str) -> str:
        """Return the bar for a core that its thing has no terminal for: that of its board, or the only one
        there is.
        """
        role = BAR_OF[conductor]
        board = self.board_of(thing)
        if board is not None:
            bar = self.boards.get(board, {}).get(role)
            if bar:
                return bar
            self._say(
                "no bar", thing.mark, cable=cable, conductor=conductor, id=thing.id, board=board, bar=role
            )
            return ""
        bars = [bars[role] for bars in self.boards.values() if role in bars]
        if len(bars) == 1:
            return bars[0]
        self._say("nowhere to land", thing.mark, cable=cable, conductor=conductor, id=thing.id, bar=role)
        return ""

    def _say(self, code: str, mark: Mark, **fields: object) -> None:
        self.problems.append(Problem(code, mark, fields))
