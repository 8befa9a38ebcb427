"""Settles who may supply a name that several plugins claim. What came in the box stays; strangers lose it to nobody."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from topo.frozen import frozen
from topo.plugin.values import Supplier, Trouble


@frozen
class Offer:
    """One plugin's claim to a name, with the value that goes with it."""

    name: str
    supplier: Supplier
    builtin: bool
    value: Any


@frozen
class Settled:
    """The offers that stand, in their order; who fought over each name; and what the losers are told."""

    kept: tuple[Offer, ...]
    contested: dict[str, tuple[Supplier, ...]]
    troubles: tuple[Trouble, ...]


def settle(what: str, offers: Iterable[Offer]) -> Settled:
    """At most one offer for each name. `what` is the kind of thing in words, such as "check"."""
    by_name: dict[str, list[Offer]] = {}
    for offer in offers:
        by_name.setdefault(offer.name, []).append(offer)
    kept: list[Offer] = []
    contested: dict[str, tuple[Supplier, ...]] = {}
    troubles: list[Trouble] = []
    for name, rivals in by_name.items():
        if len(rivals) == 1:
            kept += rivals
            continue
        suppliers = tuple(dict.fromkeys(offer.supplier for offer in rivals))
        holder = rivals[0] if rivals[0].builtin or len(suppliers) == 1 else None
        if holder is not None:
            kept.append(holder)
        contested[name] = suppliers
        troubles += [
            Trouble.of(offer.supplier, f"{what} '{name}' {_why(offer, holder, suppliers)}")
            for offer in rivals if offer is not holder
        ]
    return Settled(tuple(kept), contested, tuple(troubles))


def _why(offer: Offer, holder: Offer | None, suppliers: tuple[Supplier, ...]) -> str:
    if holder is None:
        others = " and ".join(str(supplier) for supplier in suppliers if supplier != offer.supplier)
        return f"is also supplied by {others}; neither is used"
    if holder.supplier == offer.supplier:
        return "comes twice from this plugin; the first is used"
    return f"is already supplied by {holder.supplier}, which stays"
