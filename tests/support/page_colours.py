"""Colours of the page as the browser works them out, and how far they stand apart.

WCAG 2.2: "relative luminance" and "contrast ratio" in its section 6 (Glossary); 1.4.3 asks 4.5 of
text, 1.4.11 asks 3 of the edges of controls and of marks that are needed to understand a drawing.
"""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Page

Colour = tuple[float, float, float, float]
"""Red, green, blue and cover, each 0 to 1."""

STACK = """() => {
window.stackOf = (one) => {
  const found = [];
  for (; one; one = one.parentElement) found.push(getComputedStyle(one).backgroundColor);
  return found;
};
window.fadeOf = (one) => {
  let fade = 1;
  for (; one; one = one.parentElement) fade *= Number(getComputedStyle(one).opacity);
  return fade;
};
window.seen = (one) =>
  one.checkVisibility({ visibilityProperty: true }) && !one.closest(".away, option, :disabled");
window.underOf = (drawn) => {
  if (drawn?.closest(".tag")) return drawn.closest(".tag").querySelector("rect");
  return drawn?.matches(".letter") ? drawn.previousElementSibling : null;
};
}"""
"""Backgrounds from an element down, how clear it is, whether it counts, what a drawn text is on."""

TEXTS = """() => [...document.querySelectorAll("body *")]
  .filter(seen)
  .filter((one) => [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
  .map((one) => {
    const drawn = one.closest("svg") && one.closest("text");
    const style = getComputedStyle(drawn || one);
    const under = underOf(drawn);
    const stack = under ? [getComputedStyle(under).fill] : stackOf(one);
    const colour = drawn ? style.fill : style.color;
    return { text: one.textContent.trim().slice(0, 50), colour, stack, fade: fadeOf(one) };
  })"""
"""Each text that is seen, its colour and the backgrounds that it stands on, the nearest first."""

CONTROLS = """() => [...document.querySelectorAll(
    "button, select, input[type=text], input[type=number], .button")]
  .filter(seen)
  .map((one) => {
    const style = getComputedStyle(one);
    const [text, edge] = [one.id || one.textContent, style.borderTopColor];
    return { text, edge, own: stackOf(one), stack: stackOf(one.parentElement) };
  })"""
"""Each control with an edge of its own: the edge, what it is filled with, and what it stands on."""

FOCUSED = """() => [...document.querySelectorAll(
    "a, button, select, input, summary, canvas, [tabindex='0']")]
  .filter(seen)
  .map((one) => {
    one.focus();
    const ring = getComputedStyle(one.type === "file" ? one.closest(".button") : one);
    const found = {
      text: one.outerHTML.slice(0, 60), here: document.activeElement === one,
      line: ring.outlineStyle, wide: parseFloat(ring.outlineWidth), colour: ring.outlineColor,
      stack: stackOf(one.parentElement),
    };
    one.blur();
    return found;
  })"""
"""Each control, focused as by the keyboard, and the ring that is drawn round it."""


def colour_of(text: str) -> Colour:
    """Return a colour as a browser writes computed ones."""
    numbers = [float(one) for one in re.findall(r"[\d.]+(?:e-?\d+)?", text)]
    if text.startswith("rgb"):
        numbers[:3] = [one / 255 for one in numbers[:3]]
    red, green, blue, *cover = numbers
    return red, green, blue, cover[0] if cover else 1.0


def over(colour: Colour, below: Colour) -> Colour:
    """Return a colour that is laid over an opaque one."""
    red, green, blue = (
        colour[3] * a + (1 - colour[3]) * b for a, b in zip(colour[:3], below[:3], strict=True)
    )
    return red, green, blue, 1.0


def ground_of(stack: list[str]) -> Colour:
    """Return what is seen of backgrounds, the nearest first."""
    seen: Colour = (1.0, 1.0, 1.0, 1.0)
    for text in reversed(stack):
        seen = over(colour_of(text), seen)
    return seen


def luminance(colour: Colour) -> float:
    """Return the relative luminance, 0 of black to 1 of white (WCAG 2.2)."""
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour[:3]
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(a: Colour, b: Colour) -> float:
    """Return the contrast ratio of two opaque colours, 1 to 21 (WCAG 2.2)."""
    dark, light = sorted((luminance(a), luminance(b)))
    return (light + 0.05) / (dark + 0.05)


def faint_texts(page: Page) -> list[tuple[str, float]]:
    """Return the texts that are seen at less than 4.5, and their contrast."""
    found = []
    for one in page.evaluate(TEXTS):
        ground = ground_of(one["stack"])
        colour = colour_of(one["colour"])
        seen = over((*colour[:3], colour[3] * one["fade"]), ground)
        found.append((one["text"], round(contrast(seen, ground), 2)))
    assert len(found) > 100
    return [one for one in found if one[1] < 4.5]


def faint_edges(page: Page) -> list[tuple[str, float]]:
    """Return the controls of which neither edge nor filling stands out by 3."""
    found = []
    for one in page.evaluate(CONTROLS):
        outside, inside = ground_of(one["stack"]), ground_of(one["own"])
        edge = contrast(over(colour_of(one["edge"]), inside), outside)
        found.append((one["text"], round(max(edge, contrast(inside, outside)), 2)))
    assert len(found) > 40
    return [one for one in found if one[1] < 3]


def faint_rings(page: Page) -> list[tuple[str, Any]]:
    """Return the controls round which no ring of 2 px and a contrast of 3 is drawn when focused."""
    page.keyboard.press("Tab")  # what is focused now is focused by the keyboard
    bad: list[tuple[str, Any]] = []
    found = page.evaluate(FOCUSED)
    assert len(found) > 80
    for one in found:
        ground = ground_of(one["stack"])
        ratio = contrast(over(colour_of(one["colour"]), ground), ground)
        drawn = one["line"] == "solid" and one["wide"] >= 2
        if not (one["here"] and drawn and ratio >= 3):
            bad.append((one["text"], one))
    return bad
