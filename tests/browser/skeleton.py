"""How a page is built, without what it says: pages that are built alike have the same faults.

Of every element: its tag, role, type and classes, which attributes it has, whether what it is tied
to is there, and whether it has words of its own. Words themselves, names and numbers are left out,
and of neighbours that are alike one is kept: a list of three is built as a list of thirty.
The colours of households differ by a number: those are judged by themselves, in test_components.
"""

from typing import Any

SKELETON = """() => {
  // Of these the value matters as well; of any other attribute, whether it has one.
  const valued = /^(role|type|class|scope|lang|autocomplete|tabindex|aria-(hidden|current|live))$/;
  const tied = /^(for|aria-labelledby|aria-describedby|aria-controls)$/;
  const isThere = (id) => document.getElementById(id) !== null;
  const isOnce = (id) => document.querySelectorAll("#" + CSS.escape(id)).length === 1;
  const told = ({name, value}) => {
    if (valued.test(name)) return name + "=" + value.replace(/[0-9]+/g, "");
    if (tied.test(name)) return name + "=" + value.split(/ +/).every(isThere);
    if (name === "id") return "id=" + isOnce(value);
    return name + (value.trim() ? "" : "=");
  };
  const hasWords = ({childNodes}) =>
    [...childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim());
  const built = (element) => {
    const attributes = [...element.attributes].map(told).sort();
    const inside = [...element.children].map(built);
    const unlike = inside.filter((each, index) => each !== inside[index - 1]);
    const isLabelled = Boolean(element.labels && element.labels.length);
    const parts = [element.tagName, ...attributes, hasWords(element), isLabelled, ...unlike];
    return "<" + parts.join(" ") + ">";
  };
  return built(document.documentElement);
}"""


def skeleton_of(page: Any) -> str:
    """The page that is open, as text: the same for every page that is built alike."""
    return page.evaluate(SKELETON)
