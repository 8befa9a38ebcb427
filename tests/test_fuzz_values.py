"""Each shape in the place of each value: a sample of the sweep of `fuzz_values`, and the files that showed a defect."""

from __future__ import annotations

import pytest

from tests.fuzz_values import SHAPES, WHOLE, data_of, files, places, replaced, sweep, wrong
from topo.errors import RigFileError
from topo.pipeline import examine_text

EVERY = 97
"""A prime, so that every shape and every section has its turn."""


def test_a_sample_of_all_replacements_is_taken_or_refused_with_words() -> None:
    found = list(sweep(EVERY))
    assert len(found) > 100 and {name for name, *_ in found} == set(files())
    assert len({str(shape) for _, _, shape, _ in found}) == len({str(shape) for shape in SHAPES})
    assert [each for each in found if each[3]] == []


@pytest.mark.parametrize("shape", [{"a": "b"}, ["a"], {}], ids=str)
@pytest.mark.parametrize(
    "path", [("rig",), ("computer", "note"), ("power", "leads", "main", "from"), ("power", "leads", "main", "to"),
             ("profiles", "made", "summary"), ("profiles", "made", "source"), ("devices", "big", "plug")],
    ids="/".join,
)
def test_a_mapping_where_text_belongs_is_told_with_its_place(path: tuple[str, ...], shape: object) -> None:
    data = data_of(WHOLE)
    assert path in list(places(data))
    with pytest.raises(RigFileError, match=f"`{path[-1]}` takes one value, not a (mapping|list)") as caught:
        examine_text(replaced(data, path, shape))
    assert all(problem.line > 0 for problem in caught.value.problems)


def test_the_file_itself_is_fine() -> None:
    assert wrong(WHOLE) == ""
    examine_text(WHOLE)
