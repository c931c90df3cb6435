"""Which procedures apply, in which order their steps stand, and where a way through the tree ends."""

from itertools import pairwise

import pytest

from asfitted.network.build import output_terminals
from asfitted.studies.isolation import potentials_without
from asfitted.studies.procedures.after_trip import ends
from asfitted.studies.procedures.emergency import kept_by
from asfitted.studies.procedures.facts import Facts
from asfitted.studies.procedures.plugging import leave_off
from asfitted.studies.procedures.study import procedures
from tests.studies.procedures.builds import BUILDS, built, changed, codes, of

ROVING = {"unknown-supply", "arrive", "leave"}


def steps_of(found, code):
    return [step.code for p in found.procedures if p.code == code for step in p.steps]


@pytest.mark.parametrize("name", BUILDS)
def test_what_is_not_there_has_no_procedure(name):
    network, found = built(name).network, codes(of(name))
    assert (found >= ROVING) == bool(network.of_kind("supply inlet"))
    assert ROVING.isdisjoint(found) != bool(network.of_kind("supply inlet"))
    assert ("generator" in found) == bool(network.of_kind("generator"))
    assert ("by-hand" in found) == bool(network.of_kind("transfer switch"))
    assert ("charge" in found) == bool(network.of_kind("battery charger", "inverter charger"))
    assert {"emergency", "after-water", "first-start"} <= found | {"emergency"}
    setting = network.description.build.setting
    moves = {"road vehicle": "drive", "trailer": "tow", "boat": "under-way"}
    assert found & {"drive", "tow", "under-way"} == ({moves[setting]} if setting in moves else set())


def test_without_the_generator_nothing_speaks_of_one():
    """The generator of the pottery, its breaker and the first transfer switch are taken away."""
    study = changed(
        "tin_kiln",
        (
            "  - ac:    [generator, W4: 8 ft, QF2: GFCI breaker 30 A in supply panel, "
            "W5: 1 ft, first_transfer.source 2]\n",
            "",
        ),
        ("W3: 1 ft, first_transfer.source 1]", "W3: 1 ft, supply panel]"),
        ("  - ac:    [first_transfer, W6: 1 ft, supply panel]\n", ""),
        (
            """  generator:
    generator: 120 V 60 Hz 3.6 kW 30 A
    neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}
    certified to: listed for recreational vehicles
    space: tongue box
    place: box on the tongue
""",
            "",
        ),
        (
            """  first_transfer:
    transfer switch: 30 A 2P
    in: supply panel
    preferred: source 1
    rest position: source 1
    to source 1: 80 ms data sheet
    to source 2: 5 s data sheet
    break before make: data sheet
    certified to: listed for optional standby
""",
            "",
        ),
        ("""    generator: 6 h from 12:00\n""", ""),
        (
            '  plugged in: "site live, generator off, inverter running"',
            '  plugged in: "site live, inverter running"',
        ),
        (
            '  on the generator: "site unplugged, generator running, inverter running"\n',
            "",
        ),
        ("site unplugged, generator off, inverter running", "site unplugged, inverter running"),
    )
    found = procedures(study)
    said = {step.code for p in (found.emergency, *found.procedures) for step in p.steps}
    assert "generator" in codes(of("tin_kiln"))
    assert "generator" not in codes(found)
    assert not [code for code in said if "generator" in code]
    # one changeover is left: it is still worked by hand
    assert [p.key for p in found.procedures if p.code == "by-hand"] == ["by-hand"]
    assert [p.key for p in of("tin_kiln").procedures if p.code == "by-hand"] == ["by-hand", "by-hand-2"]


@pytest.mark.parametrize("name", ["boat without inverter", "house without inverter"])
def test_a_single_source_has_no_changeover_by_hand(name):
    found = of(name)
    assert not codes(found) & {"by-hand", "select-by-hand"}
    assert not [
        c for p in found.procedures for c in steps_of(found, p.code) if c.startswith(("changeover", "combi"))
    ]
    assert "inverter-alone" not in found.tree.order
    assert "dark-until-back" in steps_of(found, "blackout")


def test_a_planned_generator_is_not_there_yet():
    study = changed(
        "tin_kiln",
        (
            "    place: box on the tongue\n  # 1900 W",
            "    place: box on the tongue\n    status: planned\n  # 1900 W",
        ),
    )
    found = procedures(study)
    assert "generator" not in codes(found)
    assert "generator-stop-emergency" not in [step.code for step in found.emergency.steps]


@pytest.mark.parametrize("name", [n for n in BUILDS if "arrive" in codes(of(n))])
def test_the_far_end_of_the_lead_goes_in_last_and_comes_out_first(name):
    """IEC 60364-7-721, notice of instructions: no live pin ever hangs from a lead."""
    arrive, leave = steps_of(of(name), "arrive"), steps_of(of(name), "leave")
    assert (
        arrive.index("main-off")
        < arrive.index("inlet-end-first")
        < arrive.index("site-end-last")
        < arrive.index("main-on")
    )
    assert (
        leave.index("main-off")
        < leave.index("site-end-first")
        < leave.index("inlet-end-last")
        < leave.index("cover")
    )


@pytest.mark.parametrize("name", BUILDS)
def test_the_device_to_switch_off_before_unplugging_parts_everything_from_the_supply(name):
    facts = Facts(built(name))
    for supply in facts.supplies:
        main = facts.main_of(supply)
        state = facts.study.state(facts.running({supply.id: "live"})[0])
        assert state.feeding[supply.id]
        line = output_terminals(supply)[0]
        parted = potentials_without(state, frozenset({main.id}))
        for consumer in state.feeding[supply.id]:
            terminal = (
                f"{consumer}.ac in.L"
                if facts.network.items[consumer].kind == "inverter charger"
                else f"{consumer}.L"
            )
            assert not parted.same(line, terminal)


