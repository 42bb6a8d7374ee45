"""`python -m floorward.cli` is `floorward`."""

from floorward.cli import main

raise SystemExit(main())
