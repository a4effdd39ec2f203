"""Where the tests find the package, the demo job and the measured surfaces kept beside the checkout."""

from __future__ import annotations

from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]
PACKAGE = CHECKOUT / "mytakeoff"
DEMO = CHECKOUT / "data-demo"
MEASURED = CHECKOUT.parent / "shared" / "data"
