"""Seeded random installations: one to three AC sources, transfers, boards, loops, ties, long labels."""

import random

from asfitted.figures.graph import Diagram

from .samples import Sketch

LONG = (
    "sockets beside the longest worktop in the galley",
    "Aussenbeleuchtung",
    "extraordinarilylongunbrokenword",
    "pump",
    "heater & fan <2>",
)
PROTECTION = ("breaker", "rcbo", "fuse", "rcd")


def random_diagram(seed: int) -> Diagram:
    chance = random.Random(seed)  # noqa: S311 - reproducible, no secret
    s = Sketch()

    def words() -> str:
        return (
            chance.choice(LONG)
            if chance.random() < 0.3
            else chance.choice(("pump", "lamps", "water heater", "fan"))
        )

    def cable() -> tuple[str, ...]:
        if chance.random() < 0.2:
            return ()
        return (f"W{len(s.wires) + 1} {chance.choice(('3G2.5', '2 × 25 mm²', '10 AWG'))}",) + (
            (f"{chance.randint(1, 30)} m",) if chance.random() < 0.7 else ()
        )

    def inline(count: int, prefix: str) -> list[str]:
        return [
            s.piece(
                f"{prefix}{i}",
                chance.choice((*PROTECTION, "isolator", "meter")),
                f"{chance.randint(6, 63)} A",
            )
            for i in range(count)
        ]

    def labelled(*names: str) -> list[str | tuple[str, ...]]:
        row: list[str | tuple[str, ...]] = []
        for name in names:
            row += [name, cable()]
        return row[:-1]

    def board(name: str, kind: str, ways: int, symbols: tuple[str, ...]) -> None:
        for way in range(ways):
            device = s.piece(f"{name}F{way}", chance.choice(PROTECTION), "B16 30 mA", board=f"board {name}")
            load = s.piece(f"{name}X{way}", chance.choice(symbols), words())
            s.chain(*labelled(name, device, load), kind=kind)

    outputs: list[str] = []
    for number in range(chance.randint(1, 3)):
        source = s.piece(f"G{number}", chance.choice(("source", "generator")), "230 V", words())
        chain = inline(chance.randint(0, 3), f"A{number}")
        s.chain(*labelled(source, *chain)) if chain else None
        outputs.append(chain[-1] if chain else source)
    has_combined = chance.random() < 0.4
    inverter = "" if has_combined else s.piece("T0", "inverter", "24 V 3 kW", words())
    if inverter and chance.random() < 0.7:
        guard = inline(1, "I")[0]
        s.chain(*labelled(inverter, guard))
        outputs.append(guard)
    while len(outputs) > 1:
        first, second = outputs.pop(0), outputs.pop(0)
        switch = s.piece(f"Q{len(s.pieces)}", "transfer", "25 A 2P", words())
        s.chain(*labelled(first, f"{switch}.s1"))
        s.chain(*labelled(second, f"{switch}.s2"))
        outputs.insert(0, switch)
    if has_combined:
        combined = s.piece("T1", "inverter_charger", "24 V 3 kVA", words())
        s.chain(*labelled(outputs[0], f"{combined}.ac_in"))
        outputs[0] = f"{combined}.ac_out"
    boards = []
    for number in range(chance.randint(1, 2)):
        bar = s.piece(f"B{number}", "bar", f"AC board {number}", board=f"board B{number}")
        boards.append(bar)
        source = outputs[0] if number == 0 else boards[0]
        s.chain(*labelled(source, *inline(chance.randint(0, 2), f"M{number}"), bar))
        board(bar, "ac", chance.randint(2, 8), ("socket", "load", "lamp", "motor"))
    bus = s.piece("D0", "bar", "DC bus")
    if has_combined:
        s.chain(*labelled("T1.dc", *inline(chance.randint(0, 2), "L"), bus), kind="dc")
    else:
        s.chain(*labelled(bus, *inline(chance.randint(0, 2), "L"), "T0"), kind="dc")
    for number in range(chance.randint(1, 2)):
        battery = s.piece(f"BT{number}", "battery", "25.6 V 200 Ah")
        s.chain(*labelled(battery, *inline(chance.randint(0, 3), f"N{number}"), bus), kind="dc")
    if chance.random() < 0.7:  # a loop: board, charger, bus
        charger = s.piece("T2", "charger", "24 V 20 A", words())
        s.chain(*labelled(chance.choice(boards), *inline(1, "C"), charger))
        s.chain(*labelled(charger, bus), kind="dc")
    if chance.random() < 0.6:
        solar, controller = s.piece("PV", "solar", "400 W"), s.piece("T3", "dc_dc", "100 V 30 A")
        s.chain(*labelled(solar, controller, *inline(1, "S"), bus), kind="dc")
    if chance.random() < 0.5:  # a second bus with a tie
        start = s.piece("D1", "bar", "start bus")
        s.chain(*labelled(s.piece("ALT", "alternator", "28 V"), start), kind="dc")
        s.chain(*labelled(start, *inline(1, "K"), bus), kind="dc")
        if chance.random() < 0.5:
            s.chain(*labelled(start, *inline(1, "TIE"), bus), kind="dc")
    if chance.random() < 0.8:
        sub = s.piece("D2", "bar", "DC board", board="board D2")
        s.chain(*labelled(bus, *inline(1, "J"), sub), kind="dc")
        board(sub, "dc", chance.randint(2, 9), ("load", "lamp", "motor"))
    if chance.random() < 0.3:  # three cables on one terminal
        first = s.pieces[1].id if s.pieces[1].symbol in PROTECTION else ""
        if first:
            s.chain(*labelled(first, s.piece("extra", "load", words())))
    return s.diagram()
