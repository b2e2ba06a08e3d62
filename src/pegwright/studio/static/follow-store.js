/**
 * Where a device keeps what was counted: IndexedDB, or localStorage where there is none.
 *
 * An event is on the device before it is shown.  The device numbers its own events, and the number
 * is taken in the same transaction that keeps the event, so two open pages never take the same one.
 */
import { eventKey, seen } from "./follow-fold.js";

const NAME = "pegwright-follow";

/** Random letters and digits; works without a secure context too. @param {number} bytes */
export function randomHex(bytes) {
  const drawn = crypto.getRandomValues(new Uint8Array(bytes));
  return Array.from(drawn, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The device's clock as the library writes times. */
export function nowText() {
  return new Date().toISOString().replace("Z", "000Z");
}

function finished(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve(undefined);
    transaction.onabort = () => reject(transaction.error ?? new Error("not kept"));
    transaction.onerror = () => reject(transaction.error);
  });
}

function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Events and documents in IndexedDB. */
class BigStore {
  kind = "IndexedDB";

  constructor(db) {
    this.db = db;
  }

  static open() {
    return new Promise((resolve, reject) => {
      if (typeof indexedDB === "undefined") return reject(new Error("no IndexedDB"));
      const request = indexedDB.open(NAME, 1);
      request.onupgradeneeded = () => {
        const events = request.result.createObjectStore("events", { keyPath: ["making", "key"] });
        events.createIndex("making", "making");
        request.result.createObjectStore("documents", { keyPath: "id" });
        request.result.createObjectStore("values");
      };
      request.onsuccess = () => resolve(new BigStore(request.result));
      request.onerror = () => reject(request.error);
      request.onblocked = () => reject(new Error("blocked"));
      return undefined;
    });
  }

  write(stores) {
    return this.db.transaction(stores, "readwrite", { durability: "strict" });
  }

  value(key) {
    return asked(this.db.transaction("values").objectStore("values").get(key));
  }

  async setValue(key, value) {
    const transaction = this.write(["values"]);
    transaction.objectStore("values").put(value, key);
    await finished(transaction);
  }

  async events(making) {
    const index = this.db.transaction("events").objectStore("events").index("making");
    return (await asked(index.getAll(making))).map((kept) => kept.event);
  }

  /** Keep an event of this device; `build` makes it from its number. */
  async addOwn(making, build) {
    const transaction = this.write(["events", "values"]);
    const values = transaction.objectStore("values");
    let event;
    values.get(`counter ${making}`).onsuccess = (found) => {
      const counter = (found.target.result ?? 0) + 1;
      event = build(counter);
      values.put(counter, `counter ${making}`);
      transaction.objectStore("events").put({ making, key: eventKey(event), event });
    };
    await finished(transaction);
    return event;
  }

  async addAll(making, events, device) {
    const transaction = this.write(["events", "values"]);
    const store = transaction.objectStore("events");
    for (const event of events) store.put({ making, key: eventKey(event), event });
    const own = Math.max(0, ...events.filter((e) => e.device === device).map((e) => e.counter));
    const values = transaction.objectStore("values");
    values.get(`counter ${making}`).onsuccess = (found) => {
      if (own > (found.target.result ?? 0)) values.put(own, `counter ${making}`);
    };
    await finished(transaction);
  }

  document(making) {
    return asked(this.db.transaction("documents").objectStore("documents").get(making));
  }

  async setDocument(kept) {
    const transaction = this.write(["documents"]);
    transaction.objectStore("documents").put(kept);
    await finished(transaction);
  }
}

/** The same in localStorage, each making's events as one text. */
class SmallStore {
  kind = "localStorage";

  constructor(storage) {
    this.storage = storage;
  }

  static open() {
    const storage = window.localStorage;
    storage.setItem(`${NAME} probe`, "1");
    storage.removeItem(`${NAME} probe`);
    return new SmallStore(storage);
  }

  read(key, usual) {
    const text = this.storage.getItem(`${NAME} ${key}`);
    return text === null ? usual : JSON.parse(text);
  }

  keep(key, value) {
    this.storage.setItem(`${NAME} ${key}`, JSON.stringify(value));
  }

  async value(key) {
    return this.read(`value ${key}`, undefined);
  }

  async setValue(key, value) {
    this.keep(`value ${key}`, value);
  }

  async events(making) {
    return this.read(`events ${making}`, []);
  }

  async addOwn(making, build) {
    const known = await this.events(making);
    const counter = this.read(`value counter ${making}`, 0) + 1;
    const event = build(counter);
    this.keep(`events ${making}`, [...known, event]);
    this.keep(`value counter ${making}`, counter);
    return event;
  }

  async addAll(making, events, device) {
    const known = new Map((await this.events(making)).map((event) => [eventKey(event), event]));
    for (const event of events) known.set(eventKey(event), event);
    this.keep(`events ${making}`, [...known.values()]);
    const own = Math.max(0, ...events.filter((e) => e.device === device).map((e) => e.counter));
    const counter = this.read(`value counter ${making}`, 0);
    if (own > counter) this.keep(`value counter ${making}`, own);
  }

  async document(making) {
    return this.read(`document ${making}`, undefined);
  }

  async setDocument(kept) {
    this.keep(`document ${kept.id}`, kept);
  }
}

/** The same for as long as the page is open, where a browser keeps nothing at all. */
class NoStore extends SmallStore {
  kind = "none";

  constructor() {
    const kept = new Map();
    super({
      getItem: (key) => kept.get(key) ?? null,
      setItem: (key, value) => kept.set(key, value),
    });
  }
}

/** The best store that this browser has. */
export async function openStore() {
  for (const open of [BigStore.open, SmallStore.open]) {
    try {
      return await open();
    } catch {
      // the next one may do
    }
  }
  return new NoStore();
}

/** What one device knows of one making: its events, kept before they are shown. */
export class Tally {
  /** @param {any} store @param {string} making @param {string} device */
  constructor(store, making, device) {
    this.store = store;
    this.making = making;
    this.device = device;
    /** @type {import("./follow-fold.js").FollowEvent[]} */
    this.events = [];
    this.work = Promise.resolve();
  }

  /** @param {any} store @param {string} making */
  static async open(store, making) {
    let device = await store.value("device");
    if (!device) {
      device = randomHex(16);
      await store.setValue("device", device);
    }
    const tally = new Tally(store, making, device);
    tally.events = await store.events(making);
    return tally;
  }

  /** Read again what another page of this device may have kept. */
  async reload() {
    this.events = await this.store.events(this.making);
  }

  /** Keep one thing that was done; one after another, however fast they come. */
  add(kind, fields) {
    const next = this.work.then(async () => {
      const event = await this.store.addOwn(this.making, (counter) => ({
        id: `${this.device}-${counter}-${randomHex(3)}`,
        device: this.device,
        counter,
        at: this.clock(),
        kind,
        text: "",
        ...fields,
      }));
      this.events = [...this.events, event];
      return event;
    });
    this.work = next.catch(() => undefined);
    return next;
  }

  /** Keep events of other devices. */
  async take(events) {
    const known = new Set(this.events.map(eventKey));
    const fresh = events.filter((event) => !known.has(eventKey(event)));
    if (!fresh.length) return 0;
    await this.store.addAll(this.making, fresh, this.device);
    await this.reload();
    return fresh.length;
  }

  get upto() {
    return seen(this.events);
  }

  /** Now, and never before this device's own last event: its clock may have been set back. */
  clock() {
    const own = this.events.filter((event) => event.device === this.device).at(-1);
    const now = nowText();
    return own && own.at > now ? own.at : now;
  }
}
