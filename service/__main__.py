"""``python -m service``."""

from service.cli import main

raise SystemExit(main())
