"""What is wrong with the neutral–earth ties of a build: none, too many, in the wrong place, on the wrong output."""

from collections.abc import Iterator

from asfitted import words
from asfitted.description.kinds import AcSupply, Inverter, NeutralBond
from asfitted.network.model import Item, Network
from asfitted.studies.bonding import Island, Tie
from asfitted.studies.electrodes import fixed_tt
from asfitted.studies.results import Finding, Grade, merge_states
from asfitted.tables.rules import rule_set


def bonding_findings(network: Network, by_state: dict[str, tuple[Island, ...]]) -> tuple[Finding, ...]:
    """Return the findings on ties, one per cause with all the states in which it shows."""
    per_state = (
        (state, finding)
        for state, of_state in by_state.items()
        for island in of_state
        for finding in _of_island(network, island)
    )
    return (*merge_states(per_state), *_makers(network))


def _of_island(network: Network, island: Island) -> Iterator[Finding]:
    yield from _without_neutral(network, island)
    if island.idle or island.measure == "separation":
        return
    if island.measure == "IT":
        yield from _it(network, island)
        return
    if not island.effective:
        yield from _untied(network, island)
    source = network.items[island.sources[0]]
    rules = rule_set(network.description.build.rules)
    if len(island.effective) > 1:
        where = tuple(tie.at for tie in island.effective)
        yield Finding(
            "two-bonds",
            Grade.POTENTIAL,
            where,
            source.mark,
            fields={"ties": ", ".join(where), "count": len(where), "sources": ", ".join(island.sources)},
            clause=rules.clause("second neutral tie"),
        )
    for tie in island.effective:
        if tie.load_side_of:
            yield Finding(
                "bond-behind-rcd",
                Grade.POTENTIAL,
                (tie.at, *tie.load_side_of),
                source.mark,
                fields={"tie": tie.at, "devices": ", ".join(tie.load_side_of)},
                clause=rules.clause("neutral tie behind RCD"),
            )
    yield from _reversed(network, island)


def _untied(network: Network, island: Island) -> Iterator[Finding]:
    """Yield what is missing where no tie of an island counts."""
    source = network.items[island.sources[0]]
    clause = rule_set(network.description.build.rules).clause
    unreached = [tie for tie in island.ties if not tie.reaches_earth]
    fields: dict[str, object] = {"source": source.id, "outlets": ", ".join(island.feeds)}
    if unreached and fixed_tt(network, source.id):
        return  # an electrode is wanted, not a tie: sizing says so
    if unreached:
        tie = unreached[0]
        fields = {"source": source.id, "earth": tie.earth}
        yield Finding(
            "bond-not-to-earth", Grade.POTENTIAL, (tie.at,), source.mark, (), fields, clause("neutral tie")
        )
    elif _not_isolated(source):
        yield Finding(
            "output-without-neutral",
            Grade.POTENTIAL,
            (source.id,),
            source.mark,
            fields=fields,
            clause=clause("missing neutral tie"),
        )
    else:
        yield Finding(
            "no-bond",
            Grade.POTENTIAL,
            (source.id,),
            source.mark,
            fields=fields,
            clause=clause("missing neutral tie"),
        )


def _not_isolated(item: Item) -> bool:
    return isinstance(item.spec, Inverter) and item.spec.isolation == "not isolated"


def _without_neutral(network: Network, island: Island) -> Iterator[Finding]:
    """Yield what ties an output that has no neutral to earth: a conductor aboard, or the link of another source."""
    for source in island.sources:
        for tie in island.ties:
            item = network.items[source]
            if _not_isolated(item) and tie.at != source:  # its own link is there in every state
                yield Finding(
                    "bond-without-neutral",
                    Grade.DANGER,
                    (source, tie.at),
                    item.mark,
                    fields={"source": source},
                )


def _it(network: Network, island: Island) -> Iterator[Finding]:
    """Yield what spoils a supply isolated from earth: a tie aboard; and that its first fault shows itself to nobody."""
    source = network.items[island.sources[0]]
    clause = rule_set(network.description.build.rules).clause
    fields: dict[str, object] = {"source": source.id, "ties": ", ".join(tie.at for tie in island.ties)}
    if island.ties:
        yield Finding(
            "isolated-supply-tied",
            Grade.POTENTIAL,
            tuple(tie.at for tie in island.ties),
            source.mark,
            fields=fields,
            clause=clause("isolated supply"),
        )
    yield Finding(
        "first-fault-not-indicated",
        Grade.IMPROVEMENT,
        (source.id,),
        source.mark,
        fields=fields,
        clause=clause("insulation monitoring"),
    )


def _reversed(network: Network, island: Island) -> Iterator[Finding]:
    """Yield ties aboard that become a short-circuit where line and neutral of the site are reversed."""
    for source in island.sources:
        item = network.items[source]
        ties = [tie for tie in island.effective if tie.at != source]
        if isinstance(item.spec, AcSupply) and ties and (places := _reversed_at(item.spec)):
            yield _short(network, item, ties, places)


def _short(network: Network, site: Item, ties: list[Tie], places: list[str]) -> Finding:
    where = tuple(tie.at for tie in ties)
    return Finding(
        "reversed-onto-tie",
        Grade.POTENTIAL,
        where,
        site.mark,
        fields={"site": site.id, "ties": ", ".join(where), "places": ", ".join(places)},
        clause=rule_set(network.description.build.rules).clause("second neutral tie"),
    )


def _reversed_at(spec: AcSupply) -> list[str]:
    """Return the names of the places at which the polarity of a supply may be reversed."""
    own = [words.text("faults", "places.as described")] if spec.polarity == "may be reversed" else []
    return own + [name for name, variant in spec.at.items() if variant.polarity == "may be reversed"]


def _makers(network: Network) -> Iterator[Finding]:
    """Yield what the makers of the sources say, or do not say, about a link from neutral to earth."""
    for item in network.items.values():
        bond = getattr(item.spec, "neutral_bond", None)
        if not isinstance(bond, NeutralBond) or bond.kind == "none":
            continue
        if isinstance(item.spec, Inverter) and item.spec.isolation == "not isolated":
            yield Finding(
                "bond-without-neutral", Grade.DANGER, (item.id,), item.mark, fields={"source": item.id}
            )
        elif bond.allowed_by_maker == "no":
            yield Finding("bond-forbidden", Grade.DANGER, (item.id,), item.mark, fields={"source": item.id})
        elif bond.allowed_by_maker == "not stated":
            yield Finding(
                "bond-not-stated", Grade.INVESTIGATION, (item.id,), item.mark, fields={"source": item.id}
            )
