// What differs between the document and the base that changes are counted from.

import { components, state, supplies } from "./model.js";
import { same } from "./paths.js";

/** Return {added, removed, changed: [{where, field, before, after}], ids: of components and supplies that differ}. */
export function differences(base = state.base?.document, now = state.document) {
  const found = { added: [], removed: [], changed: [], ids: new Set() };
  if (!base || !now || base === now) return found;
  for (const list of ["supplies", "components"]) parts(base[list] ?? [], now[list] ?? [], found);
  for (const name of ["panel", "target", "options", "edition", "editions"]) fields("panel", name === "panel" ? base.panel : { [name]: base[name] }, name === "panel" ? now.panel : { [name]: now[name] }, found);
  return found;
}

function parts(before, after, found) {
  const old = new Map(before.map((each) => [each.id, each]));
  for (const each of after) {
    if (!old.has(each.id)) { found.added.push(each.id); found.ids.add(each.id); }
    else fields(each.id, old.get(each.id), each, found);
    old.delete(each.id);
  }
  found.removed.push(...old.keys());
}

function fields(where, before = {}, after = {}, found) {
  for (const field of new Set([...Object.keys(before), ...Object.keys(after)])) {
    if (same(before[field] ?? null, after[field] ?? null)) continue;
    found.changed.push({ where, field, before: before[field], after: after[field] });
    if (where !== "panel") found.ids.add(where);
  }
}

/** Return the components whose value moved against the rating of the base. */
export function movedValues() {
  const before = state.base?.rating, after = state.rating;
  if (!before || !after) return [];
  const old = new Map(before.components.map((each) => [each.id, worth(each)]));
  return after.components.filter((each) => old.has(each.id) && old.get(each.id) !== worth(each))
    .map((each) => ({ id: each.id, before: old.get(each.id), after: worth(each), because: each.because }));
}

const worth = (each) => (each.after_credit ?? each.value)?.current ?? "no value";

export const count = () => components().length + supplies().length;
