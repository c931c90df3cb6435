"""The sections of a description: which there are, and which one a misspelt name means."""

from asfitted.description.kinds import field_names
from asfitted.description.problems import Problem, meant, nearest
from asfitted.description.schema import Description
from asfitted.description.tree import Mapping, Node, Scalar

#: sections of the short forms; expanding turns them into those of the long form
SHORT_ONLY = ("defaults", "sources", "runs", "circuits")
SECTIONS = (*field_names(Description), *SHORT_ONLY)


def with_known_sections(tree: Mapping) -> tuple[Mapping, list[Problem], list[Node]]:
    """Return the tree with its misspelt sections under the names that are meant, the problems, and what is lost.

    Read under its right name, a section is checked as well, and what it describes is not missed elsewhere.
    """
    entries: list[tuple[Scalar, Node]] = []
    problems: list[Problem] = []
    lost: list[Node] = []
    for key, node in tree.entries:
        if key.text in SECTIONS:
            entries.append((key, node))
            continue
        fields: dict[str, object] = {"key": key.text, "meant": meant(key.text, SECTIONS, len(SECTIONS))}
        problems.append(Problem("unknown section", key.mark, fields))
        near = nearest(key.text, SECTIONS)
        if near and tree.get(near) is None:
            entries.append((Scalar(near, key.mark), node))
        else:
            lost.append(node)
    return Mapping(tuple(entries), tree.mark), problems, lost
