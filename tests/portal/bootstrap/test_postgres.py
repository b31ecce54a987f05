"""Finding PostgreSQL's server, and the throw-away cluster."""

from __future__ import annotations

import os
import pwd
import re
from pathlib import Path

import dj_database_url
import psycopg
import pytest

from portal.bootstrap import postgres
from portal.bootstrap.console import BootstrapError
from portal.bootstrap.postgres import Server


def install(folder: Path, version: str, programs: tuple[str, ...] = postgres.PROGRAMS) -> Path:
    folder.mkdir(parents=True)
    for name in programs:
        write_program(folder / name, f"echo '{name} (PostgreSQL) {version}'")
    return folder


def write_program(path: Path, line: str) -> None:
    path.write_text(f"#!/bin/sh\n{line}\n", encoding="utf-8")
    path.chmod(0o755)


# Printed by `postgres --version` of Debian's and the project's own builds, from memory.
@pytest.mark.parametrize(
    ("text", "version"),
    [
        ("postgres (PostgreSQL) 15.13 (Debian 15.13-0+deb12u1)", (15, 13)),
        ("postgres (PostgreSQL) 17.0", (17, 0)),
        ("postgres (PostgreSQL) 18beta1", (18,)),
        ("another program 3.1", None),
        ("", None),
    ],
)
def test_parse_version(text: str, version: tuple[int, ...] | None) -> None:
    assert postgres.parse_version(text) == version


def test_candidate_folders_follow_a_link_on_path_to_its_neighbours(tmp_path: Path) -> None:
    real = install(tmp_path / "lib" / "15" / "bin", "15.1")
    links = tmp_path / "local"
    links.mkdir()
    (links / "postgres").symlink_to(real / "postgres")

    found = postgres.candidate_folders({"PATH": str(links)}, usual=())

    assert list(found) == [real.resolve()]


def test_candidate_folders_pass_over_what_is_no_program(tmp_path: Path) -> None:
    folder = install(tmp_path / "bin", "15.1")
    (folder / "postgres").chmod(0o644)

    assert list(postgres.candidate_folders({"PATH": str(folder)}, usual=())) == []


def test_candidate_folders_ask_pg_config(tmp_path: Path) -> None:
    told = install(tmp_path / "told", "15.1")
    tools = tmp_path / "tools"
    tools.mkdir()
    write_program(tools / "pg_config", f"echo {told}")

    found = postgres.candidate_folders({"PATH": f"{os.pathsep}{tools}"}, usual=())

    assert list(found) == [told.resolve()]


def test_candidate_folders_look_where_packagers_put_it(tmp_path: Path) -> None:
    usual = install(tmp_path / "16" / "bin", "16.1")

    found = postgres.candidate_folders({"PATH": ""}, usual=[f"{tmp_path}/*/bin"])

    assert list(found) == [usual.resolve()]


def test_find_server_takes_the_newest_by_number(tmp_path: Path) -> None:
    older = install(tmp_path / "older", "14.9")
    newer = install(tmp_path / "newer", "14.11")

    server = postgres.find_server({"PATH": f"{newer}{os.pathsep}{older}"}, usual=())

    assert server == Server(newer.resolve(), (14, 11))


@pytest.mark.parametrize(
    ("version", "programs"),
    [
        pytest.param("13.20", postgres.PROGRAMS, id="older-than-django-supports"),
        pytest.param("15.1", ("postgres", "initdb"), id="incomplete"),
        pytest.param("unknown", postgres.PROGRAMS, id="no-version"),
    ],
)
def test_find_server_passes_over(tmp_path: Path, version: str, programs: tuple[str, ...]) -> None:
    folder = install(tmp_path / "bin", version, programs)

    assert postgres.find_server({"PATH": str(folder)}, usual=()) is None


def test_database_url_is_read_back_by_the_library_the_settings_use() -> None:
    # Outside check: dj-database-url, which settings.py reads DATABASE_URL with.
    url = postgres.database_url(Path("/tmp/Some-Folder"))  # noqa: S108 -- a name, nothing is made

    read = dj_database_url.parse(url)

    assert (read["HOST"], read["PORT"]) == ("/tmp/Some-Folder", 5432)  # noqa: S108 -- see above
    assert (read["USER"], read["NAME"]) == ("postgres", "postgres")


@pytest.mark.parametrize(
    ("initdb", "words"),
    [
        ("echo no room; exit 4", "initdb failed.\nno room"),
        (None, "initdb can't be run as this user"),
    ],
)
def test_throw_away_cluster_that_cannot_start_says_why_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, initdb: str | None, words: str
) -> None:
    folder = install(tmp_path / "bin", "15.1", ("postgres", "pg_ctl"))
    if initdb:
        write_program(folder / "initdb", initdb)
    parent = tmp_path / "parent"
    parent.mkdir()
    monkeypatch.setattr(postgres, "_owner", lambda: None)

    with (
        pytest.raises(BootstrapError, match=re.escape(f"PostgreSQL 15.1: {words}")),
        postgres.throw_away_cluster(Server(folder, (15, 1)), parent=parent),
    ):
        pytest.fail("the block must not run")

    assert list(parent.iterdir()) == []


def test_throw_away_cluster_needs_another_user_when_we_are_root(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_such_user(name: str) -> None:
        raise KeyError(name)

    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(pwd, "getpwnam", no_such_user)

    with (
        pytest.raises(BootstrapError, match="no user `postgres` or `nobody`"),
        postgres.throw_away_cluster(Server(tmp_path, (15, 1)), parent=tmp_path),
    ):
        pytest.fail("the block must not run")


@pytest.mark.slow
def test_throw_away_cluster_answers_on_its_socket_alone_and_is_removed() -> None:
    server = postgres.find_server(os.environ)
    if server is None:
        pytest.skip("no PostgreSQL server on this machine")

    with postgres.throw_away_cluster(server) as url, psycopg.connect(url) as connection:
        (listening,) = connection.execute("SHOW listen_addresses").fetchone() or ()
        (running,) = connection.execute("SHOW server_version_num").fetchone() or ()
        (folder,) = connection.execute("SHOW unix_socket_directories").fetchone() or ()
        there_during = Path(folder).exists()

    major, minor = server.version
    # PostgreSQL documentation, PQserverVersion: major version times 10000 and minor version.
    assert running == str(major * 10000 + minor)
    assert listening == ""
    assert (there_during, Path(folder).exists()) == (True, False)
