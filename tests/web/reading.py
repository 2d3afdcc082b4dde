"""What somebody reads on a page: its text, without markup and with single spaces."""

from typing import Any

from bs4 import BeautifulSoup, Tag


def main_of(response: Any) -> Tag:
    """The part of a page that is its own: without bars and menus."""
    found = BeautifulSoup(response.content, "html.parser").find("main")
    assert isinstance(found, Tag), f"no page: {response.status_code}"
    return found


def words(part: Tag) -> str:
    """The text of a part of a page."""
    return " ".join(part.get_text(" ", strip=True).split()).replace(" .", ".").replace(" ,", ",")


def text_of(response: Any) -> str:
    """The text of a page."""
    return words(main_of(response))


def sections_of(response: Any) -> dict[str, str]:
    """The text of each section of a page, by its heading."""
    return {
        words(heading): words(heading.find_parent(["section", "details"]) or heading)
        for heading in main_of(response).select("h2")
    }
