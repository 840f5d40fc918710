"""The application: every route, every wrapper, put together."""

from fastapi import FastAPI
from starlette.middleware import Middleware

from asfound import __version__
from asfound.web import (
    api,
    api_files,
    bench_mode,
    bundles,
    costs,
    devices,
    drawer,
    files,
    findings_page,
    focus,
    handover_page,
    instruments_page,
    job_page,
    jobs_page,
    live,
    photographs,
    proofs_page,
    shape,
    shutter,
    springs,
    teardown,
    wayback_page,
)
from asfound.web.desk import Desk
from asfound.web.errors import map_errors
from asfound.web.render import static_version
from asfound.web.security import guard, limit_body

ROUTERS = (
    jobs_page.router,
    job_page.router,
    bench_mode.router,
    live.router,
    shutter.router,
    wayback_page.router,
    findings_page.router,
    proofs_page.router,
    handover_page.router,
    instruments_page.router,
    focus.router,
    springs.router,
    shape.router,
    teardown.router,
    costs.router,
    files.router,
    bundles.router,
    photographs.router,
    devices.router,
    drawer.router,
    api.router,
    api_files.router,
)


def create_app(desk: Desk) -> FastAPI:
    """Return the application that serves the bench page of one book."""
    app = FastAPI(
        title="asfound",
        version=__version__,
        summary="The bench book of a repairer of old folding cameras.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        middleware=[
            Middleware(guard, settings=desk.settings),
            Middleware(devices.admit, desk=desk),
            Middleware(limit_body, settings=desk.settings),
        ],
    )
    app.state.desk = desk
    app.state.static_version = static_version()
    for router in ROUTERS:
        app.include_router(router)
    map_errors(app)
    return app
