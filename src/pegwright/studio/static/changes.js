/**
 * Changes of a design, sent one after the other with the revision that they were made to.
 *
 * What is typed waits a moment for more of it; what does not arrive is kept and sent again.
 */
import { Refusal, request } from "./request.js";

const WAIT_MS = 250;
const AGAIN_MS = 3000;

export class Changes {
  /**
   * @param {string} address of the design in the studio's API.
   * @param {{revision: () => number, show: (view: any) => void, refused: (failure: unknown) => Promise<void>,
   *   state: (words: string) => void, stepping?: () => void}} on the revision that is shown; what is
   *   done with a design's view, with a refusal, with a word on how it stands, and before a step back.
   */
  constructor(address, on) {
    this.address = address;
    this.on = on;
    /** @type {Map<string, any>} values that were typed and not sent yet, by path */
    this.typed = new Map();
    this.timer = 0;
    /** @type {Promise<any>} */
    this.queue = Promise.resolve(true);
    window.addEventListener("beforeunload", (event) => {
      if (!this.typed.size) return;
      this.flush();
      event.preventDefault();
    });
  }

  /**
   * Ask for something with the revision that is shown; one request after the other.
   * @returns {Promise<boolean>} false where no answer came, so that it can be asked again.
   */
  send(method, path, body) {
    const done = this.queue.then(async () => {
      this.on.state("Saving …");
      try {
        this.on.show(await request(method, `${this.address}${path}`, { revision: this.on.revision(), ...body() }));
        return true;
      } catch (failure) {
        this.on.state("Not saved.");
        await this.on.refused(failure);
        return !(failure instanceof Refusal && failure.status === 0);
      }
    });
    this.queue = done;
    return done;
  }

  /** Send what was typed; typing where more of it may follow.  What does not arrive is kept. */
  async flush(typing = false) {
    clearTimeout(this.timer);
    if (!this.typed.size) return this.queue;
    const sent = [...this.typed];
    this.typed.clear();
    const changes = sent.map(([path, value]) => ({ do: "set", path, value }));
    const arrived = await this.send("PATCH", "/fields", () => ({ changes, typing }));
    if (arrived) return undefined;
    for (const [path, value] of sent) if (!this.typed.has(path)) this.typed.set(path, value);
    this.timer = setTimeout(() => this.flush(), AGAIN_MS);
    return undefined;
  }

  /** A value was typed; sure where its field was left. */
  change(path, value, sure) {
    clearTimeout(this.timer);
    this.typed.set(path, value);
    if (sure) this.flush();
    else this.timer = setTimeout(() => this.flush(true), WAIT_MS);
  }

  /** Make changes at once, after what was typed. @param {object[]} changes */
  act(changes) {
    this.flush();
    return this.send("PATCH", "/fields", () => ({ changes }));
  }

  /** Take the last change back, or make it again. @param {"undo"|"redo"} way */
  step(way) {
    this.flush();
    this.on.stepping?.();
    return this.send("POST", `/${way}`, () => ({}));
  }

  /**
   * Undo and redo by buttons and by Ctrl+Z, but where a text has its own.
   * @param {HTMLElement} undo @param {HTMLElement} redo @param {string} but what has its own.
   */
  listen(undo, redo, but) {
    undo.addEventListener("click", () => this.step("undo"));
    redo.addEventListener("click", () => this.step("redo"));
    document.addEventListener("keydown", (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
      if (/** @type {HTMLElement} */ (event.target).closest(but)) return;
      event.preventDefault();
      /** @type {any} */ (document.activeElement)?.removeAttribute?.("data-typing");
      this.step(event.shiftKey ? "redo" : "undo");
    });
  }
}
