"""Where a core lands: on the terminal a thing has for it, or else on the bar of the thing's board."""

from dataclasses import dataclass, field, replace

from asfitted import words
from asfitted.description.draft import Draft
from asfitted.description.kinds import Equipment, Inline
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, meant, nearest
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


def _run_of(conductor: str, carried: tuple[str, ...], kind: str) -> str:
    """Return the kind of run for a conductor: the run itself where it carries the conductor among others."""
    if conductor in carried:
        return kind
    return next(
        kind for kind, own in CONDUCTORS.items() if conductor in own and (len(own) == 1 or kind == "ac")
    )


@dataclass
class Landing:
    """Finds the terminal for each end of a core; what cannot be landed is a problem.

    `lost` names things that stand in the file but could not be read: what leads to them is no second problem.
    """

    equipment: dict[str, Draft]
    boards: dict[str, dict[str, str]]
    lost: set[str]
    problems: list[Problem] = field(default_factory=list)

    def known(self, thing: Thing) -> bool:
        """Tell whether the thing exists and has the port named; if not, it becomes a problem."""
        if thing.board:
            return True
        draft = self.equipment.get(thing.id)
        if draft is None:
            if thing.id not in self.lost:
                advice = meant(thing.id, [*self.equipment, *self.boards])
                self._say("unknown id", thing.mark, id=thing.id, meant=advice)
            return False
        kind = draft.kind
        if kind is None:
            return False
        if thing.port is None or thing.port in kind.PORTS:
            return True
        ports = [port for port in kind.PORTS if port]
        names = ", ".join(f"{thing.id}.{port}" for port in ports)
        advice = words.text("problems", "meant.list" if ports else "meant.one port", names=names, id=thing.id)
        near = nearest(thing.port, ports)
        if near:
            advice = f"{words.text('problems', 'meant.near', near=f'{thing.id}.{near}')} {advice}"
        self._say("unknown port", thing.mark, id=thing.id, port=thing.port, kind=kind.KIND, meant=advice)
        return False

    def of_run(self, thing: Thing, kind: str, conductors: tuple[str, ...]) -> Thing | None:
        """Return a thing named by one of its terminals as the thing itself, where the run carries that conductor
        alone; None, with a problem, where it carries another.
        """
        draft = self.equipment.get(thing.id)
        if draft is None or draft.kind is None or thing.port is None or thing.port in draft.kind.PORTS:
            return thing
        port, _, conductor = thing.port.rpartition(".")
        if port not in draft.kind.PORTS or conductor not in (*BAR_OF, "bond"):
            return thing
        if conductors == (conductor,):
            return replace(thing, port=port or None)
        self._say(
            "terminal in a run",
            thing.mark,
            terminal=f"{thing.id}.{thing.port}",
            kind=kind,
            conductors=", ".join(conductors),
            own=conductor,
            id=".".join(part for part in (thing.id, port) if part),
            right_kind=_run_of(conductor, conductors, kind),
        )
        return None

    def board_of(self, thing: Thing) -> str | None:
        """Return the board in which a thing sits, if it is known."""
        if thing.board:
            return thing.id
        draft = self.equipment.get(thing.id)
        return (draft.text("in") or None) if draft is not None else None

    def ends(self, a: Thing, b: Thing, conductor: str, of: str) -> tuple[str, str]:
        """Return the terminals at which a conductor from `a` to `b` lands; an empty one has been reported.

        `of` names the cable or the joint in messages.
        """
        if conductor == "bond":
            return self._end(a, "N", "left", of), self._end(b, "PE", "entered", of)
        return self._end(a, conductor, "left", of), self._end(b, conductor, "entered", of)

    def _end(self, thing: Thing, conductor: str, side: str, of: str) -> str:
        terminal = None if thing.board else self._terminal(thing, conductor, side)
        return self._bar(thing, conductor, of) if terminal is None else terminal

    def _terminal(self, thing: Thing, conductor: str, side: str) -> str | None:
        """Return the terminal a thing has for a conductor, None if none, "" if it is not clear which."""
        draft = self.equipment[thing.id]
        kind = draft.kind
        assert kind is not None  # noqa: S101  (`known` has made sure)
        if kind.PORTS.get("") == ("*",):
            return thing.id
        ports = [port for port in kind.PORTS if self._takes(draft, kind, port, conductor)]
        if thing.port is not None:
            ports = [port for port in ports if port == thing.port]
        elif len(ports) > 1:
            route = kind.THROUGH or next(iter(kind.ROUTES.values()), ("", ""))
            wanted = route[0] if side == "entered" else route[1]
            if wanted not in ports:
                names = ", ".join(f"{thing.id}.{port}" for port in ports)
                self._say("which port", thing.mark, id=thing.id, ports=names)
                return ""
            ports = [wanted]
        if not ports:
            return None
        exact = issubclass(kind, Inline) or conductor in kind.PORTS[ports[0]]
        return ".".join(part for part in (thing.id, ports[0], conductor if exact else "L") if part)

    def _takes(self, draft: Draft, kind: type[Equipment], port: str, conductor: str) -> bool:
        """Tell whether a port takes a conductor.

        An in-line device takes those in which it has a contact, and passes the other live ones straight
        through unless its board has a bar for them; a residual current device must pass them all, or it would
        see a difference. PE never passes through a device.
        """
        if not issubclass(kind, Inline):
            single_phase = conductor in ("L1", "L2") and "L" in kind.PORTS[port]
            return conductor in kind.PORTS[port] or single_phase
        if conductor == "PE":
            return False
        if kind.SUMS_CURRENTS:
            return True
        contacts = draft.fields.get("contacts", (None, None))[1]
        items = contacts.items if isinstance(contacts, Sequence) else ()
        if conductor in {item.text for item in items if isinstance(item, Scalar)}:
            return True
        return BAR_OF[conductor] not in self.boards.get(draft.text("in"), {})

    def _bar(self, thing: Thing, conductor: str, of: str) -> str:
        """Return the bar for a core that its thing has no terminal for: its board's, or the only one there
        is.
        """
        role = BAR_OF[conductor]
        board = self.board_of(thing)
        if board is None:
            bars = [bars[role] for bars in self.boards.values() if role in bars]
            if len(set(bars)) == 1:
                return bars[0]
            self._miss("nowhere to land", thing, of, conductor, role)
        elif board in self.boards:
            if role in self.boards[board]:
                return self.boards[board][role]
            self._miss("board without bar" if thing.board else "no bar", thing, of, conductor, role, board)
        return ""

    def _miss(self, code: str, thing: Thing, of: str, conductor: str, bar: str, board: str = "") -> None:
        """Note a core without a bar; further cores of the same cable join the same problem."""
        for problem in self.problems:
            if (problem.code, problem.mark, problem.fields.get("of")) == (code, thing.mark, of):
                conductors = str(problem.fields["conductor"]).split(", ")
                if conductor not in conductors:
                    problem.fields["conductor"] = ", ".join([*conductors, conductor])
                    problem.fields["bar"] = f"{problem.fields['bar']}, {bar}"
                return
        self._say(code, thing.mark, of=of, conductor=conductor, id=thing.id, board=board, bar=bar)

    def _say(self, code: str, mark: Mark, **fields: object) -> None:
        self.problems.append(Problem(code, mark, fields))
