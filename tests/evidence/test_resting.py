"""What a run rests on is found from its imports, so that old runs are known as such."""

from __future__ import annotations

from pathlib import Path

from evidence.keeping import PACKAGE, digest
from evidence.resting import TABLES, imported, rests_on

import evidence

EVIDENCE = Path(evidence.__file__).parent
TANKS = EVIDENCE / "simulated_tanks.py"


def test_runs_rest_on_what_is_imported_near_and_far() -> None:
    found = rests_on(TANKS)
    assert PACKAGE / "inference" / "tempered.py" in found  # only far: through the fitting
    assert any(f.parent == PACKAGE / "process" / "rates" for f in found)
    data = PACKAGE / "reference" / "data"
    assert {data / f"{name}.csv" for name in ("parameters", "events", "limits")} <= set(found)


def test_runs_do_not_rest_on_what_they_do_not_use() -> None:
    found = rests_on(TANKS)
    assert not [f for f in found if f.parent.name in ("planning", "advice", "records", "cli")]
    assert EVIDENCE / "keeping.py" not in found
    assert "catalogue.csv" not in {f.name for f in found}


def test_every_module_named_by_an_import_is_found(tmp_path: Path) -> None:
    module = tmp_path / "a.py"
    module.write_text(
        "from watervane.process import integrate\n"
        "def late():\n    import watervane.chemistry.ammonia\n"
        "from watervane.cli import program\nimport numpy\n"
    )
    assert {f.name for f in imported(module)} == {"__init__.py", "integrate.py", "ammonia.py"}


def test_a_table_s_value_is_part_of_the_digest_and_a_comment_is_not(tmp_path: Path) -> None:
    table, code = tmp_path / "t.csv", tmp_path / "c.py"
    table.write_text("a,1\n")
    code.write_text("x = 1\n")
    before = digest([table, code])
    code.write_text("x = 1  # as it was\n")
    assert digest([table, code]) == before
    table.write_text("a,2\n")
    assert digest([table, code]) != before


def test_tables_are_there() -> None:
    assert all(each.exists() for each in TABLES)
