"""Write the published schema of a bundle: python tools/schemas.py."""

import json
from pathlib import Path

from asfound.book.bundling import Contents

DOCS = Path(__file__).parents[1] / "docs"
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def main() -> None:
    """Write docs/bundle.schema.json."""
    schema = {"$schema": DIALECT, **Contents.model_json_schema()}
    (DOCS / "bundle.schema.json").write_text(json.dumps(schema, ensure_ascii=False, indent=2) + "\n", "utf-8")


if __name__ == "__main__":
    main()
