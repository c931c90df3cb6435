"""Resistances to expect with an ohmmeter: protective conductors and circuits, at 20 °C, hot or cold."""

from asfitted.network.model import Core
from asfitted.network.resistance import core_resistance_20c
from asfitted.studies.commissioning.plan import Expected, Subject
from asfitted.tables.conductors import copper

#: a reading may exceed the calculated resistance by this share before a joint is suspect
#: (common practice, no published source)
CONTINUITY_MARGIN = 0.2
#: joints, pins and lugs in a protective path, in ohms (common practice, no published source)
JOINTS_OHM = 0.05
#: IEC 60228 gives the greatest resistance of a size; copper sold is better by this share at the most (assumed)
BETTER_COPPER = 0.15
#: an ohmmeter of low resistance shows hundredths (IEC 61557-4, from memory)
RESOLUTION_OHM = 0.01


def at_20c(reading_ohm: float, temperature_c: float) -> float:
    """Return a resistance of copper measured at `temperature_c`, brought to 20 °C: R / (1 + α·(T − 20)),
    IEC 60287-1-1.
    """
    return reading_ohm / (1 + copper("temperature_coefficient_20c").value * (temperature_c - 20))


def cores_ohm(subject: Subject, cores: tuple[Core, ...]) -> float:
    """Return the resistance at 20 °C of cores in series, the greater of the classes of IEC 60228 that a cable
    may have.
    """
    total = 0.0
    for core in cores:
        cable = subject.network.cables[core.cable]
        size = core.size or subject.sizing.sizes.get(cable.id)
        if size is not None:
            described = subject.network.description.cables[cable.id].conductor_class
            total += core_resistance_20c(cable, size, described).value
    return total


def floor_ohm(calculated_ohm: float) -> float:
    """Return the least that conductors of this calculated resistance can read; never below nothing."""
    return max(0.0, calculated_ohm * (1 - BETTER_COPPER) - RESOLUTION_OHM)


def conductors(calculated_ohm: float, least_ohm: float) -> Expected:
    """Return what conductors should read: `calculated_ohm` along the way described, `least_ohm` with every
    parallel path.
    """
    return Expected(
        "ohm",
        calculated_ohm,
        None,
        calculated_ohm * (1 + CONTINUITY_MARGIN) + JOINTS_OHM,
        floor_ohm(least_ohm),
        at_20c=True,
    )
