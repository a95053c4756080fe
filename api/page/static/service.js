// Asking the service: one way for everything, and every refusal with the service's own words.

import { tell } from "./model.js";

const KEY = "sccr.key";

/** The service has refused; `problem` is what it said (RFC 9457). */
export class Refused extends Error {
  constructor(status, problem) {
    super(problem.detail || problem.title || `The service answered ${status}.`);
    this.status = status;
    this.problem = problem;
    this.errors = problem.errors ?? [];
  }
}

/** The service does not answer at all. */
export class Unreachable extends Error {}

// The key is kept for this tab only and sent in a header: a page of somebody else's cannot have it sent, as a cookie.
export const key = () => sessionStorage.getItem(KEY);
export function setKey(value) {
  value ? sessionStorage.setItem(KEY, value) : sessionStorage.removeItem(KEY);
}

/** Return the answer of the service, or throw Refused, Unreachable, or AbortError. */
export async function ask(address, { method = "GET", body, type = "application/json", accept, headers = {}, signal } = {}) {
  const sent = { Accept: accept ?? "application/json", ...headers };
  if (body !== undefined) sent["Content-Type"] = type;
  if (key()) sent.Authorization = `Bearer ${key()}`;
  let answer;
  try {
    answer = await fetch(address, { method, body, headers: sent, signal, credentials: "omit", cache: "no-store" });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Unreachable("The service does not answer. What you typed is kept here; it is asked again.");
  }
  if (answer.ok) return answer;
  const problem = await answer.json().catch(() => ({ title: `The service answered ${answer.status}.` }));
  if (answer.status === 401) tell("key-needed", problem);
  throw new Refused(answer.status, problem);
}

export async function askJson(address, options) {
  return (await ask(address, options)).json();
}

export const post = (address, value, options = {}) => ask(address, { method: "POST", body: JSON.stringify(value), ...options });

/** Return an address with a query; what is empty is left out. */
export function address(path, query = {}) {
  const asked = new URLSearchParams(Object.entries(query).filter(([, value]) => value !== undefined && value !== null && value !== ""));
  return asked.size ? `${path}?${asked}` : path;
}

/** Return one step of an address. */
export const step = encodeURIComponent;

/** Return a file of the page itself: it lies beside this module. */
export async function pageFile(name) {
  const answer = await fetch(new URL(name, import.meta.url));
  if (!answer.ok) throw new Error("The page is of another version than the service now. Load it again; your draft stays.");
  return answer.json();
}
