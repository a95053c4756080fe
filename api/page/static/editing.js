// Changes to the document that touch more than one place.

import { change, componentOf, components, ownerOf, placeOf, select, sourcesOf, state, supplies, tell } from "./model.js";

/** What belongs to the place of a component and not to its part; it stays when the part is swapped. */
const OF_THE_PLACE = new Set(["id", "kind", "fed_from", "circuit", "position", "location", "exempt", "accessories"]);

/** Swap a component for a part of the catalogue: what was stated of the old one goes, so that nothing stale is rated. */
export function swap(id, part) {
  change((document) => fitPart(document, id, part));
}

/** Return a copy of a document with a part of the catalogue in the place of a component. */
export function withPart(document, id, part) {
  const copy = structuredClone(document);
  fitPart(copy, id, part);
  return copy;
}

function fitPart(document, id, part) {
  const component = document.components.find((each) => each.id === id);
  for (const name of Object.keys(component)) if (!OF_THE_PLACE.has(name)) delete component[name];
  component.part = part;
}

/** Add a component of a kind, fed from what is looked at; return its id. */
export function add(kind, letter) {
  const from = state.selected ?? components().at(-1)?.id ?? supplies()[0]?.id ?? "";
  const id = freeName(letter);
  const fresh = { id, kind: kind.name, fed_from: from };
  if (kind.traits.includes("load")) fresh.location = "field";
  change((document) => { (document.components ??= []).push(fresh); });
  select(id);
  tell("reveal", id);
  return id;
}

function freeName(letter) {
  const taken = new Set([...components(), ...supplies()].map((each) => each.id));
  let number = 1;
  while (taken.has(`-${letter}${number}`)) number += 1;
  return `-${letter}${number}`;
}

/** Take a component out; what it fed is then fed from what fed it. */
export function remove(id) {
  const sources = sourcesOf(componentOf(id));
  change((document) => {
    document.components = document.components.filter((each) => each.id !== id);
    for (const each of document.components) {
      const names = sourcesOf(each);
      if (!names.some((name) => ownerOf(name) === id)) continue;
      const left = [...new Set(names.flatMap((name) => (ownerOf(name) === id ? sources : [name])))];
      each.fed_from = left.length === 1 ? left[0] : left;
    }
  });
  select(null);
}

/**
 * Return a function that renames a component or supply. Who refers to it is found once, before anything is typed: on the
 * way to "-QA12" the name is "-QA1" for a moment, and what another "-QA1" feeds must not come over.
 */
export function renamer(list, place) {
  const old = state.document[list][place].id;
  const referring = components().flatMap((each, number) => sourcesOf(each).map((name, at) => [number, at, name])).filter(([, , name]) => ownerOf(name) === old);
  return (id) => {
    if (state.selected === state.document[list][place].id) state.selected = id;
    change((document) => {
      document[list][place].id = id;
      for (const [number, at, name] of referring) {
        const each = document.components[number];
        const fresh = id + name.slice(old.length);
        if (Array.isArray(each.fed_from)) each.fed_from[at] = fresh;
        else each.fed_from = fresh;
      }
    }, { key: `rename ${list} ${place}`, origin: "field" });
  };
}

/** Return the document of a panel with nothing in it but its supply. */
export function emptyPanel() {
  return {
    format: "panel/1",
    panel: { designation: "PANEL-1" },
    supplies: [{ id: "MAINS", voltage: "480Y/277 V", system: "solidly_grounded_wye", frequency: "60 Hz" }],
    components: [],
  };
}

export const isPlaced = (id) => placeOf(id) >= 0;
