"""Union of terminals that are one potential."""

from collections import defaultdict
from collections.abc import Iterable


class Potentials:
    """Disjoint sets of terminals (union–find); deterministic, the representative is the first one named."""

    def __init__(self, pairs: Iterable[tuple[str, str]] = ()) -> None:
        self._parent: dict[str, str] = {}
        for a, b in pairs:
            self.join(a, b)

    def find(self, terminal: str) -> str:
        """Return the representative of a terminal's set."""
        root = terminal
        while (parent := self._parent.get(root, root)) != root:
            root = parent
        while (parent := self._parent.get(terminal, terminal)) != root:
            self._parent[terminal] = root
            terminal = parent
        return root

    def join(self, a: str, b: str) -> None:
        """Make two terminals one potential."""
        root_a, root_b = self.find(a), self.find(b)
        self._parent.setdefault(root_a, root_a)
        self._parent[root_b] = root_a

    def same(self, a: str, b: str) -> bool:
        """Tell whether two terminals are one potential."""
        return self.find(a) == self.find(b)

    def groups(self, terminals: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """Return representative -> the given terminals in its set, in the order given."""
        found: dict[str, list[str]] = defaultdict(list)
        for terminal in terminals:
            found[self.find(terminal)].append(terminal)
        return {root: tuple(members) for root, members in found.items()}
