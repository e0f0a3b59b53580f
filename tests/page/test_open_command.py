"""``shapes open``: what it opens, what it says, how it ends."""

from __future__ import annotations

import re
import shutil
import signal
import socket
import subprocess
import sys
import tomllib
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from shapes.cli.app import run
from shapes.errors import InputError
from shapes.page.opened import opened_at
from shapes.page.serve import LOOPBACK, _code, _own_address

PRESETS = Path(__file__).parents[2] / "presets"


def test_what_a_place_opens(
    collection_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = opened_at(collection_folder)
    assert (made.root, made.folder) == (collection_folder.resolve(), "")
    assert opened_at(collection_folder.parent).folder is None
    preset = PRESETS / "cheese-board.toml"
    brief = opened_at(preset)
    assert brief.brief is not None
    assert brief.brief.length == tomllib.loads(preset.read_text(encoding="utf-8"))["length"]
    piece = opened_at(PRESETS / "off-cuts" / "walnut-end.toml")
    assert (piece.named, piece.brief) == ("walnut-end.toml", None)
    assert piece.pieces()[0] in {p.name for p in (PRESETS / "off-cuts").glob("*.toml")}
    monkeypatch.chdir(tmp_path)
    assert opened_at(None).root == tmp_path.resolve()


@pytest.mark.parametrize("place", ["nowhere", "nowhere.toml", "a.txt"])
def test_what_cannot_be_opened_is_said(
    tmp_path: Path, place: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.txt").write_text("x", encoding="utf-8")
    assert run(["open", str(tmp_path / place)]) == 2
    assert "is no folder, brief or off-cut" in capsys.readouterr().err
    with pytest.raises(InputError):
        opened_at(tmp_path / place)


def test_a_port_that_is_taken_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        assert run(["open", "--no-browser", "--port", str(other.getsockname()[1])]) == 2
    assert "cannot be had" in capsys.readouterr().err


def test_an_address_as_a_code() -> None:
    rows = _code("http://192.0.2.7:8123/a-key/").splitlines()
    assert len(rows) > 10
    assert len({len(re.sub(r"\x1b\[[0-9;]*m", "", r)) for r in rows if r}) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_it_serves_until_it_is_interrupted_and_ends_in_peace(
    collection_folder: Path, tmp_path: Path
) -> None:
    shutil.copytree(collection_folder, tmp_path / "boards")
    own = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "from shapes.cli.app import main; main()",
            "open",
            "boards",
            "--no-browser",
        ],
        cwd=tmp_path,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    assert own.stderr is not None
    address = re.search(r"http://127\.0\.0\.1:\d+/[\w-]{32}/", own.stderr.readline())
    assert address
    with urllib.request.urlopen(address[0] + "api/start") as answer:
        assert answer.status == 200
    own.send_signal(signal.SIGINT)
    _, said = own.communicate(timeout=20)
    assert own.returncode == 0
    assert "the page is closed" in said
    assert "Traceback" not in said


def in_no_network(*_: object) -> None:
    raise OSError("network is unreachable")


def test_without_a_network_there_is_nobody_to_serve(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(socket.socket, "connect", in_no_network)
        assert run(["open", "--no-browser", "--on-network"]) == 2
    assert "this machine is in no network" in capsys.readouterr().err


def status_of(address: str) -> int:
    try:
        with urllib.request.urlopen(address, timeout=10) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as refused:
        return refused.code


def test_on_the_network_its_own_address_is_heard_and_no_other(tmp_path: Path) -> None:
    """Reached by this machine's address in its network.

    By another name for it, or without the key, refused.
    """
    try:
        mine = _own_address()
    except InputError:
        pytest.skip("this machine is in no network")
    own = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "from shapes.cli.app import main; main()",
            "open",
            "--no-browser",
            "--on-network",
        ],
        cwd=tmp_path,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert own.stderr is not None
        lines = [own.stderr.readline() for _ in range(2)]
        found = re.search(r"http://([\d.]+):(\d+)/[\w-]{32}/", lines[1])
        assert found
        assert found[1] == mine
        assert mine == LOOPBACK or mine not in lines[0]
        assert status_of(found[0] + "api/start") == 200
        assert status_of(found[0].replace(mine, "127.0.0.2") + "api/start") == 421
        assert status_of(f"http://{mine}:{found[2]}/api/start") == 403
    finally:
        own.kill()
        own.communicate()
