"""Claims that safety leans on: with basis and proof, and those that are still unproved."""

from asfitted.studies.claims import claims

from .small import network


def found(*edits):
    return {(c.item, c.field): c for c in claims(network(*edits))}


def test_every_breaking_capacity_is_a_claim_until_it_is_proved():
    van = found()
    assert {item for item, field in van if field == "breaking capacity"} >= {
        "QF1",
        "QF2",
        "F1",
        "F3",
        "F10",
        "F21",
    }
    assert van["F10", "breaking capacity"].basis == ""
    assert not van["F10", "breaking capacity"].proved


def test_basis_and_proof_are_taken_from_the_description():
    charger = "charger: {battery charger: 24 V 20 A,"
    shown = 'evidence: {breaking capacity: "plate, photos/f10.jpg", dc voltage: measured}'
    edit = (charger, f"F10: {{fuse T: 125 A, {shown}}}\n  {charger}")
    van = found(edit, ("F10: fuse T 125 A, W21", "F10, W21"))
    capacity = van["F10", "breaking capacity"]
    assert (capacity.basis, capacity.proof, capacity.proved) == ("plate", "photos/f10.jpg", True)
    assert van["F10", "dc voltage"].proved


def test_fields_with_a_basis_of_their_own():
    edit = (
        "rest position: source 2}",
        "rest position: source 2, to source 2: '0.3 s claimed, 0.42 s measured'}",
    )
    van = found(edit)
    assert van["changeover", "to source 2"].basis == "measured"
    assert van["changeover", "break before make"].basis == "claimed"
    assert van["inverter", "neutral bond"].basis == "data sheet"
    assert not van["inverter", "neutral bond"].proved  # the sheet itself is not shown
    assert van["site", "loop impedance"].basis == "claimed"
