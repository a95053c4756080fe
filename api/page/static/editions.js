// By which editions the panel is rated, and what each of them makes of it, side by side.

import { byId, few, fill, h } from "./dom.js";
import { group } from "./fields.js";
import { change, on, state } from "./model.js";
import { askJson } from "./service.js";
import { name } from "./verdict.js";

let known = [];

export function startEditions() {
  on("key", load);
  on("document", () => (known.length ? mark() : load())); // not before: a service with keys would ask for one unasked
}

/** Ask which editions there are; where that is refused, the document says alone what it is rated by. */
async function load() {
  known = (await askJson("/v1/editions").catch(() => ({ editions: [] }))).editions;
  const place = byId("editions");
  if (place) fill(place, rows());
  mark();
}

/** Return the group in which the editions are chosen. */
export function editionsGroup() {
  return group("Editions", ["editions"], h("p", { class: "hint" }, "With several, they are shown side by side under Limits; plans, papers and orders take one."),
    h("ul", { id: "editions", class: "plain" }, rows()));
}

const rows = () => known.map((each) => h("li", {}, h("label", {},
  h("input", { type: "checkbox", value: each.id, checked: asked().includes(each.id), onchange: (event) => choose(each.id, event.target.checked) }),
  h("span", {}, each.id, " ", h("small", {}, each.title)))));

const usual = () => known.find((each) => each.default)?.id;

function asked() {
  const { editions, edition } = state.document ?? {};
  return Array.isArray(editions) ? editions : [edition ?? usual()];
}

/** Put an edition among those asked for, in the order of the service, or take it away; one alone is `edition`. */
function choose(id, wanted) {
  const chosen = known.map((each) => each.id).filter((each) => (each === id ? wanted : asked().includes(each)));
  change((document) => {
    delete document.edition;
    delete document.editions;
    if (chosen.length > 1) document.editions = chosen;
    else if (chosen.length && chosen[0] !== usual()) document.edition = chosen[0];
  }, { origin: "field" });
}

/** Check what is asked for, however it came to be. */
function mark() {
  for (const box of document.querySelectorAll("#editions input")) box.checked = asked().includes(box.value);
}

/** Return what the editions make of the panel, and of the components that differ. */
export function sideBySide({ editions, panel, components, why }) {
  const differing = components.filter((each) => each.differs);
  return h("section", { id: "side-by-side" }, h("h3", {}, "By each edition"),
    table("What each edition makes of the panel", ["Edition", "Rating"], panel.map((each) => [breakable(each.edition), made(each)])),
    h("h4", {}, "Where they differ"),
    differing.length
      ? table("What the editions make of the components that differ", ["Part", ...editions.map(breakable)], differing.map((each) => [name(each.id), ...editions.map((edition) => worth(each.values[edition]))]))
      : h("p", {}, "Each component is worth the same by all of them."),
    why.length > 0 && h("details", {}, h("summary", {}, "Why they differ"), h("ul", {}, why.map((each) =>
      h("li", {}, h("b", {}, each.component), ` ${each.edition}, `, h("small", {}, each.clause), `; UL 508A: ${each.difference}`)))));
}

/** Return the name of an edition that may be broken before its year. */
const breakable = (edition) => edition.replace(":", ":\u200b");

function made({ rating, limited_by, errors, adequate }) {
  if (rating === null)
    return [h("b", {}, "No rating"), few(errors.map((each) => h("li", {}, name(each.component), " ", each.message)), { class: "plain" })];
  const covered = { true: "Covers what is available.", false: "Does not cover what is available." }[adequate];
  return [h("b", {}, rating), h("div", {}, "held by ", limited_by.map((each) => [name(each), " "])), covered && h("div", { class: adequate ? "covers" : "short" }, covered)];
}

function worth({ current, exempt, because }) {
  return [h("b", {}, current ?? (exempt ? "not asked" : "none")), h("small", {}, ` ${because}`)];
}

const table = (label, heads, body) => h("div", { class: "wide", tabindex: "0", role: "region", "aria-label": label }, h("table", { class: "side" },
  h("thead", {}, h("tr", {}, heads.map((each) => h("th", { scope: "col" }, each)))),
  h("tbody", {}, body.map(([first, ...rest]) => h("tr", {}, h("th", { scope: "row" }, first), rest.map((each) => h("td", {}, each)))))));
