"""Which thing of a wall is which, while others come and go: a drag goes on over a change made elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from mytakeoff.job.findings import Thing, ThingKind


class Keys:
    """Names for the things of one wall that stay the same from one state of the job to the next."""

    def __init__(self) -> None:
        self._known: dict[ThingKind, list[tuple[str, Thing]]] = {}
        self._given = 0

    def follow(self, kind: ThingKind, things: Sequence[Thing]) -> list[str]:
        """Take over all things of a kind; the key of each, in their order.

        Things that are as they were keep their keys. Of the others each has the key of what stood at its
        place: it was changed; a new one has a new key.
        """
        left = dict(enumerate(self._known.get(kind, [])))
        keys = [""] * len(things)

        def match(fits: Callable[[int, int], bool]) -> None:
            for nth in (nth for nth, key in enumerate(keys) if not key):
                was = next((each for each in left if fits(nth, each)), None)
                if was is not None:
                    keys[nth] = left.pop(was)[0]

        match(lambda nth, was: nth == was and left[was][1] == things[nth])
        match(lambda nth, was: left[was][1] == things[nth])
        match(lambda nth, was: nth == was)
        self._known[kind] = [(key or self._new(kind), each) for key, each in zip(keys, things, strict=True)]
        return [key for key, _ in self._known[kind]]

    def _new(self, kind: ThingKind) -> str:
        self._given += 1
        return f"{kind} {self._given}"

    def find(self, key: str) -> tuple[ThingKind, int] | None:
        """The kind of a thing and which of them it is, counted from 0; None where it is there no more."""
        for kind, known in self._known.items():
            for nth, (each, _) in enumerate(known):
                if each == key:
                    return kind, nth
        return None

    def key_of(self, kind: ThingKind, nth: int) -> str:
        """The key of one of the things, counted from 0; from the end below 0."""
        return self._known[kind][nth][0]
