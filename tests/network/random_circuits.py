"""Random connected circuits for property tests: realistic spreads of impedance, a few sources, some
capacitors.
"""

import random

from asfitted.network.circuit import EARTH, Branch, Circuit


def random_circuit(seed: int, terminals: int) -> Circuit:
    """Return a connected circuit: a random tree over the nodes and earth, with half as many branches
    again.
    """
    draw = random.Random(seed)  # noqa: S311
    nodes = [EARTH, *(f"n{k}" for k in range(terminals))]
    branches = []
    for k in range(1, len(nodes)):
        branches.append(_branch(draw, len(branches), nodes[k], nodes[draw.randrange(k)]))
    for _ in range(terminals // 2):
        a, b = draw.sample(nodes, 2)
        branches.append(_branch(draw, len(branches), a, b))
    for number in range(draw.randint(1, 3)):
        a, b = draw.sample(nodes, 2)
        branches.append(
            Branch(f"g{number}", a, b, "source", r_ohm=draw.uniform(0.01, 2), x_ohm=draw.uniform(0, 0.5),
                   emf_v=draw.uniform(10, 240), source=f"g{number}")
        )  # fmt: skip
    return Circuit(tuple(branches), 50.0)


def _branch(draw: random.Random, number: int, a: str, b: str) -> Branch:
    name = f"b{number}"
    if draw.random() < 0.1:
        return Branch(name, a, b, "capacitor", c_f=draw.uniform(1e-9, 1e-6))
    ohm = 10 ** draw.uniform(-3.5, 5)
    return Branch(name, a, b, "core", r_ohm=ohm, x_ohm=ohm * draw.choice([0.0, 0.1, 1.0]))
