"""Kills, interrupts, races and full disks, each at every step.

Nothing is lost and nothing is half-written.

The step is every audit event of the file system (PEP 578) that Python raises before it makes a
change, so whatever order the code takes, each is hit once.
"""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from shapes.cli.app import run
from shapes.errors import InputError
from shapes.files import safe
from shapes.files.safe import uninterrupted, write_all, write_checked
from shapes.folders import whole

ROOT = Path(__file__).parents[2]
STEPS = (
    "os.rename",
    "os.mkdir",
    "os.rmdir",
    "os.remove",
    "open",
    "shutil.rmtree",
    "tempfile.mkdtemp",
)
OLD_FILES = {"a.txt": b"old a", "b.txt": b"old b"}
NEW_FILES = {"a.txt": b"new a", "c.txt": b"new c"}


@pytest.fixture(autouse=True)
def _clean() -> Iterator[None]:
    yield
    safe.written.clear()
    safe.left_behind.clear()


def content(folder: Path) -> dict[str, bytes] | None:
    if not folder.exists():
        return None
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def fill(place: Path) -> None:
    for name, data in NEW_FILES.items():
        write_checked(place / name, data)


def an_old_one(target: Path) -> None:
    target.mkdir()
    for name, data in OLD_FILES.items():
        (target / name).write_bytes(data)


