"""History and saving: nothing is lost, nothing is changed that was not touched, nobody else's work is overwritten."""

from __future__ import annotations

import difflib
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.checks.pairing import turned
from linkage.document.reader import read
from linkage.document.write import rewritten
from linkage.drafting.draft import Draft, begin, check, dragged, redone, undone
from linkage.drafting.drag import Keep
from linkage.drafting.keeping import NotTheSameError, SavedElsewhereError, reloaded, saved, saved_beside
from linkage.drafting.steps import Snap
from linkage.errors import DocumentError, LinkageError
from tests.studies import MERROW, OSTREL, changed, solution

STEPS = st.one_of(
    st.sampled_from(["undo", "redo"]),
    st.tuples(
        st.integers(0, 8),
        st.floats(-4, 4, allow_nan=False),
        st.floats(-4, 4, allow_nan=False),
        st.sampled_from(list(Keep)),
        st.sampled_from(list(Snap)),
    ),
)


def copy_of(path: Path, folder: Path) -> Path:
    return Path(shutil.copy(path, folder / path.name))


def changed_lines(before: str, after: str) -> list[str]:
    return [d for d in difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0) if d[0] == "+"][
        1:
    ]


@settings(max_examples=12, deadline=None, derandomize=True)
@given(path=st.sampled_from([MERROW, OSTREL]), steps=st.lists(STEPS, min_size=1, max_size=6))
def test_any_way_there_and_back_is_the_same_study(path: Path, steps: list[object]) -> None:
    first = draft = begin(path)
    for step in steps:
        before = draft
        if step == "undo":
            draft = undone(draft)
        elif step == "redo":
            draft = redone(draft)
        elif isinstance(step, tuple):
            n, dx, dy, keep, snap = step
            handle = draft.handles[n % len(draft.handles)]
            try:
                draft = dragged(draft, handle.name, handle.at + complex(dx, dy), keep, snap)
            except LinkageError:
                assert draft is before
                continue
        if draft.here > before.here:
            assert undone(draft).study == before.study
        assert check(draft) == draft.study  # what a file would say
    last, text = draft.study, draft.text
    while draft.here:
        draft = undone(draft)
    assert draft.study == first.study == read(path).study
    assert draft.text == first.origin.text
    while draft.study != last or draft.text != text:
        assert draft.here < len(draft.states) - 1
        draft = redone(draft)


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["mm", "in"])
def test_saving_touches_only_the_lines_of_what_was_moved(path: Path, tmp_path: Path) -> None:
    mine = copy_of(path, tmp_path)
    draft = begin(mine)
    draft = dragged(draft, "upper pin", draft.gear.pins["upper pin"].at + 1.5j, Keep.LENGTHS)
    draft = dragged(draft, "actuator root", draft.gear.pins["actuator root"].at - 3, Keep.LENGTHS, Snap.STEP)
    assert draft.dirty
    draft = saved(draft)
    assert not draft.dirty
    lines = changed_lines(path.read_text(), mine.read_text())
    assert [line[1:].split(" = ")[0] for line in lines] == ["upper_pin", "root"]
    assert read(mine).study == draft.study
    assert saved(undone(undone(draft))).study == read(path).study
    assert mine.read_bytes() == path.read_bytes()


def test_comments_units_and_windows_line_ends_stay(tmp_path: Path) -> None:
    mine = copy_of(MERROW, tmp_path)
    text = mine.read_text().replace("upper_pin = [1140, 550]", 'upper_pin = ["44.88 in", 550.0] # on the arms')
    mine.write_bytes(text.replace("\n", "\r\n").encode())
    draft = begin(mine)
    saved(dragged(draft, "upper pin", draft.gear.pins["upper pin"].at + 2.54 + 1j, Keep.LENGTHS))
    assert b'\r\nupper_pin = ["44.98 in", 551.0] # on the arms\r\n' in mine.read_bytes()
    assert mine.read_bytes().count(b"\r\n") == mine.read_bytes().count(b"\n")


