"""From wishes to judged designs: small searches around the demo, on few candidates."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
import tomllib
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from linkage.cli import app
from linkage.crew import Workers, gather
from linkage.document.reader import parse, read
from linkage.document.wishes import read_with_wishes
from linkage.drawing.front_chart import _asides, front_figure
from linkage.errors import DocumentError
from linkage.gear import build
from linkage.report.found import RELAX, advice, found_csv, found_json, lines, write_found
from linkage.search import find as module
from linkage.search import refined
from linkage.search import screen as cascade
from linkage.search.find import find
from linkage.search.found import Found
from linkage.search.front import COUNTED, merits, non_dominated
from linkage.search.sampling import Spread, laid
from linkage.search.screen import screen_batch
from linkage.search.screened import PASSED, batches
from linkage.search.survivors import Judged, Trial, measured, origin
from linkage.solution import solve
from tests.search.finding import WANTED
from tests.studies import MERROW, ROOT, changed

NEAR: dict[str, Any] = {
    "wanted.trunnion": {"fs": [837, 843], "wl": [679, 685]},
    "wanted.upper_pin": {"fs": [1137, 1143], "wl": [547, 553]},
    "wanted.lug": {"along": [177, 183], "offset": [-3, 3]},
    "wanted.upper_link": [197, 203],
    "wanted.over_centre": [4.5, 6.5],
    "wanted.actuator.root": {"fs": [797, 803], "wl": [749, 755]},
    "wanted.actuator.pin": {"radius": [97, 103], "angle": [-60, -54]},
    "wanted.actuator.catalogue": [],
}
"""Regions of a few mm around the demo's own pins."""

COUNT = 240


@pytest.fixture(scope="module")
def found() -> Found:
    """One small search, done here."""
    patch = pytest.MonkeyPatch()
    patch.setattr(module, "SURVIVORS", 4)
    patch.setattr(module, "BATCH", 80)
    patch.setattr(refined, "GENERATIONS", 3)
    with patch.context():
        outcome = find(read_with_wishes(MERROW, WANTED, NEAR), NEAR, COUNT, 1, 1)
    patch.undo()
    return outcome


def test_the_demo_is_found_again_and_improved(found: Found) -> None:
    assert len(found.members) == 1
    values = merits({k: np.array([j.measures[k] for j in _judged(found)]) for k in COUNTED})
    assert np.all(values[:-1] >= values[-1] - np.array([1.0, 300.0, 60.0, 0.5]))  # in the same valley
    front = non_dominated(values)
    assert front.tolist()[0] != len(values) - 1  # something found is on the front
    spans = values.max(axis=0) - values.min(axis=0)
    score = ((values - values.min(axis=0)) / np.where(spans > 0, spans, 1.0)).sum(axis=1)
    assert score[:-1].max() > score[-1]


def _judged(found: Found) -> list[Any]:
    return [*(m.judged for m in found.members), found.present]


def test_found_pins_lie_in_their_regions(found: Found) -> None:
    for member in found.members:
        gear = build(parse(tomllib.loads(member.text)))
        own = build(changed({}, MERROW))
        for name in ("trunnion", "upper pin", "actuator root"):
            offset = gear.pins[name].at - own.pins[name].at
            assert max(abs(offset.real), abs(offset.imag)) <= 3.0001
        assert abs(gear.pins["axle"].at - (800.8 + 88.8j)) <= 1.0 + 1e-3


def test_members_are_what_the_full_solver_says_of_their_files(found: Found, tmp_path: Path) -> None:
    member = found.members[0]
    path = tmp_path / "one.toml"
    path.write_text(member.text, encoding="utf-8")
    solution = solve(read(path), closely=False)
    new = [f for f in solution.findings if not f.passed and (f.code, f.subject, f.state) not in found.excused]
    assert not new
    worst = solution.results.clearance.worst
    assert worst is not None and worst.margin == pytest.approx(member.judged.measures["margin"], abs=1e-9)
    assert read(path).sha256 == member.judged.sha256


def test_only_changed_values_change_and_comments_stay(found: Found) -> None:
    old = MERROW.read_text(encoding="utf-8").splitlines()
    new = found.members[0].text.splitlines()
    assert len(old) == len(new)
    differing = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert 1 <= len(differing) <= len(found.members[0].changes)
    assert all(a.partition("#")[2] == b.partition("#")[2] for a, b in differing)


