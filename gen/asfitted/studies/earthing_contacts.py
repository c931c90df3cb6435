"""Contacts in protective conductors: forbidden, whatever they are meant to cure."""

from asfitted.network.model import Network
from asfitted.studies.results import Finding, Grade
from asfitted.tables.rules import rule_set


def earthing_contact_findings(network: Network) -> tuple[Finding, ...]:
    """Return a finding for each device with a contact in a protective conductor; an inlet's own earth pin is none.

    A plug and its socket may separate the protective conductor (it opens last); a switch may not.
    """
    clause = rule_set(network.description.build.rules).clause("switched protective conductor")
    return tuple(
        Finding(
            "protective-conductor-switched",
            Grade.POTENTIAL,
            (contact.equipment,),
            network.items[contact.equipment].mark,
            fields={"device": contact.equipment},
            clause=clause,
        )
        for contact in network.contacts
        if contact.conductor == "PE" and contact.position != "plugged"
    )
