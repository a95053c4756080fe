// A drawing of the service comes into the page only as what it may be: shapes and words, no script, no link, no style.

const ELEMENTS = new Set(["svg", "g", "title", "desc", "polyline", "polygon", "line", "circle", "path", "rect", "text", "tspan"]);
const ATTRIBUTES = new Set([
  "viewBox", "width", "height", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "d", "points", "fill", "fill-rule",
  "stroke", "stroke-width", "stroke-dasharray", "stroke-linejoin", "stroke-linecap", "transform", "font-family", "font-size",
  "font-weight", "text-anchor", "class", "role", "aria-label", "data-component", "xml:space", "textLength", "lengthAdjust",
]);

// Where the browser knows trusted types, the policy of the page lets text become nodes here and nowhere else.
const policy = globalThis.trustedTypes?.createPolicy("drawing", { createHTML: (text) => text });

/** Return the SVG element of a text. Throws where it is none. */
export function drawn(text) {
  const parsed = new DOMParser().parseFromString(policy ? policy.createHTML(text) : text, "image/svg+xml");
  const root = parsed.documentElement;
  if (root.localName !== "svg") throw new Error("The drawing cannot be read.");
  clean(root);
  return document.importNode(root, true);
}

function clean(node) {
  for (const { name } of [...node.attributes]) if (!ATTRIBUTES.has(name)) node.removeAttribute(name);
  for (const child of [...node.children]) ELEMENTS.has(child.localName) ? clean(child) : child.remove();
}