def test_counts_add_up(found: Found) -> None:
    assert found.sampled == found.asked == COUNT
    assert sum(found.refused.values()) + found.passed == COUNT
    later = sum(found.refused_later.values())
    assert found.passed + found.refined == later + len(found.members)


def test_files_are_written_and_can_be_read(found: Found, tmp_path: Path) -> None:
    (tmp_path / "found-09.toml").write_text("of an older search", encoding="utf-8")
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    source = read_with_wishes(MERROW, WANTED, NEAR)
    hostile = replace(found.members[0], changes={**found.members[0].changes, "gear.actuator.kind": "=1+1"})
    write_found(replace(found, members=(hostile, *found.members[1:])), source, tmp_path)
    assert not (tmp_path / "found-09.toml").exists() and (tmp_path / "mine.txt").read_text() == "mine"
    for name in ("front.svg", "front.png", "linkages.svg", "linkages.png", "found.txt"):
        assert (tmp_path / name).stat().st_size > 300
    table = json.loads((tmp_path / "found.json").read_text())
    assert table["candidates"]["screened"] == COUNT and len(table["designs"]) == len(found.members)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "found.csv").read_text())))
    assert rows[-1]["design"] == "present" and rows[0]["gear.actuator.kind"] == "'=1+1"
    assert float(rows[0]["margin_mm"]) == found.members[0].judged.measures["margin"]
    assert read(tmp_path / "found-01.toml").study.title == found.title


def test_stopped_and_empty_are_said(found: Found) -> None:
    text = "\n".join(lines(replace(found, stopped=True)))
    assert "stopped early" in text and json.loads(found_json(replace(found, stopped=True)))["stopped_early"]
    none = replace(found, members=(), passed=0, refined=0, refused={"jams on the way": 9}, refused_later={})
    assert "Nothing found" in "\n".join(lines(none))
    assert next(advice(none)).startswith("most were refused because: jams on the way; widen wanted.upper_pin")
    assert found_csv(none).splitlines()[-1].startswith("present,")


def test_a_gap_to_nothing_is_no_number(found: Found, tmp_path: Path) -> None:
    """Without bay items there is no margin: none is printed, drawn or filed."""
    empty = measured(solve(read(MERROW, {"bay.item": []})).results)
    assert empty["margin"] == np.inf
    first = found.members[0]
    alone = replace(first, judged=replace(first.judged, measures=empty))
    free = replace(found, members=(alone,), present=replace(found.present, measures=empty))
    text = "\n".join(lines(free))
    assert "first: no bay items, actuator" in text and "inf" not in text and "00000000" not in text
    assert sum(" none " in line for line in text.splitlines()) == 2
    assert next(csv.DictReader(io.StringIO(found_csv(free))))["margin_mm"] == ""
    assert json.loads(found_json(free))["designs"][0]["margin_mm"] is None
    assert front_figure(free).axes[0].get_ylabel() == "lock quality, mm"
    assert front_figure(found).axes[0].get_ylabel() == "least margin to the bay, mm"


def test_every_reason_of_the_cascade_has_its_advice() -> None:
    reasons = [cascade.PUSH, *(reason for reason, _ in (*cascade.PLACED, *cascade.DRAWN))]
    assert not [r for r in reasons if r not in RELAX]


def test_a_gap_that_nothing_keeps_is_named_and_excuses_nothing() -> None:
    """The present design falls short of it too, and yet it refuses all: so it is not said to refuse none."""
    wide = {**NEAR, "bay.item[oil cooler].required": 40}
    outcome = find(read_with_wishes(MERROW, WANTED, wide), wide, 64, 1, 1)
    assert not outcome.members and not outcome.passed
    text = "\n".join(lines(outcome))
    assert "were refused because: too near: oil cooler; move or shrink that bay item" in text
    assert "gap short" not in text
    assert any(code == "gap" for code, _, _ in outcome.present.short)


def test_what_came_furthest_has_its_advice(found: Found) -> None:
    none = replace(found, members=(), passed=0, refined=0, refused_later={})
    counts = {cascade.JAM: 70, cascade.LOWER: 20, cascade.LOCKING: 1}
    assert [line.partition(" refused because: ")[2] for line in advice(replace(none, refused=counts))] == [
        f"{cascade.JAM}; {RELAX[cascade.JAM]}",
        f"{cascade.LOCKING}; {RELAX[cascade.LOCKING]}",
    ]
    last = list(advice(replace(none, refused={**counts, f"{cascade.NEAR}firewall": 3, cascade.PUSH: 2})))[1]
    assert last.startswith("those that came furthest were refused because: too near: firewall; move or shrink")


