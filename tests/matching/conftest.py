from tests.pages import client, walk

__all__ = ["client", "walk"]