def test_left_out_numbers_are_written_where_they_are_needed(tmp_path: Path) -> None:
    draft = begin(copy_of(OSTREL, tmp_path))
    draft = dragged(draft, "lug", draft.gear.pins["lug"].at + 5 + 1j, Keep.PLACES)
    arm = 8 + (5 + 1j) / begin(OSTREL).gear.down / 25.4
    assert f"\nlug = {{ along = {arm.real:.3f}, offset = {arm.imag:.3f} }}\n" in saved(draft).text


def test_settings_of_the_command_line_are_saved_too(tmp_path: Path) -> None:
    mine = copy_of(MERROW, tmp_path)
    draft = begin(mine, {"gear.brace.upper_pin": [1142, 551], "bay.item[oil cooler].required": 18})
    assert draft.dirty
    draft = saved(dragged(draft, "trunnion", 841 + 682j, Keep.LENGTHS))
    assert read(mine).study == draft.study
    assert changed_lines(MERROW.read_text(), mine.read_text()) == [
        "+trunnion = [841, 682]",
        "+upper_pin = [1142, 551]",
        "+required = 18",
    ]


def test_somebody_else_s_work_is_never_overwritten(tmp_path: Path) -> None:
    mine = copy_of(MERROW, tmp_path)
    draft = begin(mine)
    draft = dragged(draft, "trunnion", 842 + 682j, Keep.LENGTHS)
    theirs = mine.read_text().replace("over_centre = 5 ", "over_centre = 4 ")
    mine.write_text(theirs)
    with pytest.raises(SavedElsewhereError, match=r"study\.1\.toml"):
        saved(draft)
    assert mine.read_text() == theirs
    beside = saved_beside(draft)
    assert (beside.path.name, mine.read_text(), beside.dirty) == ("study.1.toml", theirs, False)
    assert read(beside.path).study == draft.study
    assert saved_beside(beside).path.name == "study.2.toml"
    assert reloaded(draft).study == read(mine).study
    mine.unlink()
    with pytest.raises(SavedElsewhereError, match="is gone"):
        saved(draft)
    assert not mine.exists()


def test_who_may_read_and_write_a_file_is_kept_and_asked(tmp_path: Path) -> None:
    mine = copy_of(MERROW, tmp_path)
    draft = dragged(begin(mine), "trunnion", 842 + 682j, Keep.LENGTHS)
    mine.chmod(0o640)
    saved(draft)
    assert mine.stat().st_mode & 0o777 == 0o640
    draft = begin(mine)
    before = mine.read_bytes()
    mine.chmod(0o440)
    with pytest.raises(LinkageError, match=r"read-only: nothing written; save it as study\.1\.toml"):
        saved(dragged(draft, "trunnion", 840 + 682j, Keep.LENGTHS))
    assert mine.read_bytes() == before


def test_nothing_is_written_that_would_read_as_another_study(tmp_path: Path) -> None:
    draft: Draft = begin(copy_of(MERROW, tmp_path))
    other = replace(draft.origin, study=changed({"gear.leg.swing_up": 90}))
    with pytest.raises(NotTheSameError):
        saved(replace(draft, origin=other))
    assert draft.path.read_bytes() == MERROW.read_bytes()


def test_a_document_that_the_reader_refuses_is_no_edit() -> None:
    draft = begin(MERROW)
    with pytest.raises(DocumentError, match=r"main_gear\.contact"):
        dragged(draft, "trunnion", 2600 + 682j, Keep.PLACES)
    with pytest.raises(DocumentError, match="no such place"):
        rewritten("a = 1\n", {"a.b.c": 2})


def test_a_folder_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    mine = copy_of(MERROW, tmp_path)
    draft = dragged(begin(mine), "trunnion", 842 + 682j, Keep.LENGTHS)
    inside = replace(draft, path=mine / "study.toml")
    with pytest.raises(LinkageError):
        saved_beside(inside)


def test_what_broke_and_what_was_mended() -> None:
    findings = solution(MERROW).findings
    tighter = tuple(replace(f, margin=-1.0) if f.code == "tip-back" else f for f in findings)
    assert [f.code for f in turned(findings, tighter).broke] == ["tip-back"]
    assert [f.code for f in turned(tighter, findings).mended] == ["tip-back"]
    assert turned(findings, findings).broke == ()
