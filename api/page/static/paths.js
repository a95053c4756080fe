// Places in a document: lists of names and numbers, and the same as JSON Pointers (RFC 6901), as the service tells them.

import { state } from "./model.js";

export const pointer = (path) => path.map((step) => `/${String(step).replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");

export function steps(pointer) {
  return pointer.split("/").slice(1).map((step) => step.replaceAll("~1", "/").replaceAll("~0", "~"));
}

export function valueAt(document, path) {
  return path.reduce((at, step) => (at === undefined || at === null ? undefined : at[step]), document);
}

/** Set a value; undefined takes the member out, and with it the objects that are left empty. */
export function setAt(document, path, value) {
  const [step, ...rest] = path;
  if (!rest.length) {
    if (value === undefined) Array.isArray(document) ? document.splice(Number(step), 1) : delete document[step];
    else document[step] = value;
    return;
  }
  if (document[step] === undefined || document[step] === null || typeof document[step] !== "object") {
    if (value === undefined) return;
    document[step] = typeof rest[0] === "number" ? [] : {};
  }
  setAt(document[step], rest, value);
  const left = document[step];
  if (!Array.isArray(left) && typeof left === "object" && !Object.keys(left).length && path.length > 2) delete document[step];
}

/** Return what stood at a place in the base; a component is found by its id, wherever it stands there. */
export function baseValue(path) {
  const base = state.base?.document;
  if (!base) return undefined;
  const [list, place, ...rest] = path;
  if (list !== "components" && list !== "supplies") return valueAt(base, path);
  const id = state.document?.[list]?.[place]?.id;
  const there = base[list]?.find?.((each) => each.id === id);
  return there === undefined ? undefined : valueAt(there, rest);
}

export const isNew = (list, id) => Boolean(state.base) && !state.base.document?.[list]?.some?.((each) => each.id === id);

export const same = (one, other) => JSON.stringify(sorted(one)) === JSON.stringify(sorted(other));

function sorted(value) {
  if (Array.isArray(value)) return value.map(sorted);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.keys(value).sort().map((name) => [name, sorted(value[name])]));
}
