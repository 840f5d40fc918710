"""Write docs/routes.md: the typed routes, as the application itself describes them."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from asfound.web.api_models import REFUSALS
from asfound.web.app import create_app
from asfound.web.desk import Desk
from asfound.web.settings import Settings, show_bytes

TARGET = Path(__file__).parents[1] / "docs" / "routes.md"
TYPED = "/api/"
HEAD = """# The typed routes

Written by `make docs` from the application's own OpenAPI description, which the running server gives at
`/api/openapi.json`. They do what the pages do, by the same functions: what the page shows can be asked for, and what
can be tapped can be sent. Whoever may ask is told in [network.md](network.md).

## The token

A request that reads needs nothing. A request that writes carries the token of its session:

1. `GET /api/token` answers `{"token": "..."}` and sets the cookie `asfound_session`. Keep both.
2. Send the cookie with every request after that, and the token in the header `X-Asfound-Token` with every one that
   writes. It holds for that cookie, also after the server was started anew.
3. A header `Origin`, where there is one, must be that of this server.

```sh
at=http://127.0.0.1:8642
token=$(curl -s -c jar $at/api/token | python3 -c 'import json,sys; print(json.load(sys.stdin)["token"])')
job=$(curl -s -b jar $at/api/jobs | python3 -c 'import json,sys; print(json.load(sys.stdin)[0]["id"])')
curl -s -b jar -H "X-Asfound-Token: $token" -H 'Content-Type: application/json' \\
     -d '{"text": "note the ring runs free"}' $at/api/jobs/$job/line
```

## Statuses

An error under `/api/` is one JSON object, `{"problems": [{"where": ..., "what": ..., "remedy": ...}]}`: the place in
what was sent, what is wrong there, and what to do.
"""
BESIDE = {
    200: "done",
    405: "the address takes other methods only",
    421: "the host name is not one of this server's (told as plain text)",
    500: "a defect of the program; the book is as it was",
}
LIVE = """## The live connection

`/job/{job_id}/shutter/live/socket` is a WebSocket for pages of this server only: its `Origin` and its session's cookie
are held to that. All text is JSON, with a `kind` in every message but the first.

| from the page | |
| --- | --- |
| first message | `token`, the input's `rate` in Hz, and `session` to go on with, or `typed`, the form of a new one |
| a block of sound | binary: a head of six numbers, then the samples, as below |
| `strike` | `number` of a shot from 1, or none for the last |
| `pick` | `mark` of a speed |
| `step` | `step` 1 or -1 along the dial |
| `end` | seal the session into a recording |

| to the page | |
| --- | --- |
| `welcome` | `session`, `rate`, and `epoch` and `frame` up to which everything is on the disk |
| `ack` | the same two: what stands before them may be forgotten |
| `state` | the walk along the dial, its speeds, the shots, what was lost |
| `ended` | `href` of the recording |
| `refused` | `problems`, as above |

