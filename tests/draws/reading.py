"""Reading a page as a person does, and sending its form back as a browser does."""

import re


def text(response):
    """What a person reads: no tags, no thin or hard spaces."""
    page = re.sub(r"<(script|meta|link)[^>]*>", "", response.content.decode())
    shown = re.sub(r"<[^>]+>", " ", page).replace("\u202f", " ").replace("\xa0", " ").replace("&nbsp;", " ")
    return re.sub(r"\s+", " ", shown)


def asked(response):
    """The one question of a bench page."""
    return re.search(r'<h1 class="question">(.*?)</h1>', response.content.decode())[1].replace("\xa0", " ")


def hidden(response):
    """The hidden values of the form, as a browser would send them."""
    inputs = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', response.content.decode())
    return {name: value.replace("&quot;", '"') for name, value in inputs if name != "csrfmiddlewaretoken"}
