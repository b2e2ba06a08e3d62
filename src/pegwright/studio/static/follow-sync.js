/** Bringing a device and the studio together. */
import { eventKey, missing } from "./follow-fold.js";

const AT_ONCE = 1000;

/** No answer, or one that says why not. */
export class NotSynced extends Error {
  /** @param {string} words @param {number} status 0 where the network is off. */
  constructor(words, status) {
    super(words);
    this.status = status;
  }
}

/** One device's line to the studio, for one making. */
export class Line {
  /** @param {import("./follow-store.js").Tally} tally */
  constructor(tally) {
    this.tally = tally;
    this.token = document.querySelector('meta[name="pegwright-token"]')?.content ?? "";
    /** What the studio has, as it last said. */
    this.theirs = {};
    /** Keys of events that the studio has for certain. @type {Set<string>} */
    this.kept = new Set();
    this.base = `/api/follow/makings/${tally.making}`;
  }

  /** Ask for JSON; a token of an earlier run of the studio is replaced once. */
  async ask(url, body, again = true) {
    let answer;
    try {
      answer = await fetch(url, {
        method: body ? "POST" : "GET",
        headers: body
          ? { "Content-Type": "application/json", "X-Pegwright-Token": this.token, Accept: "application/json" }
          : { Accept: "application/json" },
        body: body ? JSON.stringify(body) : undefined,
        signal: AbortSignal.timeout(15000),
      });
    } catch {
      throw new NotSynced("the studio does not answer", 0);
    }
    if (answer.ok) return answer.json();
    if (answer.status === 403 && body && this.token && again && await this.freshToken()) {
      return this.ask(url, body, false);
    }
    const told = await answer.json().catch(() => ({}));
    throw new NotSynced(told.error ?? `the studio answered ${answer.status}`, answer.status);
  }

  /** The token of this run stands in the studio's own pages. */
  async freshToken() {
    try {
      const page = await (await fetch("/follow/shell.html", { cache: "no-store" })).text();
      const found = new DOMParser().parseFromString(page, "text/html");
      const token = found.querySelector('meta[name="pegwright-token"]')?.content ?? "";
      const changed = token !== "" && token !== this.token;
      this.token = token || this.token;
      return changed;
    } catch {
      return false;
    }
  }

  /** The making with its document. */
  view() {
    return this.ask(this.base);
  }

  /**
   * Send what the studio lacks and take what this device lacks, until both have the same.
   * @returns {Promise<{forecasts: object[], stage: string, taken: number}>}
   */
  async sync() {
    const sent = new Set();
    let taken = 0, everything = false;
    for (let round = 0; round < 500; round += 1) {
      const lacking = this.lacking(everything, sent);
      const chunk = lacking.slice(0, AT_ONCE);
      const answer = await this.ask(`${this.base}/sync`, {
        upto: everything ? {} : this.tally.upto,
        events: chunk,
      });
      taken += await this.tally.take(answer.events);
      this.theirs = answer.upto;
      for (const event of [...chunk, ...answer.events]) {
        sent.add(eventKey(event));
        this.kept.add(eventKey(event));
      }
      if (this.lacking(everything, sent).length) continue;
      if (this.tally.events.length === answer.total || everything) {
        return { forecasts: answer.forecasts, stage: answer.stage, taken };
      }
      everything = true;
    }
    throw new NotSynced("the studio and this device do not come together", 500);
  }

  lacking(everything, sent) {
    const events = everything ? this.tally.events : missing(this.tally.events, this.theirs);
    return events.filter((event) => !sent.has(eventKey(event)));
  }

  /** How many events the studio does not have yet, as far as is known here. */
  get waiting() {
    return this.lacking(false, this.kept).length;
  }
}

// --- carrying counts over by hand ---------------------------------------------------------------

const FILE_KIND = "pegwright-count";

/** Everything that was counted, as the text of a file. */
export function countFile(tally) {
  return JSON.stringify({ kind: FILE_KIND, format: 1, making: tally.making, events: tally.events });
}

/** The events of such a file. @returns {object[]} */
export function eventsOfFile(text, making) {
  let data;
  try {
    data = JSON.parse(text);
  } catch {
    throw new Error("This file holds no counts.");
  }
  if (data?.kind !== FILE_KIND || !Array.isArray(data.events)) {
    throw new Error("This file holds no counts.");
  }
  if (data.making !== making) throw new Error("These counts are of another making.");
  return data.events.filter(isEvent);
}

const SHAPES = {
  row: (e) => Number.isInteger(e.rows) && e.rows !== 0 && Math.abs(e.rows) <= 100000
    && typeof e.piece === "string" && e.piece.length <= 200,
  step: (e) => Number.isInteger(e.step) && e.step > 0 && e.step <= 100000 && typeof e.done === "boolean",
  note: (e) => e.text.trim() !== "",
  weigh: (e) => typeof e.grams === "number" && e.grams >= 0 && e.grams <= 1e6
    && /^[A-Za-z0-9-]{0,64}$/.test(e.yarn),
  undo: (e) => /^[A-Za-z0-9-]{1,64}$/.test(e.undoes),
};

function isEvent(event) {
  const id = /^[A-Za-z0-9-]{1,64}$/;
  return typeof event === "object" && event !== null && id.test(event.id) && id.test(event.device)
    && Number.isSafeInteger(event.counter) && event.counter > 0
    && /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$/.test(event.at)
    && typeof event.text === "string" && event.text.length <= 10000
    && Object.hasOwn(SHAPES, event.kind) && SHAPES[event.kind](event);
}

/** The same packed for the end of an address. @param {string} text */
export async function packed(text) {
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream("deflate-raw"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  let letters = "";
  for (const byte of bytes) letters += String.fromCharCode(byte);
  return btoa(letters).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** And unpacked again. @param {string} text */
export async function unpacked(text) {
  const letters = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return new Response(stream).text();
}
