"""All studies of a build, in order: states, bonding, coverage, sizing, energy, faults; findings, what was accepted."""

from dataclasses import dataclass, replace
from functools import cached_property

from asfitted.description.kinds import Choosable
from asfitted.description.load import Loaded
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem
from asfitted.description.results import NONE, Results
from asfitted.description.schema import Accepted
from asfitted.description.tree import locate
from asfitted.network.build import build
from asfitted.network.checks import check_names, check_network
from asfitted.network.direct import DirectState, direct_states
from asfitted.network.labels import rating
from asfitted.network.model import Cable, Network
from asfitted.network.states import State, states
from asfitted.studies.auto_device import Choice, Chosen, choose_devices
from asfitted.studies.bonding import Island, islands
from asfitted.studies.bonding_findings import bonding_findings
from asfitted.studies.commissioning.commission import Commissioning, commission
from asfitted.studies.commissioning.plan import Subject
from asfitted.studies.coverage import Coverage, coverage
from asfitted.studies.coverage_findings import coverage_findings
from asfitted.studies.direct_supply import direct_findings, search_findings
from asfitted.studies.earthing_contacts import earthing_contact_findings
from asfitted.studies.energy.study import EnergyStudy, energy_study
from asfitted.studies.faults.envelope import SiteVerdict, site_envelope
from asfitted.studies.faults.result import FaultStudy
from asfitted.studies.faults.study import fault_study
from asfitted.studies.isolation import isolator_findings
from asfitted.studies.load_dump import LoadDump, load_dump_findings, load_dumps
from asfitted.studies.naming import named
from asfitted.studies.polarity import polarity_findings
from asfitted.studies.results import Finding, Grade, Working
from asfitted.studies.shore_isolation import shore_isolation_findings
from asfitted.studies.sizing import Sizing, size
from asfitted.studies.supply import supply_findings
from asfitted.studies.transfer.study import TransferStudy, transfer_study
from asfitted.studies.troubleshooting.troubleshoot import Troubleshooting, troubleshooting
from asfitted.studies.unfit_devices import unfit_devices
from asfitted.tables.rules import rule_set

ORDER = (Grade.DANGER, Grade.POTENTIAL, Grade.INVESTIGATION, Grade.IMPROVEMENT)


@dataclass(frozen=True)
class Study:
    """Everything computed about a build."""

    loaded: Loaded
    network: Network
    states: tuple[State, ...]
    islands: dict[str, tuple[Island, ...]]
    coverage: dict[str, tuple[Coverage, ...]]
    sizing: Sizing
    transfers: TransferStudy
    energy: EnergyStudy
    found: tuple[Finding, ...]
    #: what was chosen for devices that the description leaves open
    choices: tuple[Choice, ...] = ()
    direct_states: tuple[DirectState, ...] = ()
    load_dumps: tuple[LoadDump, ...] = ()
    results: Results = NONE

    @cached_property
    def faults(self) -> FaultStudy:
        """Every fault in every state; played when first asked for, since it takes longest of all."""
        return fault_study(self.network, self.states, self.sizing.sizes)

    @cached_property
    def envelope(self) -> tuple[SiteVerdict, ...]:
        """At which kinds of site the build may be plugged in; played when first asked for."""
        return site_envelope(self.network, self.states, self.sizing.sizes)

    @property
    def workings(self) -> tuple[Working, ...]:
        """The figures of all studies that can be computed again by hand."""
        return (*self.sizing.workings, *self.transfers.workings, *self.energy.workings)

    @cached_property
    def commissioning(self) -> Commissioning:
        """The tests of the build, and its results judged; worked out when first asked for."""
        return commission(self.subject, self.results)

    @cached_property
    def troubleshooting(self) -> Troubleshooting:
        """Every single failure played, and the table that tells them apart; worked out when first asked for."""
        return troubleshooting(self.subject)

    @cached_property
    def subject(self) -> Subject:
        """The build as its tests see it."""
        return Subject(self.network, self.states, self.islands, self.coverage, self.sizing)

    @cached_property
    def _divided(self) -> tuple[tuple[Finding, ...], tuple[tuple[Finding, Accepted], ...]]:
        return _accept(
            (*self.found, *self.faults.findings, *self.commissioning.findings),
            self.network.description.accepted,
        )

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The open findings of all studies, the worst first."""
        return self._divided[0]

    @property
    def accepted(self) -> tuple[tuple[Finding, Accepted], ...]:
        """The findings that the builder accepts, each with the reason."""
        return self._divided[1]

    @property
    def barred(self) -> tuple[Finding, ...]:
        """The open findings that stop publication other than as a draft."""
        return tuple(finding for finding in self.findings if finding.grade.bars_publication)

    def state(self, id_: str) -> State:
        """Return the state with the given id."""
        return next(state for state in self.states if state.id == id_)


class NotUsable(Exception):  # noqa: N818  (it is a state of the description, not an error of the program)
    """The description cannot be studied; `problems` say why."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(f"{len(problems)} problems")
        self.problems = problems


