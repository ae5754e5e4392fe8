"""docs/words.md is the one glossary: names of fields and results are made of its words, and of no others."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from tests.docs import names
from tests.studies import ROOT

FOREIGN = re.compile(
    r"Tire (?:&|and) Rim\s+Association"  # its own name
    r"|^(?:color|center)$|hatch\.color"  # keywords of matplotlib, line types of DXF
    r"|STYLED_ITEM\('color'"  # STEP
    r"|(?<![\w-])[\w-]*(?:color|align|content|items|origin)\s*:\s*[^;}]*",  # style sheets
    re.IGNORECASE,
)
"""What is written in another's words."""
SHOWN = [
    *sorted((ROOT / "linkage").rglob("*.py")),
    *sorted((ROOT / "linkage").rglob("*.toml")),
    *sorted((ROOT / "docs").glob("*.md")),
    *sorted((ROOT / "studies").rglob("*.toml")),
    *sorted((ROOT / "studies").rglob("*.md")),
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
]


def one(word: str, known: set[str]) -> bool:
    """A word or its plural."""
    return word in known or (word.endswith("s") and word[:-1] in known)


def listed() -> set[str]:
    """Every word of the glossary that a name may be made of."""
    head = names.WORDS.split("\n## ")[0]
    tables = [head, names.section("Units in names"), names.section("Letters in names")]
    found = {word for table in tables for row in names.rows(table) for word in names.tokens(row[0])}
    return found | names.tokens(names.section("Plain words in names").partition("sense.")[2])


def not_used() -> list[str]:
    return [word.strip() for row in names.rows(names.section("Not used")) for word in row[0].split(",")]


@pytest.mark.parametrize("kind", [names.fields, names.result_keys], ids=["fields", "results"])
def test_names_are_made_of_listed_words(kind: object) -> None:
    found, known = kind(), listed()  # type: ignore[operator]
    assert len(found) > 150
    strange = {name: sorted(w for w in names.tokens(name) if not one(w, known)) for name in sorted(found)}
    assert not {name: words for name, words in strange.items() if words}, "say them in words of docs/words.md"


def test_units_stand_last() -> None:
    """``speed_mps`` and never ``mps_speed``; what comes before a unit is a word."""
    endings = {w for row in names.rows(names.section("Units in names")) for w in names.tokens(row[0])}
    units = {e for e in endings if len(e) > 1} - {"1g", "2g", "kg", "pct"}  # these may stand before what they count
    wrong = [n for n in names.fields() | names.result_keys() if units & set(n.replace("30_deg", "").split("_")[:-1])]
    assert not [n for n in wrong if "_per_" not in n]


def test_plain_words_are_in_use_and_stand_once() -> None:
    """The list of plain words stays a list of what is used, in order, and repeats no word of the trade."""
    plain = names.section("Plain words in names").partition("sense.")[2].split()
    assert plain == sorted(plain)
    assert not [word for word, n in Counter(plain).items() if n > 1]
    used = {w for name in names.fields() | names.result_keys() for w in names.tokens(name)}
    assert not [word for word in plain if word not in used and word + "s" not in used]


def test_words_stand_once() -> None:
    heads = [row[0] for row in names.rows(names.WORDS.split("\n## ")[0])]
    assert not [word for word, n in Counter(heads).items() if n > 1]


def foreign_words(path: Path) -> list[str]:
    """Words of the list "Not used" in what a file shows."""
    texts = (
        names.texts_of(path) if path.suffix == ".py" else [path.read_text(encoding="utf-8").split("\n## Not used")[0]]
    )
    wanted = re.compile(r"\b(?:" + "|".join(re.escape(word) for word in not_used()) + r")s?\b", re.IGNORECASE)
    seen = (FOREIGN.sub("", text) for text in texts if wanted.search(text))
    return [found.group(0) for text in seen for found in wanted.finditer(text)]


def test_no_other_word_for_the_same_thing() -> None:
    found = {str(path.relative_to(ROOT)): foreign_words(path) for path in SHOWN}
    assert not {path: words for path, words in found.items() if words}


def test_other_words_are_seen(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("The overcenter toggle of the undercarriage", encoding="utf-8")
    assert foreign_words(page) == ["overcenter", "toggle", "undercarriage"]
    assert not one("oleo", listed())