@pytest.mark.parametrize("name", BUILDS)
def test_the_emergency_names_every_source_from_outside_first(name):
    study, steps = built(name), of(name).emergency.steps
    order = [step.code for step in steps]
    assert order[0] == "everybody-out"
    assert order[-1].startswith("call")
    acted = {id_ for step in steps for id_ in step.at}
    facts = Facts(study)
    for item in study.network.of_kind("generator", "inverter", "inverter charger"):
        assert item.id in acted
    for supply in facts.supplies:
        assert supply.id in acted or facts.main_of(supply).id in acted
    inside = [n for n, code in enumerate(order) if code.startswith(("inverter-off", "isolator-open"))]
    outside = [
        n for n, code in enumerate(order) if code in ("pull-site-end", "gas-off", "engine-off", "uncouple")
    ]
    assert max(outside) < min(inside, default=99)


def test_an_isolator_in_the_smoke_leaves_what_the_diagram_shows():
    """The travelling library by eye: Q10 lies between F10 and the main bar, Q30 between array and controller."""
    facts = Facts(built("paper_lantern"))
    q10, q30 = (facts.network.items[id_] for id_ in ("Q10", "Q30"))
    kept = set(kept_by(facts, q10).ids)
    assert {"inverter", "charger", "engine_charger", "shelf_lamps"} <= kept
    assert "alarms" not in kept  # fed before it, live whatever is opened
    assert kept_by(facts, q30).ids == ("solar_controller",)


def test_what_stays_off_at_a_household_socket():
    """By hand, at 230 V: heater 3.26 A, projector 1.01 A, laptops 1.19 A, charger 3.43 A: with the kettle's 4.35 A too
    much for 10 A, without it 8.8 A (phasors a little apart).
    """
    facts = Facts(built("paper_lantern"))
    off, together = leave_off(facts, facts.plugs[0], 10.0)
    assert off == ("kettle",)
    assert together == pytest.approx(750 / 230 + 220 / 230 + 260 / 230 + 772 / 230, rel=0.05)
    assert leave_off(facts, facts.plugs[0], 16.0)[0] == ()


@pytest.mark.parametrize("name", BUILDS)
def test_less_supply_never_lets_more_run(name):
    facts = Facts(built(name))
    for plug in facts.plugs:
        found = [leave_off(facts, plug, limit) for limit in (2.0, 6.0, 10.0, 16.0, 30.0)]
        assert all(len(a[0]) >= len(b[0]) for a, b in pairwise(found))
        assert all(
            total <= 1.005 * limit
            for (_, total), limit in zip(found, (2.0, 6.0, 10.0, 16.0, 30.0), strict=True)
        )


@pytest.mark.parametrize("name", BUILDS)
def test_every_way_through_the_tree_ends(name):
    tree = of(name).tree
    questions = {q.code: q for q in tree.questions}
    assert len(questions) == len(tree.questions)
    reached, waiting = set(), [tree.questions[0].code]
    known = codes(of(name)) | {"emergency"} | set(ends())
    while waiting:
        code = waiting.pop()
        reached.add(code)
        for answer in questions[code].answers:
            assert answer.to in known | questions.keys(), answer
            if answer.to in questions:
                # forward only: a way cannot go round in a circle
                assert tree.order[answer.to] > tree.order[code] or answer.to == "in-which-state"
                waiting += [answer.to] if answer.to not in reached else []
    assert reached == set(questions)
    assert all(len(q.answers) >= 2 for q in tree.questions)
    assert not [
        a for a in questions.get("in-which-state", tree.questions[0]).answers if a.to in ("all-off", "press")
    ]


@pytest.mark.parametrize("name", BUILDS)
def test_the_list_of_devices_has_every_one_that_can_trip_or_blow(name):
    network, tree = built(name).network, of(name).tree
    listed = {s.device for s in (*tree.residual, *tree.breakers, *tree.fuses)}
    everything = all(item.planned for item in network.items.values())
    kinds = ("breaker", "fuse", "RCD", "RCBO", "GFCI breaker", "GFCI receptacle")
    assert listed == {i.id for i in network.of_kind(*kinds) if everything or not i.planned}


def test_what_goes_out_with_a_device():
    """Read off the diagram of the travelling library."""
    facts = Facts(built("paper_lantern"))
    assert facts.served("F1") == ("reading_desk",)
    assert facts.served("F28") == ("alarms",)
    assert set(facts.served("QF1")) == {"charger", "heater", "reading_desk", "tea_corner"}
    assert set(facts.served("QF2")) == {"reading_desk", "tea_corner"}
    assert set(facts.served("F11")) == {"inverter"}


@pytest.mark.parametrize("name", BUILDS)
def test_every_symptom_leads_somewhere(name):
    found = of(name)
    assert found.symptoms
    assert all(found.has(symptom.to) for symptom in found.symptoms)
    assert {"smell", "water"} <= {symptom.code for symptom in found.symptoms}


def test_a_changeover_that_rests_is_not_said_to_have_moved():
    """Unplugged without the generator the first changeover of the pottery stays where it rests; only the second moves."""
    shown = [
        s.at
        for p in of("tin_kiln").procedures
        if p.code == "leave"
        for s in p.steps
        if s.code == "changeover-shows"
    ]
    assert shown == [("second_transfer",)]
