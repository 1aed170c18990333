"""What a collection is called: the names a grower uses, and the genera the trade knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Names:
    """The names that one collection knows; what the reader may match beside its lexicon.

    `nicknames` maps a nickname to a label, `lots` a lot's key to its other wordings, `labels` is the range of numbers in
    use (both ends in), `genera` the accepted genera held (lower case), which settle short forms that fit several, `mixes` the
    words for a mix to its key ("house mix" to "house").
    """

    places: tuple[str, ...] = ()
    nicknames: Mapping[str, str] = field(default_factory=dict)
    lots: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    people: tuple[str, ...] = ()
    sowings: tuple[str, ...] = ()
    labels: tuple[int, int] | None = None
    genera: tuple[str, ...] = ()
    mixes: Mapping[str, str] = field(default_factory=dict)
