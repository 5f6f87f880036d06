"""What a browser calls itself, in words."""

from django import template

register = template.Library()

#: The first that occurs wins: most browsers also claim to be the ones after them.
BROWSERS = (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrom", "Chrome"), ("CriOS", "Chrome"), ("Safari", "Safari"))
SYSTEMS = (
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Mac OS X", "a Mac"),
    ("Linux", "Linux"),
)


@register.filter
def device(user_agent: str) -> str:
    """'Firefox on Linux' for a User-Agent header (RFC 9110, section 10.1.5); what it says itself when it is unknown."""
    browser, system = (next((word for mark, word in table if mark in user_agent), "") for table in (BROWSERS, SYSTEMS))
    return " on ".join(filter(None, (browser, system))) or user_agent[:60] or "Unknown"