A block is little-endian: epoch and marks (two u32; mark 1 says that samples may be missing before it), number of its
first frame (f64), count and nothing (two u32), then so many f32, at most 65,536. The connection closes with 4000
(ended), 4001 (refused) or 4002 (another page took the session over).
"""


def description() -> dict[str, Any]:
    """Return what the application says of its routes; no desk stands behind it."""
    return create_app(Desk(book=None, pool=None, settings=Settings(secret=bytes(32)))).openapi()  # type: ignore[arg-type]


def reference() -> str:
    """Return the whole page."""
    said = description()
    return "\n".join([HEAD, *_statuses(), *_routes(said), LIVE, *_models(said["components"]["schemas"])]) + "\n"


def _statuses() -> Iterator[str]:
    when = REFUSALS | BESIDE
    yield "| status | when |\n| --- | --- |"
    yield from (f"| {status} | {words} |" for status, words in sorted(when.items()))
    settings = Settings(secret=bytes(32))
    yield (
        f"\nA JSON body may have {show_bytes(settings.form_bytes)}, photographs sent together "
        f"{show_bytes(settings.photo_bytes)}, a recording {show_bytes(settings.recording_bytes)}.\n"
    )


def _routes(said: dict[str, Any]) -> Iterator[str]:
    tag = ""
    for path, methods in said["paths"].items():
        if not path.startswith(TYPED):
            continue
        for method, route in methods.items():
            if route["tags"][0] != tag:
                tag = route["tags"][0]
                yield f"## Routes: {tag}\n"
            yield from _route(method.upper(), path, route, said["components"]["schemas"])


def _route(method: str, path: str, route: dict[str, Any], models: dict[str, Any]) -> Iterator[str]:
    yield f"### `{method} {path}`\n\n{route['description']}\n"
    needs_token = False
    for parameter in route.get("parameters", ()):
        if parameter["in"] == "header":
            needs_token = True
            continue
        yield f"- {parameter['in']} `{parameter['name']}`: {_asked(parameter['schema'], parameter['required'])}"
    if needs_token:
        yield "- header `X-Asfound-Token`: the session's token"
    for sort, body in route.get("requestBody", {}).get("content", {}).items():
        if sort == "application/json":
            yield f"- body, JSON: {_type(body['schema'])}"
        else:
            yield f"- body, `{sort}`:"
            yield from (f"  - {line}" for line in _fields(models[_name(body["schema"])]))
    answer = route["responses"]["200"]["content"]["application/json"]["schema"]
    yield f"- answer: {_type(answer)}\n"


def _models(models: dict[str, Any]) -> Iterator[str]:
    yield "## What they take and give\n"
    for name in sorted(_used(models)):
        model = models[name]
        yield f"### {name}\n\n{model.get('description', '').strip() or 'Plain values.'}\n"
        yield from (f"- {line}" for line in _fields(model))
        yield ""


def _used(models: dict[str, Any]) -> set[str]:
    """Return the models that the typed routes take or give, directly or inside another."""
    found: set[str] = set()
    routes = [route for path, route in description()["paths"].items() if path.startswith(TYPED)]
    waiting = _refs(routes)
    while waiting:
        name = waiting.pop()
        if name not in found and not name.startswith(("Body_", "HTTPValidationError", "ValidationError")):
            found.add(name)
            waiting |= _refs(models[name])
    return found


def _refs(value: Any) -> set[str]:
    if isinstance(value, dict):
        own = {_name(value)} if "$ref" in value else set()
        return own.union(*(_refs(item) for item in value.values()))
    return set().union(*(_refs(item) for item in value)) if isinstance(value, list) else set()


def _fields(model: dict[str, Any]) -> Iterator[str]:
    required = model.get("required", ())
    for name, field in model["properties"].items():
        yield f"`{name}`: {_asked(field, name in required)}"


def _asked(schema: dict[str, Any], required: bool) -> str:
    if required or "default" not in schema:
        return _type(schema) + ("" if required else ", may be left out")
    return f"{_type(schema)}, {_default(schema['default'])} by default"


def _default(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return f"{value:.4g}"
    return str(value) if value or value == 0 else "nothing"


def _type(schema: dict[str, Any]) -> str:
    if "$ref" in schema:
        name = _name(schema)
        return f"[{name}](#{name.lower()})"
    if "anyOf" in schema:
        return " or ".join(_type(one) for one in schema["anyOf"])
    if "enum" in schema:
        return " or ".join(f'"{value}"' for value in schema["enum"])
    if schema.get("type") == "array":
        if "prefixItems" in schema:
            return "[" + ", ".join(_type(one) for one in schema["prefixItems"]) + "]"
        return f"list of {_type(schema.get('items', {}))}".replace("list of a file", "files")
    return _plain(schema)


def _plain(schema: dict[str, Any]) -> str:
    if schema.get("format") == "binary" or schema.get("contentMediaType"):
        return "a file"
    words = str(schema.get("format") or schema.get("type", "anything"))
    limits = {"maxLength": "at most {} characters", "minimum": "from {:g}", "maximum": "to {:g}",
              "exclusiveMinimum": "above {:g}", "exclusiveMaximum": "below {:g}"}  # fmt: skip
    said = [text.format(schema[name]) for name, text in limits.items() if name in schema]
    return " ".join([words, f"({', '.join(said)})"]) if said else words


def _name(schema: dict[str, Any]) -> str:
    return str(schema["$ref"]).rpartition("/")[2]


if __name__ == "__main__":
    TARGET.write_text(reference(), "utf-8")
