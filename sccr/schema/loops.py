"""Loops in who feeds whom. Components are numbers here, each with the numbers of what feeds it; supplies have none."""

from collections import deque
from collections.abc import Collection
from collections.abc import Iterable
from collections.abc import Iterator
from collections.abc import Sequence

Steps = Sequence[Collection[int]]


def children_of(parents: Steps) -> list[list[int]]:
    """Return what each component feeds."""
    children: list[list[int]] = [[] for _ in parents]
    for number, sources in enumerate(parents):
        for source in sources:
            children[source].append(number)
    return children


def loops(parents: Steps) -> Iterator[list[int]]:
    """Yield a loop of each knot of components that feed each other: the shortest through the first of them.

    Each feeds the next, and the last the first.
    """
    children = children_of(parents)
    suspects = _in_or_behind_loops(parents, children)
    for knot in _knots(parents, children, suspects) if suspects else ():
        start = min(knot)
        if len(knot) > 1 or start in parents[start]:
            yield _shortest_loop(start, children, knot)


def _in_or_behind_loops(parents: Steps, children: Steps) -> set[int]:
    """Return what is left when everything is taken away of which all sources have been taken away before."""
    missing = [len(sources) for sources in parents]
    taken = [number for number, count in enumerate(missing) if not count]
    for number in taken:  # which grows on the way
        for child in children[number]:
            missing[child] -= 1
            if not missing[child]:
                taken.append(child)
    return set(range(len(parents))).difference(taken) if len(taken) < len(parents) else set()


def _knots(parents: Steps, children: Steps, within: set[int]) -> Iterator[set[int]]:
    """Yield the strongly connected components by Kosaraju's algorithm, without recursion."""
    finished = _finishing_order(children, sorted(within))
    left = set(within)
    for start in reversed(finished):
        if start in left:
            knot = reached([start], parents, left)
            left -= knot
            yield knot


def _finishing_order(children: Steps, starts: Iterable[int]) -> list[int]:
    """Return what is reached from the starts, each after everything that is reached from it alone."""
    order: list[int] = []
    seen: set[int] = set()
    for start in starts:
        if start in seen:
            continue
        seen.add(start)
        path = [(start, iter(children[start]))]
        while path:
            number, waiting = path[-1]
            child = next((each for each in waiting if each not in seen), None)
            if child is None:
                order.append(number)
                path.pop()
            else:
                seen.add(child)
                path.append((child, iter(children[child])))
    return order


def _shortest_loop(start: int, children: Steps, knot: set[int]) -> list[int]:
    came_from: dict[int, int] = {}
    waiting = deque([start])
    while start not in came_from:
        number = waiting.popleft()
        for child in children[number]:
            if child in knot and child not in came_from:
                came_from[child] = number
                waiting.append(child)
    backwards = [came_from[start]]
    while backwards[-1] != start:
        backwards.append(came_from[backwards[-1]])
    return backwards[::-1]


def reached(starts: Iterable[int], steps: Steps, within: Collection[int]) -> set[int]:
    """Return the starts and everything that the steps lead to from them, without leaving `within`."""
    found = set(starts)
    waiting = list(found)
    while waiting:
        new = {each for each in steps[waiting.pop()] if each in within and each not in found}
        found |= new
        waiting += new
    return found
