// Elements made and renewed.

/** A new element with properties and what is inside. */
export function make(tag, properties = {}, ...inside) {
  const found = Object.assign(document.createElement(tag), properties);
  found.append(...inside);
  return found;
}

/** Sets what differs: writing what stands there already costs a browser a new layout of the page. */
export function put(element, properties) {
  for (const [name, value] of Object.entries(properties)) if (element[name] !== value) element[name] = value;
}

/** Sets an attribute where it differs. */
export function putAttribute(element, name, value) {
  if (element.getAttribute(name) !== value) element.setAttribute(name, value);
}

/** Put new elements into a place; whoever works by keyboard there stays at the same button. */
export function renew(place, elements) {
  const buttons = () => [...place.querySelectorAll("button")];
  const held = buttons().indexOf(document.activeElement);
  place.replaceChildren(...elements);
  if (held >= 0) buttons()[Math.min(held, buttons().length - 1)]?.focus({ preventScroll: true });
}

/**
 * Makes what stands in a place what is wanted; elements that stay are kept, and take over `onclick`. A browser reads all fields
 * of a page anew, to fill them in, whenever a button comes or goes: 40 ms of a processor at each move of a drag.
 */
export function amend(place, wanted) {
  [...wanted].forEach((next, i) => {
    const now = place.childNodes[i];
    if (!now) place.append(next);
    else if (now.nodeName !== next.nodeName) now.replaceWith(next);
    else if (now.nodeType === Node.TEXT_NODE) put(now, { data: next.data });
    else amendOne(now, next);
  });
  while (place.childNodes.length > wanted.length) place.lastChild.remove();
}

function amendOne(now, next) {
  for (const { name } of [...now.attributes]) if (!next.hasAttribute(name)) now.removeAttribute(name);
  for (const { name, value } of next.attributes) putAttribute(now, name, value);
  now.onclick = next.onclick;
  amend(now, [...next.childNodes]);
}

/** A text whose words stay whole, a number with its unit: a browser would break 16-1/2 behind its hyphen. */
export function words(text) {
  return text.split(/(?<!\d) | (?!(?:in|mm|lb|kg)\b)/).flatMap((word, i) => [i ? " " : "", make("span", { className: "whole", textContent: word })]);
}