@pytest.mark.parametrize(("stops", "heard"), [(False, False), (True, False), (False, True)])
def test_one_beaten_by_another_leaves_its_place_to_the_next(
    monkeypatch: pytest.MonkeyPatch, stops: bool, heard: bool
) -> None:
    """Two are wanted of four on the front; the full solver finds the second beaten by the first. A Ctrl-C that was
    heard before counts for the steps before."""
    source = read_with_wishes(MERROW, WANTED, NEAR)
    forces = {"0": 100.0, "1": 200.0, "2": 300.0, "3": 400.0}
    margins = {"0": 2.0, "1": 1.0, "2": 3.0, "3": 4.0}

    def told(trial: Trial) -> Judged:
        if stops and trial.name == "1":
            raise KeyboardInterrupt
        values = {"margin": margins[trial.name], "force": forces[trial.name], "moment": 1.0, "lock": 1.0}
        return Judged(trial.name, "", "", values, (), {})

    monkeypatch.setattr(module, "judged", told)
    begin = origin(source, {})
    search = module._Search(source, begin, (), 2, None, lambda *_: None, Counter(), 1, (), False)
    pool = module._Pool([{}] * 4, [np.array([m, -100.0 * m, 0.0, 0.0]) for m in (4.0, 3.0, 2.0, 1.0)], [False] * 4)
    monkeypatch.setattr(search, "_in_turn", lambda pool: ([0, 1, 2, 3], []))
    search.interrupts.heard = heard
    members = search._judge(pool)
    assert search.stopped == (stops or heard)
    if stops:
        assert len(members) == 1 and search.later == {module.UNSEEN: 1, module.SPARE: 2}
    else:
        assert {m.judged.measures["force"] for m in members} == {100.0, 300.0}
        assert search.later == {module.OUTDONE: 1, module.SPARE: 1}


def test_a_name_stands_away_from_the_nearest_other_mark() -> None:
    """Of two close together the upper one has its name above it, the lower one below; beside each other in turn."""
    up = _asides(np.array([[0.30, 0.20], [0.31, 0.27], [0.80, 0.90], [0.83, 0.90]]))
    assert up[0] < 0 < up[1] and up[2] * up[3] < 0
    assert len(_asides(np.array([[0.5, 0.5]]))) == 1


def test_ctrl_c_between_two_steps_keeps_what_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """While results are merged, and again while the first designs are chosen: no refinement, but an answer."""
    monkeypatch.setattr(module, "BATCH", 80)
    merged, spread = module.merge, module.thinned

    def struck(work: Any) -> Any:
        def done(*given: Any) -> Any:
            signal.raise_signal(signal.SIGINT)
            return work(*given)

        return done

    monkeypatch.setattr(module, "merge", struck(merged))
    monkeypatch.setattr(module, "thinned", struck(spread))
    outcome = find(read_with_wishes(MERROW, WANTED, NEAR), NEAR, COUNT, 1, 1)
    assert outcome.stopped and outcome.sampled == COUNT and not outcome.refined
    assert len(outcome.members) == 1
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_contradictions_are_told_before_any_work() -> None:
    with pytest.raises(DocumentError, match=r"wanted\.folds"):
        wrong = {**NEAR, "wanted.folds": ["forward"]}
        find(read_with_wishes(MERROW, WANTED, wrong), wrong, 10, 1, 1)


def test_the_demos_own_pins_are_found_again() -> None:
    """Only the trunnion is free, on a line of 10 mm: among 512 candidates one lies within a sampling distance."""
    only = {
        "wanted": {
            "wheel": {"down": {"at": [800.8, 88.8], "tolerance": 0.1}, "up": {"at": [1434.2, 663.6], "tolerance": 0.1}},
            "trunnion": {"fs": [836, 844], "wl": [678, 686]},
        }
    }
    study = changed(only, MERROW)
    (batch,) = batches(study, (), 512, 3, 512, 1)
    kept = screen_batch(batch)
    assert kept.counts[PASSED] == len(kept.candidates) > 0
    own = np.array([840.0, 682.0, 594.0, 92.0, 123.0])
    table = np.stack([kept.candidates.of(n) for n in ("trunnion_fs", "trunnion_wl", "leg_length", "swing_up")], axis=1)
    table = np.concatenate([table, kept.candidates.of("lower_link")[:, None]], axis=1)
    assert np.abs(table - own).max(axis=1).min() < 0.25


