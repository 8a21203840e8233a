"""What marks have to bear before they are handed out: floors, the mildest damages, which are put to the whole set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from schemas.label_template import LabelTemplate
from service.errors import LintFailed
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.items import Layout, PlacedSymbol
from service.marks.layout import lay_out
from service.marks.lettering import Typeface
from service.marks.survival import Trial
from service.marks.symbols import Modules, data_matrix
from service.render import survival_proof
from service.render.damages import DAMAGES, EVERY_MARK
from service.render.fonts import typeface
from service.render.survival import NEARER_MM, ROUND_MM, run_trials
from service.render.survival_proof import ONE_IN, lint_job, prove_survival
from service.work.drawing_room import PlateForm, draw_plate, draw_plates
from tests.bench.bench_plates import _mark
from tests.mark_factory import make_facts, make_template

PICTURES: tuple[PlateForm, ...] = ("png", "svg")


@pytest.fixture(autouse=True)
def _nothing_known() -> Iterator[None]:
    survival_proof._known.clear()
    yield
    survival_proof._known.clear()


def with_floors(template: LabelTemplate, *, symbols: float = 0.0, whole: float = 0.0) -> LabelTemplate:
    return template.model_copy(
        update={
            "least_survival": whole,
            "symbols": tuple(one.model_copy(update={"least_survival": symbols}) for one in template.symbols),
        }
    )


def fragile() -> LabelTemplate:
    """The nameplate with its QR Code alone."""
    template = make_template()
    return template.model_copy(update={"symbols": template.symbols[:1]})


def test_a_fragile_template_falls_below_floors_of_one() -> None:
    found = lint_job(with_floors(fragile(), symbols=1.0, whole=1.0), [make_facts()], dpi=203)
    assert [(index, finding.rule) for index, finding in found] == [
        (0, "survival_below_floor"),
        (None, "survival_below_floor"),
    ]
    symbol = found[0][1]
    assert symbol.field == "QR Code 1 (link)"
    assert symbol.value.endswith(" %")
    assert "asks for 100 %" in symbol.message
    assert any(damage.name in symbol.message for damage in DAMAGES)


def test_it_is_handed_out_without_floors_and_not_with_them() -> None:
    assert draw_plates(with_floors(fragile()), [make_facts()], paper="roll", dpi=203).startswith(b"%PDF")
    strict = with_floors(fragile(), whole=0.99)
    with pytest.raises(LintFailed) as refused:
        draw_plates(strict, [make_facts()], paper="roll", dpi=203)
    assert refused.value.rule == "survival_below_floor"
    for form in PICTURES:
        with pytest.raises(LintFailed):
            draw_plate(strict, make_facts(), form=form, dpi=203)


@pytest.mark.parametrize("template", ["nameplate-60x22", "tied-tag-80x50"])
def test_a_shipped_template_keeps_its_floors(template: str) -> None:
    chosen = make_template(template)
    assert chosen.least_survival > 0
    assert lint_job(chosen, [make_facts()], dpi=203) == []


def test_each_make_is_put_to_the_whole_set_once_and_one_mark_of_every_hundred(monkeypatch: pytest.MonkeyPatch) -> None:
    looked_at: list[str] = []
    whole_set = survival_proof._whole_set

    def listed(template: LabelTemplate, layout: Layout, facts: MarkFacts) -> tuple[Trial, ...]:
        looked_at.append(facts.key)
        return whole_set(template, layout, facts)

    monkeypatch.setattr(survival_proof, "_whole_set", listed)
    # A key with digits side by side takes a smaller Data Matrix, and so is another make.
    marks = [mark for mark in map(_mark, range(3 * ONE_IN)) if data_matrix(mark.key).width == 14][: 2 * ONE_IN]
    template = with_floors(make_template())
    prove_survival(template, marks[:10], dpi=203)
    assert looked_at == [marks[0].key]
    prove_survival(template, marks[10:20], dpi=203)
    assert len(looked_at) == 1, "a make that is known is not looked at again"
    prove_survival(template, marks, dpi=203)
    sampled = looked_at[1:]
    assert len(sampled) == 2
    assert set(sampled) < {mark.key for mark in marks}
    prove_survival(template, marks, dpi=203)
    assert looked_at[3:] == sampled, "the sample is seeded"
    prove_survival(template, marks[:1], dpi=300)
    assert looked_at[5:] == [marks[0].key], "another printer is another make"


def test_a_symbol_that_fails_a_mild_damage_stops_the_whole_job(monkeypatch: pytest.MonkeyPatch) -> None:
    """One mark of many, whose Data Matrix lost its finder: the whole set might never meet it."""
    marks = [_mark(index) for index in range(5)]

    def with_one_broken(template: LabelTemplate, facts: MarkFacts, face: Typeface, per_mm: float) -> Layout:
        layout = lay_out(template, facts, face, per_mm)
        if facts.key != marks[3].key:
            return layout
        *rest, last = layout.items
        assert isinstance(last, PlacedSymbol)
        blank = Modules(tuple((False,) * len(row) for row in last.modules.rows))
        return replace(layout, items=(*rest, replace(last, modules=blank)))

    monkeypatch.setattr(survival_proof, "lay_out", with_one_broken)
    found = lint_job(with_floors(make_template()), marks, dpi=203)
    count = len(make_template().symbols)
    assert {(index, finding.value) for index, finding in found} == {(count - 1, marks[3].number)}
    assert {damage.name for damage in EVERY_MARK} == {
        next(name for name in (damage.name for damage in DAMAGES) if name in finding.message) for _, finding in found
    }


@pytest.mark.parametrize("key", ["55632KM4", "XJH7XYN3", "YK89A977"])
def test_a_symbol_that_reads_at_a_second_look_is_no_reason_to_refuse(key: str) -> None:
    """Found among 60,000 random keys: whole symbols that the decoder misses from one aim alone, in 1 of 4,000."""
    facts = make_facts(number="OSV7-FC1-A500-SW2-U3-17", key=key)
    layout = lay_out(make_template(), facts, typeface(), dots_per_mm(300))
    looks = [run_trials(layout, facts, EVERY_MARK, merge=False, round_mm=mm) for mm in (ROUND_MM, NEARER_MM)]
    assert not all(all(trial.read) for trial in looks[0])
    assert all(all(trial.read) for trial in looks[1])
    assert list(survival_proof._mild(layout, facts)) == []
