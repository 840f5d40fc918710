"""Write the published schemas of what the program keeps and exchanges: python tools/schemas.py."""

import json
from pathlib import Path
from typing import Any

from asfound.book.bundling import Contents
from asfound.job.entry import SCHEMA_VERSION, Entry
from asfound.job.observing import NotesFile

DOCS = Path(__file__).parents[1] / "docs"
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schemas() -> dict[str, dict[str, Any]]:
    """Return every published schema by the name of its file in docs/."""
    entry = Entry.model_json_schema()
    entry["description"] += (
        f"\n\nThis is schema_version {SCHEMA_VERSION}. In the stored bytes no name has null for its value."
    )
    return {
        "bundle.schema.json": {"$schema": DIALECT, **Contents.model_json_schema()},
        "entry.schema.json": {"$schema": DIALECT, **entry},
        "service-notes.schema.json": {"$schema": DIALECT, **NotesFile.model_json_schema()},
    }


def text_of(schema: dict[str, Any]) -> str:
    """Return a schema as it stands in its file."""
    return json.dumps(schema, ensure_ascii=False, indent=2) + "\n"


def main() -> None:
    """Write all of them."""
    for name, schema in schemas().items():
        (DOCS / name).write_text(text_of(schema), "utf-8")


if __name__ == "__main__":
    main()