def study(loaded: Loaded, results: Results = NONE) -> Study:
    """Study a description that was read, with what was measured; raises NotUsable with every problem if it
    cannot be.
    """
    if loaded.problems or loaded.description is None:
        raise NotUsable(loaded.problems)
    network = build(loaded)
    problems = check_network(network)
    if problems:
        raise NotUsable(tuple(sorted(problems, key=lambda problem: problem.mark)))
    derived = states(network)
    unused = check_names(loaded, derived)
    if unused:
        raise NotUsable(tuple(unused))
    all_states = named(derived)
    chosen = choose_devices(network, all_states, rule_set(network.description.build.rules))
    open_devices = _devices_left_open(loaded, chosen)
    if open_devices:
        raise NotUsable(open_devices)
    network, all_states = chosen.network, chosen.states
    by_state = {state.id: islands(state) for state in all_states}
    covered = {state.id: coverage(state, by_state[state.id]) for state in all_states}
    sizing = size(network, all_states)
    sized = _with_sizes(network, sizing)
    open_sizes = _sizes_left_open(loaded, network, sizing)
    if open_sizes:
        raise NotUsable(open_sizes)
    transfers = transfer_study(sized, all_states, sizing)
    energy = energy_study(network, all_states)
    direct = direct_states(network)
    dumps = load_dumps(network, direct)
    found = (
        *bonding_findings(network, by_state),
        *coverage_findings(network, all_states, covered),
        *supply_findings(all_states),
        *earthing_contact_findings(network),
        *polarity_findings(network, all_states),
        *isolator_findings(network, all_states),
        *shore_isolation_findings(network, all_states),
        *direct_findings(network, direct),
        *load_dump_findings(network, dumps),
        *search_findings(network, all_states),
        *sizing.findings,
        *transfers.findings,
        *energy.findings,
        *unfit_devices(network, sizing, chosen.choices),
    )
    return Study(
        loaded, sized, all_states, by_state, covered, sizing, transfers, energy, found, chosen.choices,
        direct, dumps, results,
    )  # fmt: skip


def _with_sizes(network: Network, sizing: Sizing) -> Network:
    """Return the network with the chosen sizes filled in: every page and figure shows the same figure."""

    def filled(cable: Cable) -> Cable:
        size = sizing.sizes.get(cable.id)
        if cable.size is not None or size is None:
            return cable
        cores = tuple(replace(core, size=core.size or size) for core in cable.cores)
        return replace(cable, size=size, cores=cores, automatic=True)

    return replace(network, cables={id_: filled(cable) for id_, cable in network.cables.items()})


def _sizes_left_open(loaded: Loaded, network: Network, sizing: Sizing) -> tuple[Problem, ...]:
    """An installed cable has a size; where the description leaves it open, the problem proposes the figure."""
    return tuple(
        Problem(
            "auto installed",
            locate(loaded.tree, ("cables", cable.id, "size")),
            {"cable": cable.id, "size": sizing.sizes[cable.id].designation},
        )
        for cable in network.cables.values()
        if cable.size is None and not cable.planned and cable.id in sizing.sizes
    )


def _devices_left_open(loaded: Loaded, chosen: Chosen) -> tuple[Problem, ...]:
    """An installed device has its rating; and a rating can only be chosen from a row of standard ones."""

    def place(id_: str) -> Mark:
        spec = chosen.network.items[id_].spec
        left_open = spec.left_open if isinstance(spec, Choosable) else ()
        return locate(loaded.tree, ("equipment", id_, *left_open[:1]))

    unlisted = [Problem("auto unlisted", place(id_), {"device": id_}) for id_ in chosen.unlisted]
    installed = [
        Problem("auto device installed", place(id_), {"device": id_, "rating": rating(item.spec)})
        for id_ in dict.fromkeys(choice.device for choice in chosen.choices)
        if not (item := chosen.network.items[id_]).planned
    ]
    return (*unlisted, *installed)


def _accept(
    found: tuple[Finding, ...], accepted: list[Accepted]
) -> tuple[tuple[Finding, ...], tuple[tuple[Finding, Accepted], ...]]:
    """Divide findings into open and accepted. Those of the two upper classes go only by changing the build."""
    still_open: list[Finding] = []
    taken: list[tuple[Finding, Accepted]] = []
    for finding in sorted(found, key=lambda f: (ORDER.index(f.grade), f.mark)):
        match = next((a for a in accepted if a.finding == finding.code and a.where in finding.where), None)
        if match is None or finding.grade.bars_publication:
            still_open.append(finding)
        else:
            taken.append((finding, match))
    return tuple(still_open), tuple(taken)
