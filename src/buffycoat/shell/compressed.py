"""Words are sent compressed; what is compressed already, has no body or is a part of a file is sent as it is.

An attacker who could make a page repeat a guess and see how long it is on the wire might find a secret in it letter
by letter. The one secret in our pages, the form's token, is masked anew on each page, and Django adds bytes of random
number to each answer.
"""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

WORDS = ("text/", "application/json", "image/svg+xml")
NOT_WHOLE = (204, 206, 304)


class Compressed(GZipMiddleware):
    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        if response.status_code in NOT_WHOLE or not response.get("Content-Type", "").startswith(WORDS):
            return response
        return super().process_response(request, response)