def test_any_number_of_workers_screens_the_same() -> None:
    source = read_with_wishes(MERROW, WANTED, NEAR)
    work = batches(source.study, (), 80, 1, 20, 1)
    alone, again = gather(module.screened_all, work), gather(module.screened_all, work)
    with Workers(2) as crew:
        both = gather(module.screened_all, work, crew)
    for a, b in [*zip(alone.results, both.results, strict=True), *zip(alone.results, again.results, strict=True)]:
        assert np.array_equal(a.candidates.table, b.candidates.table) and dict(a.counts) == dict(b.counts)
        assert all(np.array_equal(a.measures[k], b.measures[k]) for k in a.measures)


def test_a_refinement_begins_where_its_candidates_are() -> None:
    source = read_with_wishes(MERROW, WANTED, NEAR)
    (batch,) = batches(source.study, (), 20, 1, 20, 1)
    kept = module.screened_all(batch)
    numbers = np.array([refined.start_of(batch, int(i) & 0xFFFFFFFF) for i in kept.order])
    same = laid(source.study, Spread(numbers), 0)
    assert len(kept.candidates) and np.array_equal(same.table[:, :-1], kept.candidates.table[:, :-1])


def test_of_a_batch_where_nearly_all_pass_the_leading_ones_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    (batch,) = batches(read_with_wishes(MERROW, WANTED, NEAR).study, (), 60, 1, 60, 1)
    whole = module.screened_all(batch)
    monkeypatch.setattr(module, "MOST", 8)
    kept = module.screened_all(batch)
    assert len(kept.candidates) < len(whole.candidates) and kept.counts == whole.counts
    front = set(whole.order[non_dominated(merits(whole.measures))].tolist())
    assert front <= set(kept.order.tolist()) <= set(whole.order.tolist())


def test_bad_input_of_the_command(tmp_path: Path) -> None:
    run = CliRunner().invoke
    given = ["find", str(MERROW), "-o", str(tmp_path / "out")]
    assert run(app, given).exit_code == 2  # no wishes
    wanted = ["--wanted", str(WANTED)]
    for more in (["--candidates", "0"], ["--candidates", "nan"], ["--keep", "0"], ["--workers", "0"], ["--seed", "-1"]):
        assert run(app, [*given, *wanted, *more]).exit_code == 2
    told = run(app, [*given, *wanted, "--set", "wanted.trunnion.fs=[865, 815]"])
    assert told.exit_code == 2 and "is empty" in told.output
    assert not (tmp_path / "out").exists()


def test_ctrl_c_keeps_what_was_found(tmp_path: Path) -> None:
    """A search of a day is ended by hand once something has been screened."""
    script = (
        "import linkage.search.find as f, linkage.search.interrupts as g, linkage.cli as c, sys\n"
        "f.BATCH = 15; f.HURRIED = 1\n"
        "real = g.gather\n"
        "def gather(work, jobs, executor, tell):\n"
        "    def told(d, n, r):\n"
        "        tell(d, n, r); print('done', d, n, flush=True)\n"
        "    return real(work, jobs, None, told)\n"
        "g.gather = gather\n"
        "if __name__ == '__main__': c.main()\n"
    )
    sets = [w for k, v in NEAR.items() for w in ("--set", f"{k}={_toml(v)}")]
    command = [sys.executable, "-c", script, "find", str(MERROW), "--wanted", str(WANTED), "-o", str(tmp_path / "out")]
    more = ["--candidates", "3e6", "--keep", "1", "--workers", "1"]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    run = subprocess.Popen(
        [*command, *more, *sets],
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert run.stdout is not None
    for line in run.stdout:
        if line.startswith("done 5 "):
            break
    time.sleep(0.05)
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=120)
    assert run.returncode in (0, 1), err
    assert "stopped early" in out
    table = json.loads((tmp_path / "out" / "found.json").read_text())
    assert table["stopped_early"] and 75 <= table["candidates"]["screened"] < 3e6


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k} = {_toml(v)}" for k, v in value.items()) + "}"
    return json.dumps(value)
