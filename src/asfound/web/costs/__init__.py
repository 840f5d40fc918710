"""What a repair costs: the estimate for the owner, and the account."""

from asfound.web.costs.routes import router

__all__ = ["router"]
