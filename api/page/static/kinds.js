// The kinds of component, as the service knows them.

import { pageFile } from "./service.js";

let known = [];
let byName = new Map();

export async function loadKinds() {
  known = await pageFile("kinds.json");
  byName = new Map(known.map((kind) => [kind.name, kind]));
}

export const kinds = () => known;
export const kindOf = (name) => byName.get(name);
export const kindLabel = (name) => byName.get(name)?.label ?? String(name ?? "").replaceAll("_", " ");
export const has = (name, trait) => byName.get(name)?.traits.includes(trait) ?? false;

/** The palette in groups that a panel shop thinks in; a kind that is in none stands last. */
export function groups() {
  const named = [
    ["Protection", ["circuit_breaker", "fuse", "fuseholder", "fused_disconnect_switch", "supplementary_protector", "surge_protective_device"]],
    ["Switching and motor control", ["disconnect_switch", "contactor", "overload_relay", "motor_starter", "manual_motor_controller", "combination_motor_controller", "soft_starter", "drive", "switch"]],
    ["Distribution and conversion", ["power_distribution_block", "bus_bar", "terminal_block", "transformer", "reactor", "power_supply", "receptacle", "gfci_receptacle"]],
    ["Loads", ["motor", "heater", "lighting", "load"]],
  ];
  const placed = new Set(named.flatMap(([, names]) => names));
  const groups = named.map(([title, names]) => [title, names.map(kindOf).filter(Boolean)]);
  return [...groups, ["Other", known.filter((kind) => !placed.has(kind.name))]];
}
