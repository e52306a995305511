"""The HTTP service: Flask application, schemas, problem details, the contract."""

from leaveline.web.app import create_app

__all__ = ["create_app"]
