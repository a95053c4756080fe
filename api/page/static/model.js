// What the page is about: the document, how it came to be what it is, and what is looked at. No element is known here.

const DRAFT = "sccr.draft";
const MOST_STEPS = 200;

const listeners = new Map();

/** Call a listener whenever something of this name happens: document, rating, selection, errors, base, view. */
export function on(topic, listener) {
  listeners.set(topic, [...(listeners.get(topic) ?? []), listener]);
}

export function tell(topic, detail) {
  for (const listener of listeners.get(topic) ?? []) listener(detail);
}

/** rating: by the edition of the document, the first of several, which `several` has side by side. base: what changes are counted from {document, label, rating, order, designation, revision, etag}. */
export const state = {
  document: null, base: null, rating: null, several: null, ratedDocument: null, errors: [], trouble: null,
  selected: null, folded: [], symbols: "ansi", tab: "limits", notes: {},
};

let past = [];
let future = [];
let lastKey = null;

export const canUndo = () => past.length > 0;
export const canRedo = () => future.length > 0;

/** Begin with a document. */
export function begin(document, base) {
  past = []; future = []; lastKey = null;
  Object.assign(state, { document, base, rating: null, several: null, ratedDocument: null, errors: [], selected: null, folded: [] });
  keepDraft();
  tell("base");
  tell("document", { origin: "begin" });
  tell("selection", {});
}

/** Put the document aside and show how to begin. */
export function close() {
  past = []; future = [];
  Object.assign(state, { document: null, base: null, rating: null, several: null, errors: [], selected: null });
  keepDraft();
  tell("document", { origin: "close" });
}

/**
 * Change the document. Changes with the same key, one after the other, are one step to undo: the letters of a word.
 * origin: "field" where a field that shows the value already has changed it.
 */
export function change(edit, { key = null, origin = "command" } = {}) {
  const next = structuredClone(state.document);
  edit(next);
  if (key === null || key !== lastKey) past = [...past.slice(-MOST_STEPS), state.document];
  lastKey = key;
  future = [];
  state.document = next;
  settle(origin);
}

/** Put another document in the place of this one, as a step that can be undone. */
export function replace(document) {
  change((next) => {
    for (const name of Object.keys(next)) delete next[name];
    Object.assign(next, structuredClone(document));
  });
}

export function undo() { step(past, future); }
export function redo() { step(future, past); }

function step(from, to) {
  if (!from.length) return;
  to.push(state.document);
  state.document = from.pop();
  lastKey = null;
  settle("undo");
}

function settle(origin) {
  if (state.selected !== null && !known(state.selected)) select(null);
  keepDraft();
  tell("document", { origin });
}

function known(id) {
  return componentOf(id) !== undefined || state.document.supplies.some((each) => each.id === id);
}

/** Look at a component or supply. from: where it was chosen, which need not show it again. */
export function select(id, from = "") {
  state.selected = id;
  tell("selection", { from });
}

export const components = () => (Array.isArray(state.document?.components) ? state.document.components : []);
export const supplies = () => (Array.isArray(state.document?.supplies) ? state.document.supplies : []);
export const componentOf = (id) => components().find((each) => each.id === id);
export const placeOf = (id) => components().findIndex((each) => each.id === id);
export const sourcesOf = (component) => [component?.fed_from ?? []].flat().filter((each) => typeof each === "string");

/** Return a document as it is rated by the first of its editions, for what knows one rating only. */
export function byFirstEdition(document) {
  if (!document.editions?.length) return document;
  const { editions, ...rest } = document;
  return { ...rest, edition: editions[0] };
}

/** Return the component or supply that a name in fed_from means: "-TA1/2" is the second winding of "-TA1". */
export function ownerOf(name) {
  if (componentOf(name) || supplies().some((each) => each.id === name)) return name;
  const winding = /^(.*)\/[0-9]+$/.exec(name);
  return winding ? winding[1] : name;
}

export const valueOf = (id) => state.rating?.components.find((each) => each.id === id);

export function setView(name, value) {
  state[name] = value;
  keepDraft();
  tell("view", name);
}

/** Keep what somebody typed that is no part of the document. */
export function note(name, value) {
  state.notes[name] = value;
  keepDraft();
}

export function keepDraft() {
  const { document, base, folded, symbols, tab, notes } = state;
  try {
    localStorage.setItem(DRAFT, JSON.stringify({ document, base, folded, symbols, tab, notes }));
  } catch {
    tell("draft-lost");  // the browser keeps nothing here: whoever works on must be told
  }
}

/** Take up what was left, and say whether there was something. */
export function takeUpDraft() {
  try {
    Object.assign(state, JSON.parse(localStorage.getItem(DRAFT) ?? "{}"));
  } catch {
    localStorage.removeItem(DRAFT);
  }
  return state.document !== null;
}
