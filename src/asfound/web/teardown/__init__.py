"""What taking cameras of a model apart has told: notes, access, screws, drivers, the ledger."""

from asfound.web.teardown.routes import router

__all__ = ["router"]
