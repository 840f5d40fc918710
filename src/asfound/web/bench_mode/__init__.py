"""One job at arm's length: the next action large, a key or a pedal to go on."""

from asfound.web.bench_mode.routes import router

__all__ = ["router"]
