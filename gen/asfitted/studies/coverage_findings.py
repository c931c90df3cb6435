"""What residual current devices leave out: outlets, cables ahead of the first of them, conductors that go round one."""

from collections.abc import Iterator

from asfitted import words
from asfitted.description.kinds import GfciBreaker, GfciReceptacle
from asfitted.network.build import output_terminals
from asfitted.network.model import Contact, Core, Item, Network
from asfitted.network.parallel import run_together
from asfitted.network.states import State, carries_load
from asfitted.studies.coverage import GFCI_A, Coverage, residual_a
from asfitted.studies.results import Finding, Grade, merge_states
from asfitted.tables.rules import rule_set
from asfitted.tables.rules.rule_set import SILENT, RuleSet

#: additional protection where a rule set gives no figure: IEC 60364-4-41 415.1.1
ADDITIONAL_PROTECTION_A = 0.030
#: a straight piece of cable before the first device: the length of IEC 60364-4-43 434.2.1, and of the 10 ft of ABYC E-11
STRAIGHT_M = 3.0
#: within one enclosure a cable is hardly exposed; half a metre is taken as such (common practice)
ENCLOSED_M = 0.5


def coverage_findings(
    network: Network, states: tuple[State, ...], by_state: dict[str, tuple[Coverage, ...]]
) -> tuple[Finding, ...]:
    """Return the outlets and the cables that no residual current device aboard covers, and the circuits of which
    a conductor goes round one, with the states.
    """
    return merge_states(
        (state.id, finding)
        for state in states
        for finding in (
            *_outlets(network, by_state[state.id]),
            *_apart(network, by_state[state.id]),
            *_cables(state),
        )
    )


def _outlets(network: Network, covered: tuple[Coverage, ...]) -> Iterator[Finding]:
    rules = rule_set(network.description.build.rules)
    for cover in covered:
        item = network.items[cover.outlet]
        if item.kind not in ("sockets", "GFCI receptacle"):
            continue
        if not any(_protects(rules, network.items[device]) for device in cover.aboard):
            fields: dict[str, object] = {"outlet": item.id, "source": cover.source}
            yield Finding(
                "socket-without-gfci" if _class_a(rules) else "socket-without-rcd",
                Grade.POTENTIAL,
                (item.id,),
                item.mark,
                fields=fields,
                clause=rules.clause("socket RCD"),
            )


def _limit_a(rules: RuleSet) -> float:
    limit = rules.limits.get("additional protection")
    return limit.value if limit else ADDITIONAL_PROTECTION_A


def _class_a(rules: RuleSet) -> bool:
    """Tell whether a rule set asks for ground-fault circuit interrupters of Class A."""
    return _limit_a(rules) <= GFCI_A


def _protects(rules: RuleSet, item: Item) -> bool:
    """Tell whether a device counts as additional protection; no residual current device is a Class A one."""
    if _class_a(rules) and not isinstance(item.spec, GfciBreaker | GfciReceptacle):
        return False
    rated_a = residual_a(item)
    return rated_a is not None and rated_a <= _limit_a(rules)


def _apart(network: Network, covered: tuple[Coverage, ...]) -> Iterator[Finding]:
    """Yield the outlets and appliances whose line and neutral do not go through the same devices."""
    rules = rule_set(network.description.build.rules)
    for cover in covered:
        item, neutral = network.items[cover.outlet], cover.neutral_through
        if neutral is None:
            fields: dict[str, object] = {"outlet": item.id, "source": cover.source}
            where: tuple[str, ...] = (item.id, cover.source)
            yield Finding(
                "neutral-of-another-source",
                Grade.POTENTIAL,
                where,
                item.mark,
                fields=fields,
                clause=rules.clause("neutral of each circuit"),
            )
            continue
        line = [device for device in cover.line_through if device not in neutral]
        back = [device for device in neutral if device not in cover.line_through]
        if line or back:
            none = words.text("labels", "no residual current device")
            fields = {
                "outlet": item.id,
                "line": ", ".join(cover.line_through) or none,
                "neutral": ", ".join(neutral) or none,
                "apart": ", ".join((*line, *back)),
            }
            yield Finding(
                "conductors-apart",
                Grade.POTENTIAL,
                (item.id, *line, *back),
                item.mark,
                fields=fields,
                clause=rules.clause("neutral of each circuit"),
            )


def _cables(state: State) -> Iterator[Finding]:
    """A stretch ahead of the first device aboard must be one short cable straight to it: nothing tapped off before."""
    network = state.network
    build = network.description.build
    clause = rule_set(build.rules).clause(
        "cable ahead of RCD" + (", work" if build.use == "work or public" else "")
    )
    if build.setting in ("house", "cabin") or clause == SILENT:
        return  # asked of what plugs in; elsewhere, and where rules are silent, the faults on these cables speak
    for source in state.sources:
        start = _aboard_from(state, source) if state.feeding[source] else None
        if start is None:
            continue
        partners = {
            item.id
            for item in network.items.values()
            if item.id != source and run_together(network.items[source], item)
        }
        ahead = [cable for cable in _ahead_of_devices(state, start) if not _owners(network, cable) & partners]
        lengths = [network.cables[cable].length_m for cable in ahead]
        if len(ahead) > 1 or sum(lengths) > STRAIGHT_M:
            yield Finding(
                "cable-ahead-of-rcd",
                Grade.IMPROVEMENT if max(lengths) <= ENCLOSED_M else Grade.POTENTIAL,
                tuple(ahead),
                network.cables[ahead[0]].mark,
                fields={"cables": ", ".join(ahead), "source": source, "length_m": f"{sum(lengths):.3g}"},
                clause=clause,
            )


def _owners(network: Network, cable: str) -> set[str]:
    return {network.owner[end] for core in network.cables[cable].cores for end in (core.a, core.b)}


def _aboard_from(state: State, source: str) -> str | None:
    """Return the line terminal at which a source comes aboard: its own, or the pins of the inlet for a site."""
    ends = output_terminals(state.network.items[source])
    if ends is None:
        return None
    if state.network.items[source].kind != "ac supply":
        return ends[0]
    for inlet in state.network.of_kind("supply inlet"):
        pin = f"{inlet.id}.pins.{ends[0].rsplit('.', 1)[-1]}"
        if state.live_potentials.same(pin, ends[0]):
            return pin
    return ends[0]


def _ahead_of_devices(state: State, start: str) -> list[str]:
    """Return the cables reached from a terminal without passing the contact of a residual current device."""
    network = state.network
    edges: dict[str, list[tuple[Core | Contact | None, str]]] = {}
    for core in network.cores.values():
        if carries_load(network, core) and core.conductor != "N":
            edges.setdefault(core.a, []).append((core, core.b))
            edges.setdefault(core.b, []).append((core, core.a))
    for join in network.joins:
        edges.setdefault(join.a, []).append((None, join.b))
        edges.setdefault(join.b, []).append((None, join.a))
    for contact in state.closed:
        if residual_a(network.items[contact.equipment]) is None and contact.position != "plugged":
            edges.setdefault(contact.a, []).append((contact, contact.b))
            edges.setdefault(contact.b, []).append((contact, contact.a))
    reached, waiting, cables = {start}, [start], []
    while waiting:
        for element, other in edges.get(waiting.pop(), ()):
            if isinstance(element, Core) and element.cable not in cables:
                cables.append(element.cable)
            if other not in reached:
                reached.add(other)
                waiting.append(other)
    return cables
