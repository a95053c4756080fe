// Nodes are built, never written as text with tags in it: whatever a document says stays text.

const SVG = "http://www.w3.org/2000/svg";

/** Return an element with properties, attributes, listeners (`onclick`) and children; null children are left out. */
export function h(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

/** Return the same for a drawing. */
export function s(tag, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

function filled(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

/** Put children in the place of whatever is in a node. */
export function fill(node, ...children) {
  node.replaceChildren(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

export const byId = (id) => document.getElementById(id);

/** Return a button with words in it. */
export function button(words, press, attributes = {}) {
  return h("button", { type: "button", onclick: press, ...attributes }, words);
}

const SHOWN = 3;

/** Return rows as a list; of many, the first few, and the others behind a fold. */
export function few(rows, attributes = {}) {
  if (rows.length <= SHOWN + 1) return h("ul", attributes, rows);
  const others = h("details", {}, h("summary", {}, `and ${rows.length - SHOWN} more`), h("ul", attributes, rows.slice(SHOWN)));
  return [h("ul", attributes, rows.slice(0, SHOWN)), others];
}

/** Tell something to who cannot see it, and to who can. */
export function say(words) {
  const place = byId("told");
  place.textContent = "";
  // A live region is read out when its text changes, also where it says the same again.
  requestAnimationFrame(() => { place.textContent = words; });
}

/** Have the browser save bytes or text as a file. */
export function saveFile(content, name, type) {
  const address = URL.createObjectURL(content instanceof Blob ? content : new Blob([content], { type }));
  h("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}
