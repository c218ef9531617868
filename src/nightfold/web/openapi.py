"""The description of the whole interface: ``python -m nightfold.web.openapi`` prints it as JSON."""

from __future__ import annotations

import json
import sys

from nightfold.web.app import create_app


def main() -> None:
    """Print the description."""
    json.dump(create_app().openapi(), sys.stdout, indent=1, ensure_ascii=False, sort_keys=True)
    print()


if __name__ == "__main__":
    main()
