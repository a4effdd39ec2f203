"""The store: one result, swapped whole; what is refused changes nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo import demo

import mytakeoff as mt
from mytakeoff import store as store_module
from mytakeoff.job.edits import with_mix, with_plane
from mytakeoff.store import Store


@pytest.fixture
def store() -> Store:
    return Store(demo())


def with_waste(store: Store, share: float) -> bool:
    return store.apply(lambda job: replace(job, waste_share=share))


def test_an_edit_swaps_the_result_once(store: Store) -> None:
    seen: list[mt.Result] = []
    store.observe(lambda change: seen.append(change["new"]), "result")
    assert with_waste(store, 0.2)
    assert [result.job.waste_share for result in seen] == [0.2]


def test_an_edit_that_changes_nothing_tells_nobody(store: Store) -> None:
    seen: list[object] = []
    store.observe(lambda change: seen.append(change), "result")
    assert with_waste(store, store.job.waste_share)
    assert not seen
    assert not store.can_undo


def test_a_refused_edit_keeps_the_last_good_result(store: Store) -> None:
    good = store.result
    assert not with_waste(store, 1.0)
    assert store.result is good
    assert "80 %" in store.problem
    assert with_waste(store, 0.3)
    assert store.problem == ""


def test_a_programming_error_is_not_swallowed(store: Store) -> None:
    with pytest.raises(TypeError):
        store.apply(lambda job: replace(job, no_such_field=1))


def test_undo_takes_back_one_step(store: Store) -> None:
    first = store.result.cost.total
    with_waste(store, 0.25)
    store.apply(lambda job: with_plane(job, least_mm=12.0), "least_mm")
    assert store.undo()
    assert store.job.plane.least_mm is None
    assert store.job.waste_share == 0.25
    assert store.undo()
    assert store.result.cost.total == first
    assert not store.undo()


def test_one_drag_is_one_step(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    now = [100.0]
    monkeypatch.setattr(store_module.time, "monotonic", lambda: now[0])
    name = store.job.system.backing.name
    before = store.job
    for density in (0.81, 0.82, 0.83):
        now[0] += 0.05
        store.apply(lambda job, kg=density: with_mix(job, name, density_kg_per_l=kg), "density")
    now[0] += 5.0
    store.apply(lambda job: with_mix(job, name, density_kg_per_l=0.9), "density")
    store.undo()
    assert store.job.system.backing.density_kg_per_l == 0.83
    store.undo()
    assert store.job == before


def test_a_job_that_cannot_be_evaluated_is_refused_at_the_door() -> None:
    job = demo()
    with pytest.raises(mt.TakeoffError):
        Store(replace(job, prices=mt.PriceList()))
