"""Nobody else comes in: the key, the host, the origin; nothing outside of the folder.

Whatever is sent, plain lines.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from shapes.page.app import GETS, POSTS
from shapes.page.guard import LARGEST_BODY, MOST_SOCKETS
from shapes.page.opened import Opened
from shapes.page.serve import guarded

KEY, HOST = "a-key-of-no-use-elsewhere", "127.0.0.1:8123"
HERE = f"http://{HOST}"


@pytest.fixture(scope="module")
def root(collection_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("opened")
    shutil.copytree(collection_folder, made / "boards")
    (made.parent / "secret.html").write_text("<p>not yours", encoding="utf-8")
    (made / "boards" / "bench").mkdir()
    (made / "boards" / "bench" / "out.html").symlink_to(made.parent / "secret.html")
    return made


@pytest.fixture(scope="module")
def client(root: Path) -> Iterator[TestClient]:
    with TestClient(
        guarded(Opened(root), KEY, [HOST]), base_url=HERE, raise_server_exceptions=False
    ) as made:
        yield made


def test_with_the_key_the_page_is_there(client: TestClient) -> None:
    page = client.get(f"/{KEY}/")
    assert page.status_code == 200
    assert "static/page.js" in page.text
    assert (
        client.get(f"/{KEY}/static/page.js").headers["content-type"].startswith("text/javascript")
    )
    assert client.get(f"/{KEY}/api/start").json()["folders"] == [
        {"folder": "boards", "title": "boards"}
    ]


@pytest.mark.parametrize(
    "path", ["/", "/api/start", f"/{KEY[:-1]}/", f"/{KEY}x/", "/wrong/api/start", f"/{KEY}"]
)
def test_without_the_key_nothing_is(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 403
    assert "folders" not in answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "elsewhere.test"},
        {"host": "127.0.0.1:99"},
        {"host": ""},
        {"origin": "http://elsewhere.test"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
    ],
)
def test_from_elsewhere_nothing_is(client: TestClient, headers: dict[str, str]) -> None:
    assert client.get(f"/{KEY}/api/start", headers=headers).status_code in (403, 421)
    answer = client.post(f"/{KEY}/api/say", headers=headers, json={"folder": "boards"})
    assert answer.status_code in (403, 421)


def test_every_answer_says_that_nothing_else_may_be_fetched(client: TestClient) -> None:
    for path in (
        "",
        "static/style.css",
        "api/start",
        "api/nothing",
        "picture/wall",
        "file/x.html",
        "../",
    ):
        answer = client.get(f"/{KEY}/{path}")
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe-inline" not in policy.split("script-src")[-1].split(";")[0]
        assert answer.headers["x-content-type-options"] == "nosniff"


OUT = [
    "../secret.html",
    "boards/bench/out.html",
    "/etc/passwd",
    "boards/../../secret.html",
    "boards/collection.json",
    ".shapes-page.json",
    "boards/contact-sheet.svg",
]


@pytest.mark.parametrize("path", OUT)
def test_files_of_others_are_not_shown(client: TestClient, path: str) -> None:
    for sent in (path, path.replace("/", "%2f"), path.replace(".", "%2e")):
        answer = client.get(f"/{KEY}/file/{sent}")
        assert answer.status_code in (400, 404), sent
        assert "not yours" not in answer.text


@pytest.mark.parametrize(
    "folder", ["..", "../..", "/", "boards/..", "boards/bench", "no", "boards\x00"]
)
def test_folders_of_others_are_not_opened(client: TestClient, folder: str) -> None:
    answer = client.post(f"/{KEY}/api/say", json={"folder": folder, "key": "x", "say": "keep"})
    assert answer.status_code == 400
    assert answer.json()["problems"][0]["what"]


def test_a_body_has_a_size(client: TestClient) -> None:
    assert client.post(f"/{KEY}/api/say", content=b" " * (LARGEST_BODY + 1)).status_code == 413

    def chunks() -> Iterator[bytes]:
        for _ in range(LARGEST_BODY // 1_000_000 + 2):
            yield b" " * 1_000_000

    assert client.post(f"/{KEY}/api/say", content=chunks()).status_code == 413


def test_sockets_want_key_and_origin_and_are_counted(client: TestClient) -> None:
    for path, headers in (
        ("/shape", {}),
        (f"/{KEY}/shape", {}),
        (f"/{KEY}/shape", {"origin": "http://elsewhere.test"}),
    ):
        with (
            pytest.raises(WebSocketDisconnect),
            client.websocket_connect(f"ws://{HOST}{path}", headers=headers),
        ):
            pass
    with ExitStack() as opened:
        for _ in range(MOST_SOCKETS):
            opened.enter_context(
                client.websocket_connect(f"ws://{HOST}/{KEY}/shape", headers={"origin": HERE})
            )
        with (
            pytest.raises(WebSocketDisconnect),
            client.websocket_connect(f"ws://{HOST}/{KEY}/shape", headers={"origin": HERE}),
        ):
            pass
    with client.websocket_connect(f"ws://{HOST}/{KEY}/shape", headers={"origin": HERE}) as socket:
        socket.send_text("{}")
        assert socket.receive_json()["problems"]


def test_malformed_messages_on_a_socket_are_answered_in_plain_lines(client: TestClient) -> None:
    with client.websocket_connect(f"ws://{HOST}/{KEY}/shape", headers={"origin": HERE}) as socket:
        for text in (
            "",
            "{",
            "[" * 5000,
            "7",
            '{"draft": {}}',
            '{"folder": "boards", "draft": "x", "at": 1e999}',
            "x" * 300_000,
        ):
            socket.send_text(text)
            assert socket.receive_json()["problems"][0]["what"]


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=30)
    | st.sampled_from(
        ["boards", "keep", "carry-boards", "<script>alert(1)</script>", "..", "bench/laid.json"]
    ),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["from", "to", "pull", "set", "key", "x", "y", "turned", "length"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)
NAMES = [
    "folder",
    "key",
    "keys",
    "say",
    "count",
    "draft",
    "at",
    "touch",
    "brief",
    "name",
    "piece",
    "boards",
    "which",
    "measure",
    "taste",
    "unit",
    "on",
    "text",
    "how_far",
    "seed",
]
SLOW = {"generate", "more", "between", "like", "prepare", "offer", "lay"}


@settings(
    max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(
    which=st.sampled_from([f.__name__ for f in POSTS]),
    body=st.dictionaries(st.sampled_from(NAMES), VALUES, max_size=7),
)
def test_whatever_is_posted_is_done_or_refused_in_plain_lines(
    client: TestClient, which: str, body: dict[str, Any]
) -> None:
    if which in SLOW:
        body["folder"] = "nowhere"  # what they do takes seconds; their values are read before
        body.pop("brief", None)
    try:
        text = json.dumps(body)
    except ValueError:
        return
    answer = client.post(f"/{KEY}/api/{which}", content=text.encode("utf-8", "surrogatepass"))
    assert answer.status_code in (200, 400, 409), (which, body, answer.text)
    if answer.status_code != 200:
        assert all(p["what"] for p in answer.json()["problems"])


def test_every_get_refuses_in_plain_lines(client: TestClient) -> None:
    for ask in GETS:
        if ask.__name__ == "start":
            continue
        answer = client.get(
            f"/{KEY}/api/{ask.__name__}",
            params={"folder": "nowhere", "key": "<b>", "draft": "../x", "at": "-1"},
        )
        assert answer.status_code == 400
        assert answer.json()["problems"][0]["what"]
