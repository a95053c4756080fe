// Parts of the catalogue for a component: searched while one types, put in with one press.

import { address, askJson, step } from "./service.js";
import { button, byId, fill, h, say } from "./dom.js";
import { swap } from "./editing.js";
import { outcomes } from "./outcomes.js";

const MOST = 40;
let asking = null;

/** Return the search for another part of the same kind. */
export function swapper(component) {
  const results = h("div", { class: "candidates", id: "candidates" });
  const input = h("input", { id: "swap-text", type: "search", placeholder: "search the catalogue", autocomplete: "off", oninput: () => search(component, input.value, results) });
  const opened = (event) => { if (event.target.open) search(component, input.value, results); };
  return h("details", { class: "swap", ontoggle: opened }, h("summary", {}, "Swap for a catalogue part"),
    h("label", { for: "swap-text", class: "unseen" }, "Search the catalogue"), input, results);
}

async function search(component, text, results) {
  asking?.abort();
  const mine = (asking = new AbortController());
  try {
    const asked = address("/v1/parts", { kind: component.kind, poles: component.poles, text, limit: MOST });
    const { parts } = await askJson(asked, { signal: mine.signal });
    fill(results, parts.length ? h("ul", {}, parts.map((part) => candidate(component, part))) : h("p", {}, "The catalogue has no such part."));
    const place = (part) => results.querySelector(`[data-outcome="${CSS.escape(part)}"]`);
    await outcomes(component.id, parts.filter(({ part }) => part !== component.part), place, mine.signal);
  } catch (error) {
    if (error.name !== "AbortError") fill(results, h("p", { class: "wrong" }, error.message));
  }
}

function candidate(component, part) {
  const now = component.part === part.part;
  const put = () => { swap(component.id, part.part); say(`${component.id} is ${part.part} now`); };
  return h("li", {}, button(now ? "fitted" : "Use", put, { disabled: now, "aria-label": now ? `${part.part} is fitted` : `use ${part.part}`, "data-part": part.part }),
    h("span", {}, h("b", {}, part.part), " ", part.description ?? "", h("br"), h("small", {}, marking(part)), h("span", { class: "outcome", "data-outcome": part.part })));
}

/** Return what a part is marked with, in one line. */
export function marking(part) {
  const marked = ["interrupting_ratings", "short_circuit_ratings", "breaking_capacities", "conditional_ratings"].flatMap((name) => part[name] ?? []);
  const ratings = marked.map((each) => {
    const by = each.protected_by;
    const behind = by ? ` behind ${[by.device.replace("_", " "), ...(by.fuse_classes ?? []), ...(by.utilization_categories ?? []), ...(by.parts ?? [])].join(" ")}` : "";
    const kind = each.kind && each.kind !== "fuse" ? `${each.kind[0].toUpperCase()}${each.kind.slice(1)} ` : "";
    return `${kind}${each.current} at ${each.voltage}${behind}`;
  });
  const facts = [part.poles && `${part.poles} poles`, part.ampere_rating, part.fuse_class && `class ${part.fuse_class}`, part.utilization_category, part.horsepower].filter(Boolean);
  ratings.push(...(part.short_time_ratings ?? []).map((each) => `Icw ${each.current} for ${each.duration}`));
  return [...facts, ...(ratings.length ? ratings : ["no short-circuit marking"])].join(" · ");
}

/** Show below the part number what the catalogue has for it: that counts wherever nothing else is stated. */
export async function showPart(number) {
  const place = byId("part-says");
  if (!place) return;
  if (!number) return fill(place);
  try {
    const part = await askJson(`/v1/parts/${step(number)}`);
    if (byId("part-says") === place) fill(place, h("p", { class: "hint" }, "From the catalogue: ", marking(part)));
  } catch (error) {
    fill(place, h("p", { class: "hint" }, error.status === 404 ? "The catalogue has no part of this number." : ""));
  }
}
