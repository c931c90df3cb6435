"""Second pass: every core of every step lands on its terminals, and cables are written in their long form."""

from dataclasses import replace

from asfitted import words
from asfitted.description.draft import Draft
from asfitted.description.expansion import Expansion, Step
from asfitted.description.kinds import LIVE_AC
from asfitted.description.landing import BAR_OF, CONDUCTORS, Landing, give_contacts
from asfitted.description.marks import Mark
from asfitted.description.sections import CABLE_DEFAULTS
from asfitted.description.tree import Mapping, Scalar, Sequence, walk

#: words of a cable's own text that are gone in the long form, where every core is spelled out
ONLY_OWN = ("count", "conductors", "without PE")


def land(x: Expansion) -> None:
    """Land every core of every step on its terminals; bolt the circuits' devices to their board's bars."""
    for step in x.steps:
        for thing in (step.a, step.b):
            draft = x.equipment.get(thing.id)
            if draft is not None:
                give_contacts(draft, _conductors(step), step.kind)
    landing = Landing(x.equipment, x.boards, x.lost)
    landed_in: set[str] = set()
    for step in x.steps:
        _land_step(x, landing, step)
        landed_in.add(step.b.id)
        if step.a.port == "in":
            landed_in.add(step.a.id)
    for device, board, mark in x.fed:
        if device not in landed_in and device in x.equipment:
            _feed_from_bars(x, device, board, mark)
    x.problems += landing.problems


def _conductors(step: Step) -> tuple[str, ...]:
    """Return the conductors of a step: those that the cable names, else those of the kind of run."""
    named = step.cable.text("conductors") if step.cable is not None else ""
    if named:
        return tuple(named.split())
    if step.kind == "ac" and step.cable is not None and step.cable.text("without PE") == "2":
        return LIVE_AC
    return CONDUCTORS[step.kind]


def _land_step(x: Expansion, landing: Landing, step: Step) -> None:
    ends = [landing.of_run(thing, step.kind, _conductors(step)) for thing in (step.a, step.b)]
    known = [thing for thing in ends if thing is not None and landing.known(thing)]
    if len(known) < 2:
        if step.cable is not None:
            x.lost.add(step.cable.id.text)
        return
    step = replace(step, a=known[0], b=known[1])
    if step.a.id == step.b.id and step.a.port == step.b.port:
        x.say("cable to itself", step.b.mark, id=step.a.id)
        return
    if step.kind == "bond" and step.cable is None:
        x.say("bond without conductor", step.b.mark)
        return
    landed: dict[str, tuple[str, str]] = {}
    same_board = landing.board_of(step.a) is not None and landing.board_of(step.a) == landing.board_of(step.b)
    of = _named(step)
    conductors = [c for c in _conductors(step) if not (c == "PE" and same_board and step.kind == "ac")]
    for conductor in conductors:
        a, b = landing.ends(step.a, step.b, conductor, of)
        if a and b and a != b:
            landed[conductor] = (a, b)
    if step.cable is None:
        x.links += [(Scalar(a, step.a.mark), Scalar(b, step.b.mark)) for a, b in landed.values()]
    elif landed:
        _check_count(x, step.cable, conductors)
        _finish_cable(x, step, step.cable, landed)
        x.add_cable(step.cable)
    else:
        x.lost.add(step.cable.id.text)


def _named(step: Step) -> str:
    """Return what a step is called in messages."""
    if step.cable is not None:
        return words.text("problems", "place.cable", id=step.cable.id.text)
    return words.text("problems", "place.joint", a=step.a.id, b=step.b.id)


def _finish_cable(x: Expansion, step: Step, cable: Draft, ends: dict[str, tuple[str, str]]) -> None:
    mark = cable.id.mark
    cable.put("kind", Scalar(step.kind, mark))
    cores = tuple(
        (Scalar(name, mark), Sequence((Scalar(a, step.a.mark), Scalar(b, step.b.mark)), mark))
        for name, (a, b) in ends.items()
    )
    cable.put("cores", Mapping(cores, mark))
    default = x.cable_defaults.get(cable.text("cable class") or CABLE_DEFAULTS[step.kind])
    if default is not None:
        for name, (_, node) in default.fields.items():
            # A default says how thick the cores are; how many a cable has depends on where it goes.
            if name not in ONLY_OWN:
                cable.put_default(name, node)
    if x.status is not None:
        cable.put_default("status", x.status)
    for name in (*ONLY_OWN, "cable class"):
        cable.fields.pop(name, None)


def _check_count(x: Expansion, cable: Draft, conductors: list[str]) -> None:
    """A cable has as many cores as conductors land, or spare ones where its text names those that are used."""
    count = cable.text("count")
    if count and (
        int(count) < len(conductors) if "conductors" in cable.fields else int(count) != len(conductors)
    ):
        mark = cable.fields["count"][1].mark
        x.say("core count", mark, cable=cable.id.text, count=count, cores=" ".join(conductors))


def _feed_from_bars(x: Expansion, device: str, board: str, mark: Mark) -> None:
    """Bolt a circuit's device, which no run feeds, to the bars of its board."""
    contacts = x.equipment[device].fields.get("contacts", (None, None))[1]
    items = contacts.items if isinstance(contacts, Sequence) else ()
    names = [item.text for item in items if isinstance(item, Scalar)]
    # A neutral that passes through the device without a contact comes from the bar as well.
    if "N" not in names and _is_used(x, f"{device}.out.N"):
        names.append("N")
    bars = x.boards[board]
    for conductor in names:
        role = BAR_OF[conductor]
        if role not in bars:
            x.say("fed by nothing", mark, device=device, board=board, bar=role)
            return
        x.links.append((Scalar(bars[role], mark), Scalar(f"{device}.in.{conductor}", mark)))


def _is_used(x: Expansion, terminal: str) -> bool:
    """Tell whether a core of any cable ends at a terminal."""
    cores = (cable.fields["cores"][1] for cable in x.cables.values() if "cores" in cable.fields)
    return any(scalar.text == terminal for node in cores for scalar in walk(node))