def in_child(work: Callable[[], int], step: int, what: Callable[[], None], where: Path) -> int:
    """Do some work in a process of its own.

    At its step-th change below a folder something happens.
    """
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    seen = 0

    def hook(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal seen
        if event in STEPS and any(str(where) in str(a) for a in arguments):
            seen += 1
            if seen == step:
                what()

    status = 70
    try:
        sys.addaudithook(hook)
        status = work()
    finally:
        os._exit(status)


@pytest.mark.parametrize("replaced", [False, True])
def test_killed_at_any_step_the_next_run_finds_a_whole_folder(
    tmp_path: Path, replaced: bool
) -> None:
    def work() -> int:
        whole.write(target, fill)
        return 0

    lost, finished, step = 0, 0, 0
    while True:
        step += 1
        parent = tmp_path / str(step)
        parent.mkdir()
        target = parent / "boards"
        if replaced:
            an_old_one(target)
        if in_child(work, step, lambda: os._exit(9), parent) == 0:
            break
        there = content(target)
        assert there in ((OLD_FILES if replaced else None), NEW_FILES, None)
        lost += replaced and there is None
        with whole.held(target):
            after = content(target)
        assert after in ((OLD_FILES if replaced else None), NEW_FILES)
        finished += lost and after == NEW_FILES
        assert [p.name for p in parent.iterdir()] == (["boards"] if after is not None else [])
        whole.write(target, fill)
        assert content(target) == NEW_FILES
        assert [p.name for p in parent.iterdir()] == ["boards"]
    assert step > 12
    assert content(target) == NEW_FILES
    if replaced:
        assert lost >= 1  # the moment between the two renames was hit
        assert finished
        assert any("that is finished now" in text for text in safe.left_behind)
    assert any("what it left unfinished is removed" in text for text in safe.left_behind)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_interrupted_at_any_step_it_says_truly_what_was_written(
    tmp_path: Path, number: int
) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    def work() -> int:
        for s in (signal.SIGINT, signal.SIGTERM):
            signal.signal(s, stop)
        safe.written.clear()
        try:
            whole.write(target, fill)
        except KeyboardInterrupt:
            return 41 if target in safe.written else 40
        return 0

    step, ends = 0, set()
    while True:
        step += 1
        parent = tmp_path / str(step)
        parent.mkdir()
        target = parent / "boards"
        an_old_one(target)
        status = in_child(work, step, lambda: signal.raise_signal(number), parent)
        ends.add(status)
        left = [p for p in parent.iterdir() if p != target]
        for hidden in left:  # the interrupt came as it was being cleared: the next run does that
            assert hidden.name.startswith(".boards.")
        if status == 0:
            break
        assert status in (40, 41)
        assert content(target) == (NEW_FILES if status == 41 else OLD_FILES)
        with whole.held(target):
            pass
        assert [p.name for p in parent.iterdir()] == ["boards"]
    assert ends == {40, 41, 0}


def test_two_runs_into_one_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """While one is at work the other says so before it draws, and neither loses anything."""
    out = tmp_path / "boards"
    ready_r, ready_w = os.pipe()
    go_r, go_w = os.pipe()
    child = os.fork()
    if not child:
        with whole.held(out):
            os.write(ready_w, b"1")
            os.read(go_r, 1)
        os._exit(0)
    os.read(ready_r, 1)
    asked = ["generate", "--count", "2", "--pool", "1000000", "--out", str(out)]
    assert run(asked) == 2
    assert f"{out}: another run is writing it; wait for it" in capsys.readouterr().err
    os.write(go_w, b"1")
    assert os.waitpid(child, 0)[1] == 0
    with whole.held(out), whole.held(out):  # free again, and its holder may come in twice
        pass


def test_a_command_lets_go_of_its_folder_however_it_ends(tmp_path: Path) -> None:
    out = tmp_path / "boards"
    out.mkdir()
    (out / "mine.txt").write_text("mine")
    assert run(["generate", "--count", "2", "--pool", "24", "--out", str(out)]) == 2
    code = (
        "from pathlib import Path; from shapes.folders.whole import held\nwith"
        f" held(Path({str(out)!r})): pass"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)


def test_what_the_user_has_beside_it_stays(tmp_path: Path) -> None:
    target = tmp_path / "boards"
    own = {
        "boards.partial": "mine",
        "boards.old": "mine",
        ".boards.x.partial": "mine",
        "cut.svg.partial": "mine",
        ".cut.svg.1-2.partial": "mine",
    }
    for name in own:
        (tmp_path / name).write_text("mine")
    folder = tmp_path / ".boards.y.partial"
    folder.mkdir()
    (folder / "mine").write_text("mine")
    whole.write(target, fill)
    write_checked(tmp_path / "cut.svg", b"<svg/>")
    assert {n: (tmp_path / n).read_text() for n in own} == own
    assert (folder / "mine").read_text() == "mine"
    assert safe.left_behind == []


def test_a_file_that_a_dead_run_left_goes_and_a_living_ones_stays(tmp_path: Path) -> None:
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    dead = tmp_path / f".cut.svg.{gone.pid}-0123abcd.partial"
    lives = tmp_path / f".cut.svg.{os.getpid()}-0123abcd.partial"
    other = tmp_path / f".out.svg.{gone.pid}-0123abcd.partial"
    for path in (dead, lives, other):
        path.write_text("half")
    write_checked(tmp_path / "cut.svg", b"<svg/>")
    assert not dead.exists()
    assert lives.exists()
    assert other.exists()
    assert len(safe.left_behind) == 1
    assert str(dead) in safe.left_behind[0]


def test_links_stay_and_what_they_lead_to_is_written(tmp_path: Path) -> None:
    for name, full in (("full", True), ("empty", False)):
        real, link = tmp_path / name, tmp_path / f"to-{name}"
        if full:
            an_old_one(real)
        else:
            real.mkdir()
        link.symlink_to(real)
        whole.ready(link, lambda _: set(OLD_FILES), "collection", force=True)
        whole.write(link, fill)
        assert link.is_symlink()
        assert content(real) == NEW_FILES


@pytest.mark.parametrize(
    ("out", "says"),
    [
        (".", "is the folder you are in"),
        ("", "is the folder you are in"),
        ("..", "is the folder you are in"),
        ("x" * 300, "File name too long"),
        ("y" * 300 + "/z", "File name too long"),
        ("file/boards", "is a file"),
    ],
)
@pytest.mark.parametrize("command", ["generate", "vary", "place", "prepare"])
def test_a_bad_place_is_refused_in_one_line_before_the_work(
    command: str,
    out: str,
    says: str,
    tmp_path: Path,
    collection_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    board = str(next(collection_folder.glob("01-*")))
    asked = {
        "generate": ["generate", "--pool", "1000000", "--out", out],
        "vary": ["vary", board, "--out", out],
        "place": ["place", board, "--off-cut", "walnut-end", "--out", out],
        "prepare": ["prepare", board, "--to", out],
    }
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").write_text("mine")
    assert run(asked[command]) == 2
    err = capsys.readouterr().err
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_full_disk_leaves_no_part_of_a_set(
    collection_folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    write, count = Path.write_bytes, 0

    def full(self: Path, data: bytes) -> int:
        nonlocal count
        count += 1
        if count == 4:
            write(self, data[:10])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    boards = [str(p) for p in sorted(collection_folder.glob("0[12]-*"))]
    to = tmp_path / "to"
    assert run(["export", *boards, "--to", str(to), "--format", "dxf", "--format", "svg"]) == 2
    assert "No space left on device; make room" in capsys.readouterr().err
    assert list(to.iterdir()) == []


def test_a_set_replaces_all_or_nothing(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old")
    (tmp_path / "b").mkdir()
    with pytest.raises(InputError, match="b: cannot be written"):
        write_all([(tmp_path / "a", b"new", None), (tmp_path / "b", b"new", None)])
    assert (tmp_path / "a").read_text() == "old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "b"]


def test_a_place_that_came_to_hold_something_else_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    target = tmp_path / "boards"
    an_old_one(target)

    def again() -> None:
        whole.ready(target, lambda _: set(OLD_FILES), "collection", force=True)

    def slow(place: Path) -> None:
        fill(place)
        (target / "mine.txt").write_text("mine")

    again()
    with pytest.raises(InputError, match=r"holds what this tool did not write: mine\.txt"):
        whole.write(target, slow, again)
    assert (target / "mine.txt").read_text() == "mine"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["boards"]


def test_a_full_temporary_folder_is_named_and_not_the_place_asked_for(tmp_path: Path) -> None:
    def check(_: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "/elsewhere/tmp")

    with pytest.raises(InputError, match=r"^/elsewhere/tmp: cannot be written: No space left"):
        write_checked(tmp_path / "out.svg", b"<svg/>", check)


def test_what_may_not_be_cut_off_is_done_first() -> None:
    done = []

    def work() -> None:
        with uninterrupted():
            signal.raise_signal(signal.SIGINT)
            done.append(1)

    with pytest.raises(KeyboardInterrupt):
        work()
    assert done == [1]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


WORKERS = """
import multiprocessing, sys, time
from shapes.cli import app
from shapes.processes import processes
def work():
    with processes(2) as each:
        waiting = each(time.sleep, [600, 600])
        print(*(c.pid for c in multiprocessing.active_children()), flush=True)
        next(waiting)
app.app = lambda **_: work()
app.main()
"""


@pytest.mark.parametrize(("number", "status"), [(signal.SIGTERM, 143), (signal.SIGKILL, -9)])
def test_no_process_outlives_the_one_that_was_asked(number: int, status: int) -> None:
    main = subprocess.Popen(
        [sys.executable, "-c", WORKERS], stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert main.stdout is not None
    with main.stdout as told:
        children = [int(p) for p in told.readline().split()]
        assert len(children) == 2
        main.send_signal(number)
        # The pipe closes when nobody holds it any more: the workers are gone too.
        assert told.read() == ""
    assert main.wait(timeout=60) == status
    until = time.monotonic() + 30
    while any(_runs(p) for p in children):
        assert time.monotonic() < until
        time.sleep(0.05)


def _runs(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state != "Z"


def die(*_: object) -> None:
    os._exit(9)


def test_a_killed_worker_is_one_line_and_wrong_input(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("shapes.collection.pool.screen_chunk", die)
    out = str(tmp_path / "b")
    assert run(["generate", "--count", "2", "--pool", "90", "--jobs", "2", "--out", out]) == 2
    err = capsys.readouterr().err.strip()
    assert err.endswith("say --jobs 1, or ask for less at once")
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_take_its_name_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target, rename = tmp_path / "boards", os.rename
    an_old_one(target)

    def fails(a: Path, b: Path) -> None:
        if Path(a).name == whole.NEW:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        rename(a, b)

    monkeypatch.setattr(os, "rename", fails)
    with pytest.raises(InputError, match="cannot be written"):
        whole.write(target, fill)
    assert content(target) == OLD_FILES
    assert [p.name for p in tmp_path.iterdir()] == ["boards"]
