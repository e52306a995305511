"""The kiosk's files as served: small, closed to the outside, complete."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from importlib.resources import files

from flask.testing import FlaskClient
from leaveline.web.kiosk import TYPES

from tests.web.test_errors import problem

MOST_BYTES = 60_000
IMPORT = re.compile(r'import \{([^}]*)\} from "\./([\w.]+)";')
EXPORT = re.compile(r"^export (?:async )?(?:const|function|class) ([\w$]+)", re.MULTILINE)


def served(client: FlaskClient) -> dict[str, str]:
    return {
        name: client.get("/kiosk" if name == "index.html" else f"/kiosk/{name}").get_data(True)
        for name in TYPES
    }


class Tags(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))


def test_what_is_there_is_served_and_nothing_else(client: FlaskClient) -> None:
    folder = files("leaveline.web") / "kiosk"
    assert {entry.name for entry in folder.iterdir()} == set(TYPES)
    for name, kind in TYPES.items():
        reply = client.get("/kiosk" if name == "index.html" else f"/kiosk/{name}")
        assert reply.mimetype == kind
        assert reply.headers["X-Content-Type-Options"] == "nosniff"
    for name in ("kiosk.py", "../kiosk.py", "..%2f__init__.py", "index.html", ""):
        problem(client.get(f"/kiosk/{name}x"), 404, "not-found")


def test_the_page_stays_small(client: FlaskClient) -> None:
    assert sum(len(text.encode()) for text in served(client).values()) < MOST_BYTES


def test_the_policy_lets_nothing_in_or_out(client: FlaskClient) -> None:
    policy = client.get("/kiosk").headers["Content-Security-Policy"]
    rules = {part.split()[0]: part.split()[1:] for part in policy.split(";")}
    assert rules == {
        "default-src": ["'none'"], "script-src": ["'self'"], "style-src": ["'self'"],
        "connect-src": ["'self'"], "img-src": ["data:"], "base-uri": ["'none'"],
        "form-action": ["'none'"], "frame-ancestors": ["'none'"],
    }  # fmt: skip


def test_a_page_that_changed_is_seen_at_once(client: FlaskClient) -> None:
    first = client.get("/kiosk/kiosk.js")
    assert first.headers["Cache-Control"] == "no-cache"
    again = client.get("/kiosk/kiosk.js", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.get_data()) == (304, b"")


def test_no_script_style_or_handler_in_the_markup(client: FlaskClient) -> None:
    for tag, attributes in Tags(served(client)["index.html"]).tags:
        assert tag != "style"
        assert "style" not in attributes
        assert not any(name.startswith("on") for name in attributes)
        if tag == "script":
            assert attributes.get("src")


def test_nothing_comes_from_or_goes_to_another_host(client: FlaskClient) -> None:
    for name, text in served(client).items():
        addresses = set(re.findall(r"\w+://[^\"'\s)]*", text))
        # A namespace is a name, not an address that is asked.
        assert addresses <= {"http://www.w3.org/2000/svg"}, name


def test_nothing_is_stored(client: FlaskClient) -> None:
    stores = "localStorage|sessionStorage|indexedDB|document.cookie|sendBeacon|serviceWorker"
    for name, text in served(client).items():
        assert not re.search(stores, text), name


def test_every_text_is_in_its_one_file_and_used(client: FlaskClient) -> None:
    pages = served(client)
    there = set(re.findall(r"^  (\w+):", pages["texts.js"], re.MULTILINE)) - {"lang"}
    tags = Tags(pages["index.html"]).tags
    wanted = {
        value
        for _, attributes in tags
        for name, value in attributes.items()
        if name in {"data-text", "data-label", "data-choices", "data-options", "data-caption"}
    }
    scripts = "".join(text for name, text in pages.items() if name.endswith(".js"))
    wanted |= set(re.findall(r"texts\.(\w+)", scripts))
    assert wanted - {"lang", "js"} == there


def test_scripts_take_from_each_other_what_is_there(client: FlaskClient) -> None:
    """And take nothing they do not use: there is no build step that would say so."""
    pages = {name: text for name, text in served(client).items() if name.endswith(".js")}
    given = {name: set(EXPORT.findall(text)) for name, text in pages.items()}
    taken: dict[str, set[str]] = {name: set() for name in pages}
    for name, text in pages.items():
        own = IMPORT.sub("", text)
        for names, source in IMPORT.findall(text):
            wanted = {one.strip() for one in names.split(",") if one.strip()}
            assert wanted <= given[source], (name, source)
            assert all(re.search(rf"(?<![\w.]){re.escape(one)}(?!\w)", own) for one in wanted), name
            taken[source] |= wanted
    assert taken == given


def test_labels_point_at_what_is_there(client: FlaskClient) -> None:
    tags = Tags(served(client)["index.html"]).tags
    ids = [attributes["id"] for _, attributes in tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    made_by_script = {"tab-line", "tab-carry", "tab-balls", "tab-count"}
    for _, attributes in tags:
        for name in ("for", "aria-labelledby", "aria-describedby"):
            for wanted in (attributes.get(name) or "").split():
                assert wanted in {*ids, *made_by_script}
