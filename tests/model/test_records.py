"""Records of facts: what is known, what lies over what, and that each fact says its unit, its words and its bounds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.facts import facts
from topo.model import feeds, records
from topo.model.declare import Record, declared, known, names_of, over, with_facts
from topo.model.facts import BASES, Fact, basis_of, value_of
from topo.model.feeds import (
    BlockFacts,
    BoxFacts,
    ChannelFacts,
    ConverterFacts,
    LeadFacts,
    SupplyFacts,
)
from topo.model.records import (
    CableFacts,
    ComputerFacts,
    DeviceFacts,
    HubFacts,
    NightFacts,
    SeenFacts,
    SerialFacts,
    UseFacts,
)

POWER: tuple[type[Record], ...] = (
    SupplyFacts, BlockFacts, ChannelFacts, BoxFacts, ConverterFacts, LeadFacts,
)  # fmt: skip
RECORDS: tuple[type[Record], ...] = (
    DeviceFacts, HubFacts, ComputerFacts, UseFacts, NightFacts, SeenFacts, SerialFacts, CableFacts, *POWER,
)  # fmt: skip


def test_every_record_is_held_here() -> None:
    named = (*vars(records).values(), *vars(feeds).values())
    there = [each for each in named if isinstance(each, type) and issubclass(each, Record)]
    assert {*there} == {Record, *RECORDS}


def test_what_is_not_known_is_an_assumption() -> None:
    assert value_of(None) is None and value_of(None, 3) == 3 and value_of(Fact(5, "declared"), 3) == 5
    assert value_of(Fact(False, "declared"), True) is False
    assert basis_of(None) == "assumed" and basis_of(Fact(1, "measured")) == "measured"


@given(st.lists(st.sampled_from(BASES), min_size=1, max_size=4))
def test_the_weakest_basis_counts(bases: list[str]) -> None:
    found = basis_of(*(Fact(0, basis) for basis in bases))  # type: ignore[arg-type]
    assert found in bases and all(BASES.index(found) >= BASES.index(basis) for basis in bases)  # type: ignore[arg-type]


@pytest.mark.parametrize("record", RECORDS)
def test_facts_come_in_the_order_they_are_declared(record: type[Record]) -> None:
    names = names_of(record)
    assert [name for name, _ in known(facts(record, **dict.fromkeys(reversed(names), 1)))] == list(names)
    assert list(known(record())) == []


def test_what_lies_above_stands() -> None:
    below, above = facts(HubFacts, "profile", ports=4, powered=True), facts(HubFacts, ports=7, bus_ma=0.0)
    both = over(below, above)
    assert both == HubFacts(
        ports=Fact(7, "declared"), powered=Fact(True, "profile"), bus_ma=Fact(0.0, "declared")
    )
    assert over(both, HubFacts()) == over(HubFacts(), both) == both
    assert with_facts(both, {"ports": None, "bus_ma": None}) == facts(HubFacts, "profile", powered=True)


def test_a_name_that_is_none_is_refused() -> None:
    with pytest.raises(TypeError):
        with_facts(HubFacts(), {"prots": Fact(4, "declared")})
    with pytest.raises(AttributeError):
        _ = DeviceFacts().readout_mbps  # type: ignore[attr-defined]
    with pytest.raises(AttributeError):
        HubFacts().ports = Fact(4, "declared")  # type: ignore[misc]


@pytest.mark.parametrize("record", RECORDS)
def test_each_fact_is_declared_whole(record: type[Record]) -> None:
    for each in declared(record):
        assert each.fact and each.optional and each.words, each.name
        if each.type in (int, float):
            low, high = each.bounds.low, each.bounds.high
            assert low is not None and high is not None and low < high, each.name
        else:
            assert each.type is bool or each.choices or each.bounds.pattern, each.name
