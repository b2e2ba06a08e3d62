/**
 * The one way in which a page asks the studio for something.
 *
 * Every request that changes something carries the header X-Pegwright-Token with the secret that
 * stands in the page's own head; the studio refuses it otherwise.  A refusal arrives as a
 * {@link Refusal} with what is wrong, what was given and what to try.
 */

const TOKEN = document.querySelector('meta[name="pegwright-token"]')?.content ?? "";

/**
 * @typedef {{error: string, given: ?string, try: ?string, line: ?number, field: ?string,
 *   more?: ErrorShape[]}} ErrorShape
 */

/** An error that the studio answered with, or that no answer came. */
export class Refusal extends Error {
  /** @param {ErrorShape} data @param {number} status 0 where no answer came. */
  constructor(data, status) {
    super(sentence(data));
    this.data = data;
    this.status = status;
  }
}

/**
 * An error in one line for the maker.
 * @param {ErrorShape} data
 */
export function sentence(data) {
  const what = data.error.charAt(0).toUpperCase() + data.error.slice(1);
  const given = data.given ? ` (${data.given})` : "";
  const hint = data.try ? ` Try: ${data.try}.` : "";
  return `${what}${given}.${hint}`.replace(/([.?!])\.$/, "$1");
}

/**
 * Ask the studio.
 * @param {"GET"|"POST"|"PUT"|"PATCH"|"DELETE"} method
 * @param {string} url
 * @param {object|FormData} [body] an object is sent as JSON.
 * @param {{signal?: AbortSignal, keepalive?: boolean}} [options]
 * @returns {Promise<any>} what was answered; null where there is nothing.
 */
export async function request(method, url, body, options = {}) {
  /** @type {Record<string, string>} */
  const headers = { Accept: "application/json" };
  if (method !== "GET") headers["X-Pegwright-Token"] = TOKEN;
  const isForm = body instanceof FormData;
  if (body !== undefined && !isForm) headers["Content-Type"] = "application/json";
  let answer;
  try {
    answer = await fetch(url, {
      method,
      headers,
      body: body === undefined ? undefined : isForm ? body : JSON.stringify(body),
      ...options,
    });
  } catch (failure) {
    if (failure.name === "AbortError") throw failure;
    throw new Refusal(
      { error: "the studio does not answer", given: null, line: null, field: null,
        try: "see whether it is still running, then reload the page" }, 0);
  }
  if (answer.status === 204) return null;
  const isJson = answer.headers.get("content-type")?.startsWith("application/json");
  const data = isJson ? await answer.json() : await answer.text();
  if (answer.ok) return data;
  throw new Refusal(isJson ? data : { error: `the studio answered ${answer.status}` }, answer.status);
}
