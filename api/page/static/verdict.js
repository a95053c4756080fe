// The first thing that is read: what the panel is worth, what holds it down, and whether that is enough.

import { amperes } from "./amounts.js";
import { button, byId, few, fill, h } from "./dom.js";
import { componentOf, on, ownerOf, select, sourcesOf, state, tell } from "./model.js";
import { kindLabel } from "./kinds.js";

export function startVerdict() {
  on("rating", show);
  on("document", show);
}

function show() {
  const place = byId("verdict");
  place.classList.toggle("stale", state.errors.length > 0 || state.trouble !== null);
  if (!state.document) return fill(place);
  const { rating } = state;
  fill(place, state.trouble && h("p", { class: "trouble" }, state.trouble), mistakes(), rating && [headline(rating), h("div", { class: "because" }, holds(rating), enough(rating))]);
}

function headline(rating) {
  if (!rating.rating)
    return h("div", { class: "headline" }, h("h2", { class: "figure withheld" }, "No rating"), h("p", {}, "withheld: something makes any rating unsafe"), edition(rating));
  const { current, voltage, text, designation } = rating.rating;
  // Where the standard has a symbol for what is rated, the figure alone does not say which current it is.
  const rest = designation ? text : text.replace(`${current} `, "").replace(current, "");
  return h("div", { class: "headline" }, h("h2", { class: "figure", "data-amperes": rating.rating.current_amperes, "data-voltage": voltage }, current), h("p", {}, rest), edition(rating));
}

/** Return by which of several editions this is: the others are beside it, under Limits. */
const edition = (rating) => state.several && h("p", {}, `by ${rating.method.edition}`);

function holds(rating) {
  const errors = rating.findings.filter((each) => each.severity === "error");
  if (!rating.rating)
    return few(errors.map((each) => h("li", {}, name(each.component), " ", each.message, " ", h("small", {}, each.clause))), { class: "holds" });
  return few(rating.limited_by.map((limit) =>
    h("li", {}, h("span", { class: "flag" }, "held down by"), " ", name(limit.component), " ", kindOf(limit.component), h("br"), limit.reason, " ", h("small", {}, limit.clause), rating.limited_by.length < 3 && route(limit.component))), { class: "holds" });
}

/** Return the way from the supply to a component in words: the diagram shows the same, where there is room for it. */
function route(id) {
  const way = [id];
  for (let at = sourcesOf(componentOf(id))[0]; at && !way.includes(ownerOf(at)); at = sourcesOf(componentOf(ownerOf(at)))[0]) way.unshift(ownerOf(at));
  return way.length > 1 && h("span", { class: "route" }, way.map((each, place) => [place ? " › " : "on the way ", h("span", {}, each)]));
}

function kindOf(id) {
  const found = state.rating.components.find((each) => each.id === id);
  return found ? kindLabel(found.kind) : "";
}

/** Return the name of a component as something to press: it is then shown everywhere. */
export function name(id) {
  if (id === null) return "";
  return button(id, () => { select(id); tell("reveal", id); }, { class: "name", "data-name": id, "aria-label": `show ${id}` });
}

function enough(rating) {
  const { supplies, target } = rating.adequacy;
  const told = supplies.map((each) => line(each, `the ${each.current} ${each.basis.startsWith("computed") ? "(computed) " : ""}available at ${each.supply}`));
  if (target) told.push(line(target, `the order's target of ${target.current}`));
  if (!supplies.length) told.push(h("li", { class: "unknown" }, "No available fault current is stated: see Panel."));
  return h("ul", { class: "enough" }, told);
}

function line(each, what) {
  if (each.margin_amperes === null) return h("li", { class: "short" }, sign("✕"), `nothing to cover ${what} with`);
  if (each.adequate) return h("li", { class: "covers" }, sign("✓"), `covers ${what}, ${amperes(each.margin_amperes)} to spare`);
  const reasons = [each.margin_amperes < 0 && `, short by ${amperes(-each.margin_amperes)}`, each.exceeded.length > 0 && overloaded(each.exceeded)];
  return h("li", { class: "short" }, sign("✕"), h("strong", {}, "does not cover"), ` ${what}`, reasons);
}

/** Return which devices an X/R above that of their test asks more of than they are marked for; the rating may well be above. */
const overloaded = (ids) => [": at the X/R there, ", ...ids.flatMap((id) => [name(id), " "]), "would have to interrupt more than marked"];

const sign = (text) => h("span", { class: "sign", "aria-hidden": "true" }, text);

/** Return the errors of the document, each leading to its field. */
function mistakes() {
  if (!state.errors.length) return null;
  const count = state.errors.length === 1 ? "One thing keeps" : `${state.errors.length} things keep`;
  const shown = state.errors.slice(0, 20).map((error) =>
    h("li", {}, button(where(error.pointer), () => tell("go-to", error.pointer), { class: "name" }), " ", error.detail));
  return h("div", { class: "mistakes" }, h("p", {}, `${count} this from being rated${state.rating ? "; below is the rating before" : ""}.`), h("ul", {}, shown));
}

function where(pointer) {
  const [, list, place, ...rest] = pointer.split("/");
  const id = state.document?.[list]?.[place]?.id;
  return [id ?? list ?? "document", ...rest].join(" › ") || "document";
}
