"""The test command counts honestly, and its throw-away servers come and go."""

import os
import sys
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest

from deploy.starting import servers, stages
from deploy.starting.checking import summarise
from deploy.starting.places import child_environment
from deploy.starting.stages import Verdict


def test_a_check_fails_with_its_program_and_the_next_one_still_runs() -> None:
    first = stages.check("lint", sys.executable, "-c", "raise SystemExit(2)", environment=child_environment())
    second = stages.check("types", sys.executable, "-c", "", environment=child_environment())
    assert (first.passed, first.failed) == (0, 1)
    assert (second.passed, second.failed) == (1, 0)


def run_suite(folder: Path, text: str) -> Verdict:
    """Run a small suite in a folder of its own."""
    suite = folder / "test_suite.py"
    suite.write_text(text)
    options = ["-c", os.devnull, "--rootdir", str(folder), "-p", "no:cacheprovider"]
    return stages.run_pytest("suite", *options, str(suite), environment=child_environment(), folder=folder)


def test_tests_are_counted(tmp_path: Path) -> None:
    verdict = run_suite(
        tmp_path,
        "import pytest\ndef test_a(): pass\ndef test_b(): pass\ndef test_c(): assert 0\n"
        "@pytest.mark.skip\ndef test_d(): pass\n@pytest.fixture\ndef bad(): raise OSError\ndef test_e(bad): pass\n",
    )
    assert (verdict.passed, verdict.failed, verdict.skipped) == (2, 2, 1)


def test_a_suite_that_cannot_be_read_is_a_failure(tmp_path: Path) -> None:
    assert run_suite(tmp_path, "import there_is_no_such_package\n").failed == 1


def test_a_suite_without_tests_is_a_failure(tmp_path: Path) -> None:
    assert run_suite(tmp_path, "").failed == 1


def test_a_branch_that_no_test_takes_is_a_failure(tmp_path: Path) -> None:
    verdict = stages.run_pytest_measured(
        "suite", "tests/calculations/test_cautions.py", environment=child_environment(), folder=tmp_path
    )
    assert verdict.passed > 0
    assert verdict.failed == 1


def test_the_last_line_is_the_total(capsys: pytest.CaptureFixture[str]) -> None:
    code = summarise([Verdict("lint", 1, 0, 0, 1.0), Verdict("tests on SQLite", 40, 2, 3, 9.0)])
    assert code == 1
    assert capsys.readouterr().out.splitlines()[-1] == "41 passed, 2 failed, 3 skipped"
    assert summarise([Verdict("lint", 1, 0, 0, 1.0)]) == 0


@pytest.mark.parametrize(("required", "failed", "skipped"), [(True, 1, 0), (False, 0, 1)])
def test_absent_servers_fail_only_where_they_are_required(required: bool, failed: int, skipped: int) -> None:
    verdict = stages.absent("servers", "there are none", required=required)
    assert (verdict.failed, verdict.skipped) == (failed, skipped)


def test_a_throwaway_postgresql_takes_connections_and_leaves_nothing() -> None:
    programs = servers.postgres_folder()
    if programs is None:
        pytest.skip("no PostgreSQL on this machine")
    with servers.postgres(programs) as address:
        with psycopg.connect(address) as connection:
            row = connection.execute("SHOW data_directory").fetchone()
        assert row is not None
        folder = Path(row[0])
        assert folder.exists()
    assert not folder.parent.exists()
    with pytest.raises(psycopg.OperationalError):
        psycopg.connect(address)


def test_a_throwaway_redis_answers_and_goes() -> None:
    program = servers.redis_program()
    if program is None:
        pytest.skip("no Redis on this machine")
    with servers.redis(program) as address:
        port = urlsplit(address).port
        assert port is not None
        assert servers.answers_ping(port)
    assert not servers.answers_ping(port)
