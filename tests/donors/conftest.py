from tests.pages import client

__all__ = ["client"]
