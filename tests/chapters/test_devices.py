"""The device chapter: every edition has the ratings, the inspector's the fault currents of each source besides."""

from tests.studies.builds import studied

from asfitted.chapters.book import Book
from asfitted.chapters.device_tables import besides, faults, ratings
from asfitted.chapters.pages import pages


def page(edition):
    book = Book(studied(), edition, False, (), {})
    return next(p.markdown for p in pages(book) if p.id == "devices")


def test_every_overcurrent_device_has_its_row():
    book = Book(studied(), "owner", False, (), {})
    assert len(ratings(book)) == len(book.study.sizing.devices)
    assert all(row["sound"] and row["carries"] for row in ratings(book))  # the example is sound


def test_inspector_alone_reads_the_fault_currents():
    assert "{#devices-faults}" in page("inspector")
    for edition in ("owner", "public"):
        assert "{#devices-faults}" not in page(edition)
        assert "{#devices-ratings}" in page(edition)


def test_every_source_that_reaches_a_device_is_told_once():
    book = Book(studied(), "inspector", False, (), {})
    told = len(faults(book)) + sum(
        len(row["sources"]) * (str(row["devices"]).count("](")) for row in besides(book)
    )
    assert told == len(book.study.sizing.device_faults)
